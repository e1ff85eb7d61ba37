//! What would mask: every grade of the class of the layer sought, then an opaque cement, then the core blocked out first.
//!
//! A way is enough when it hides in 8 of 10 draws at the thickness given, as in a plan. The helpers come beneath the densest grade, in
//! the thickness their contrast ratio is known at (`data/optics.csv`, both assumptions).

use super::predict::ensemble;
use super::stack_cells::class_of;
use super::stack_file::{Described, Workshop};
use super::stack_rows::StackRow;
use crate::failure::Failure;
use ::catalogue::words::Grade;
use ::colour::{Ensemble, Instrument, LeastThickness};
use answer::six_figures;
use serde_json::{Value, json};

/// Chance that counts as enough.
const ENOUGH: f64 = 0.8;

/// One way of hiding.
pub struct Way {
    /// In words.
    pub words: String,
    /// Grade of the layer sought.
    pub grade: Grade,
    /// The stack of that way.
    pub stack: Ensemble,
    /// Least thickness; for a helper only whether it hides as given.
    pub least: LeastThickness,
    /// It is the stack as it was given.
    pub as_given: bool,
    /// A helper lies beneath.
    pub helped: bool,
    /// Chance that it hides at the thickness given.
    pub chance: f64,
}

/// Ways for a stack whose layer `layer` (from 0) is a class by name, clearest grade first; empty for own media and bare contrast ratios.
///
/// `find` gives the least thickness of layer `layer` of a stack within a range.
pub fn ways(
    workshop: &Workshop<'_>,
    rows: &[StackRow],
    layer: usize,
    given: f64,
    between: (f64, f64),
    find: impl Fn(&Described, (f64, f64)) -> Result<LeastThickness, Failure>,
) -> Result<Vec<Way>, Failure> {
    let Some(at) = rows.iter().enumerate().filter(|(_, r)| r.kind == "layer").nth(layer).map(|(i, _)| i) else {
        return Ok(Vec::new());
    };
    let row = &rows[at];
    let Ok((Some(material), own)) = class_of(row) else { return Ok(Vec::new()) };
    if row.medium.is_some() || row.contrast_low.is_some() {
        return Ok(Vec::new());
    }
    let build = |rows: &[StackRow]| workshop.build(rows).map_err(|issues| Failure::Input { issues, text: None });
    let mut list: Vec<Way> = Vec::new();
    let mut densest = rows.to_vec();
    for grade in workshop.catalogue.grades(material) {
        densest[at].grade = Some(grade.grade.word().to_owned());
        let stack = build(&densest)?;
        let least = find(&stack, between)?;
        let chance = least.chance_at(given);
        let (words, stack) = (format!("{} grade", grade.grade.word()), ensemble(&stack, Instrument::BEAM));
        list.push(Way {
            words,
            grade: grade.grade,
            stack,
            least,
            as_given: own == Some(grade.grade),
            helped: false,
            chance,
        });
    }
    let Some(grade) = list.last().map(|w| w.grade).filter(|_| list.iter().all(|w| w.chance < ENOUGH)) else {
        return Ok(list);
    };
    for (name, what) in [("opaque_cement", "an opaque cement"), ("block_out_resin", "the core blocked out first")] {
        let Some((_, mm)) = workshop.helper(name) else { continue };
        let mut helped = densest.clone();
        let helper = StackRow {
            kind: "layer".to_owned(),
            name: Some(what.to_owned()),
            thickness_mm: Some(mm),
            medium: Some(name.to_owned()),
            place: row.place.clone(),
            ..StackRow::default()
        };
        helped.insert(at + 1, helper);
        let stack = build(&helped)?;
        let least = find(&stack, (given, given))?;
        let chance = least.chance_at(given);
        let words = format!("{} grade with {what} ({mm} mm)", grade.word());
        list.push(Way {
            words,
            grade,
            stack: ensemble(&stack, Instrument::BEAM),
            least,
            as_given: false,
            helped: true,
            chance,
        });
    }
    Ok(list)
}

/// The first way that is enough, or that none is.
pub fn verdict(ways: &[Way], given: f64) -> String {
    match ways.iter().find(|w| w.chance >= ENOUGH) {
        Some(way) => format!("{} masks it at the {given} mm given", way.words),
        None => "nothing masks at this space: opaque the core first".to_owned(),
    }
}

/// As JSON.
pub fn as_json(ways: &[Way]) -> Value {
    let one = |w: &Way| {
        let least = if w.helped { None } else { w.least.for_chance(0.9).map(six_figures) };
        json!({ "way": w.words, "grade": w.grade.word(), "least_mm": least, "chance_as_given": six_figures(w.chance) })
    };
    ways.iter().map(one).collect()
}
