//! The questions of a sheet: its rows in the order worth asking, each with answers that can be pressed and fields that can be
//! filled, and what is still needed before anything can be ranked.

use crate::draft::{self, Set};
use crate::fields::{FieldForm, field_forms, spoken, value_at};
use answer::Issue;
use case::fields::SheetAnswer;
use case::{Asked, Case, Row};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

/// Something needed before the sheet can be planned.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Needed {
    /// The field.
    pub field: String,
    /// What is needed, in words.
    pub words: String,
    /// What to do.
    #[serde(rename = "do")]
    pub remedy: String,
}

/// What is needed: the errors of the sheet.
pub fn needs(_draft: &Value, issues: &[Issue]) -> Vec<Needed> {
    issues
        .iter()
        .filter(|i| i.is_error())
        .map(|i| Needed {
            field: i.place.field.clone(),
            words: format!("{}; expected {}", i.found, i.expected),
            remedy: i.remedy.clone(),
        })
        .collect()
}

/// The questions of a sheet.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Questions {
    /// Rows answered.
    pub answered: usize,
    /// Rows asked.
    pub of: usize,
    /// The one question worth asking next; none once all are answered.
    pub row: Option<RowForm>,
    /// Rows still open after it, in the order worth asking.
    pub rest: Vec<Remaining>,
    /// Every row in the order of the sheet, with what was said.
    pub rows: Vec<Said>,
}

/// A row still open.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Remaining {
    /// The row.
    pub id: String,
    /// The question.
    pub words: String,
    /// What hangs on it.
    pub why: String,
    /// How much it could change the share of ways in which the first option comes first, 0 to 1; none where it was not tried.
    pub change: Option<f64>,
    /// True when an answer would put another option first.
    pub flips: bool,
}

/// A row and what was said.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Said {
    /// The row.
    pub id: String,
    /// The question.
    pub words: String,
    /// True once nothing of it is missing.
    pub answered: bool,
    /// What was said; empty while nothing was.
    pub said: String,
}

/// A row in full.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct RowForm {
    /// The row.
    pub id: String,
    /// The question.
    pub words: String,
    /// What hangs on it.
    pub why: String,
    /// As in [`Remaining`].
    pub change: Option<f64>,
    /// True when an answer would put another option first.
    pub flips: bool,
    /// Answers that set the whole row, the most usual first.
    pub answers: Vec<AnswerForm>,
    /// Its fields, for whoever wants each alone.
    pub fields: Vec<FieldForm>,
}

/// An answer that can be pressed.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AnswerForm {
    /// In words.
    pub label: String,
    /// What it sets.
    pub set: Vec<Set>,
}

/// Open questions of a plan, by which rows are put in order.
pub type Influence<'a> = &'a [plan::OpenQuestion];

/// The questions of a draft, with one row in full: the one named, else the one worth asking next.
pub fn questions(draft: &Value, influence: Influence<'_>, wanted: Option<&str>) -> Option<Questions> {
    let case = draft::begun(draft)?;
    let rows = case::rows(&case);
    let given = |row: &Row| is_given(draft, row);
    let mut open: Vec<&Row> = rows.iter().filter(|r| !given(r)).collect();
    // A stable sort: what was not tried keeps the order of the sheet.
    open.sort_by(|a, b| worth(b, influence).total_cmp(&worth(a, influence)));
    let shown = match wanted {
        Some(id) => rows.iter().find(|r| r.answer.word() == id),
        None => open.first().copied(),
    };
    Some(Questions {
        answered: rows.iter().filter(|r| given(r)).count(),
        of: rows.len(),
        row: shown.map(|row| row_form(&case, draft, row, influence)),
        rest: open
            .iter()
            .filter(|r| shown.is_none_or(|s| s.answer != r.answer))
            .map(|r| {
                let (change, flips) = change(r, influence);
                let (words, why) = words_of(r);
                Remaining { id: r.answer.word().to_owned(), words, why, change, flips }
            })
            .collect(),
        rows: rows
            .iter()
            .map(|r| Said {
                id: r.answer.word().to_owned(),
                words: words_of(r).0,
                answered: given(r),
                said: said(&case, draft, r),
            })
            .collect(),
    })
}

