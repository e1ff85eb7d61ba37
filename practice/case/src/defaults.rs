//! What is taken while something is not answered; every default used is listed.

use crate::Case;
use crate::asked::{Asked, asked, rows};
use crate::fields::{Field, Kind, Taken};
use answer::{Basis, Unit};
use catalogue::words::Tooth;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One default in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct DefaultUsed {
    /// The field it stands for, e.g. `abutment[1].pulp`.
    pub field: String,
    /// The tooth, for fields of an abutment.
    pub tooth: Option<Tooth>,
    /// What is taken, in words.
    pub value: String,
    /// The range taken, in the unit of the field, where it is one.
    pub range: Option<(f64, f64)>,
    /// How far to trust it.
    pub basis: Basis,
    /// Source id; empty when there is none.
    pub source: String,
}

/// Every default the case uses, in the order of the file.
pub fn defaults_used(case: &Case) -> Vec<DefaultUsed> {
    let rows = rows(case);
    let answered_otherwise = |a: &Asked| {
        a.field.way > 0
            && rows
                .iter()
                .any(|row| Some(row.answer) == a.field.answer && (row.is_given() || nearer_way(&row.fields, a)))
    };
    let mut used: Vec<_> = asked(case).iter().filter(|a| !a.given && !answered_otherwise(a)).filter_map(of).collect();
    used.extend(judged_room(case));
    used
}

/// True when another way of the row was begun and this one was not.
fn nearer_way(fields: &[Asked], asked: &Asked) -> bool {
    let begun = |way: u8| fields.iter().any(|a| a.field.way == way && a.given);
    !begun(asked.field.way) && fields.iter().any(|a| a.field.way > 0 && a.given)
}

fn of(asked: &Asked) -> Option<DefaultUsed> {
    let fallback = asked.field.fallback?;
    let range = range_of(asked.field);
    Some(DefaultUsed {
        field: asked.path.clone(),
        tooth: asked.tooth,
        value: in_words(asked.field)?,
        range,
        basis: fallback.basis,
        source: fallback.source.to_owned(),
    })
}

/// What is taken for a field while it is not answered, in words; `None` without a fallback.
pub fn in_words(field: &Field) -> Option<String> {
    let unit = |kind: &Kind| match kind.unit() {
        Some(Unit::One | Unit::Share | Unit::Money) | None => String::new(),
        Some(unit) => format!(" {unit}"),
    };
    Some(match field.fallback?.taken {
        Taken::Words(words) => words.to_owned(),
        Taken::Range { low, high } => format!("anything from {low} to {high}{}", unit(&field.kind)),
        Taken::Anything => match field.kind {
            Kind::Whole { low, high } => format!("anything from {low} to {high}"),
            Kind::Number { low, high, .. } => format!("anything from {low} to {high}{}", unit(&field.kind)),
            Kind::YesNo => "yes or no".to_owned(),
            _ => {
                let labels: Vec<_> =
                    field.kind.choices().iter().filter(|c| c.word != "unknown").map(|c| c.label).collect();
                format!("any of: {}", labels.join(", "))
            }
        },
    })
}

/// The range taken for a field while it is not answered, in its unit.
pub fn range_of(field: &Field) -> Option<(f64, f64)> {
    match (field.fallback?.taken, field.kind) {
        (Taken::Range { low, high }, _) | (Taken::Anything, Kind::Number { low, high, .. }) => Some((low, high)),
        (Taken::Anything, Kind::Whole { low, high }) => Some((low as f64, high as f64)),
        _ => None,
    }
}

/// The range taken for the field named, e.g. `space.planned_mm` or `abutment.wall_mm`.
pub fn default_range(path: &str) -> Option<(f64, f64)> {
    crate::fields::find(path).and_then(range_of)
}

/// A room that was judged, not measured, is read as a range.
fn judged_room(case: &Case) -> Option<DefaultUsed> {
    let room = case.space.room.filter(|_| case.space.millimetres().is_none())?;
    let (low, high) = room.millimetres();
    Some(DefaultUsed {
        field: "space.room".into(),
        tooth: None,
        value: format!("{} read as {low} to {high} mm", room.label()),
        range: Some((low, high)),
        basis: Basis::CommonPractice,
        source: String::new(),
    })
}