/// The first three rows make the first ranking; a draft without a moment has not answered it although one is taken.
fn is_given(draft: &Value, row: &Row) -> bool {
    match row.answer {
        SheetAnswer::Moment => draft.get("moment").is_some(),
        SheetAnswer::Planned => {
            row.is_given() && draft["restoration"]["teeth"].as_array().is_some_and(|t| !t.is_empty())
        }
        _ => row.is_given(),
    }
}

/// First what gives a ranking, in the order of the sheet, then by how much an answer could change the choice.
fn worth(row: &Row, influence: Influence<'_>) -> f64 {
    match row.answer {
        SheetAnswer::Planned => 13.0,
        SheetAnswer::Turn => 12.0,
        SheetAnswer::Moment => 11.0,
        _ => {
            let (change, flips) = change(row, influence);
            change.unwrap_or(0.0) + if flips { 1.0 } else { 0.0 }
        }
    }
}

fn change(row: &Row, influence: Influence<'_>) -> (Option<f64>, bool) {
    let of_row: Vec<_> = influence.iter().filter(|q| row.fields.iter().any(|a| same_field(a, &q.field))).collect();
    (of_row.iter().map(|q| q.swing).reduce(f64::max), of_row.iter().any(|q| q.flips))
}

/// Plans name a tooth's field by its tooth, e.g. `abutment[46].pulp`.
fn same_field(asked: &Asked, field: &str) -> bool {
    match asked.tooth {
        Some(tooth) => field == format!("abutment[{tooth}].{}", asked.field.name),
        None => field == asked.path,
    }
}

fn words_of(row: &Row) -> (String, String) {
    let mut label = row.answer.label().to_owned();
    if let Some(first) = label.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    let mut why: Vec<&str> = Vec::new();
    for field in &row.fields {
        if !why.contains(&field.field.why) {
            why.push(field.field.why);
        }
    }
    (format!("{label}?"), why.join("; "))
}

fn row_form(case: &Case, draft: &Value, row: &Row, influence: Influence<'_>) -> RowForm {
    let (words, why) = words_of(row);
    let (change, flips) = change(row, influence);
    RowForm {
        id: row.answer.word().to_owned(),
        words,
        why,
        change,
        flips,
        answers: case::usual_answers(case, row)
            .into_iter()
            .map(|u| AnswerForm {
                label: u.label,
                set: u
                    .sets
                    .into_iter()
                    .map(|s| Set { field: s.field, tooth: s.tooth.map(|t| t.code()), value: s.value })
                    .collect(),
            })
            .collect(),
        fields: row.fields.iter().flat_map(|a| fields_of(draft, a)).collect(),
    }
}

/// Path of an asked field without indices.
fn bare(asked: &Asked) -> String {
    asked.path.split('.').map(|part| part.split('[').next().unwrap_or(part)).collect::<Vec<_>>().join(".")
}

fn fields_of(draft: &Value, asked: &Asked) -> Vec<FieldForm> {
    let path = bare(asked);
    let tooth = asked.tooth.map(|t| t.code());
    // The missing teeth are part of the question which teeth there are.
    let with_missing = path == "restoration.teeth";
    let mut list = field_forms(&path, asked.field);
    if with_missing && let Some(missing) = case::fields::find("restoration.missing") {
        list.extend(field_forms("restoration.missing", missing));
    }
    for form in &mut list {
        form.tooth = tooth;
        form.value = value_at(draft, &form.field, tooth);
    }
    list
}

/// What was said in a row, in words: those of the usual answer where it is one.
fn said(case: &Case, draft: &Value, row: &Row) -> String {
    let says = |set: &case::UsualValue| {
        let now = value_at(draft, &set.field, set.tooth.map(|t| t.code()));
        same(&now, &set.value)
    };
    if let Some(usual) = case::usual_answers(case, row).iter().find(|u| !u.sets.is_empty() && u.sets.iter().all(says)) {
        return usual.label.clone();
    }
    let mut list: Vec<String> = Vec::new();
    for asked in &row.fields {
        for form in fields_of(draft, asked) {
            if let Some(words) = spoken(&form) {
                let tooth = form.tooth.map_or(String::new(), |t| format!("{t} "));
                list.push(format!("{tooth}{words}"));
            }
        }
    }
    list.join(", ")
}

/// Equal, a whole number also where it is written with a point.
fn same(a: &Value, b: &Value) -> bool {
    a == b || a.as_f64().zip(b.as_f64()).is_some_and(|(a, b)| a == b)
}
