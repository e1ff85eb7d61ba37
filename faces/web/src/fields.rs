//! A field of the case as a form that can be filled: its question, its choices or bounds, what was said, and that in words.

use answer::Unit;
use case::fields::{Field, Kind};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::{Value, json};

/// A field that can be filled.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct FieldForm {
    /// Name without indices, e.g. `abutment.pulp`.
    pub field: String,
    /// The tooth, for fields of an abutment.
    pub tooth: Option<u8>,
    /// The question.
    pub words: String,
    /// What hangs on it.
    pub help: String,
    /// `choice`, `many`, `order`, `number`, `yes_no`, `teeth`, `text`, `texts` or `colour`; a choice with `min` and `max` also
    /// takes a number between them.
    pub kind: &'static str,
    /// Words that may be chosen.
    pub choices: Vec<ChoiceForm>,
    /// Unit of a number.
    pub unit: Option<String>,
    /// Least number.
    pub min: Option<f64>,
    /// Largest number.
    pub max: Option<f64>,
    /// Usual step of a number.
    pub step: Option<f64>,
    /// What was said.
    pub value: Value,
    /// What is taken while nothing is said.
    pub default_words: Option<String>,
}

/// A word that may be chosen.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChoiceForm {
    /// As in the case file.
    pub value: String,
    /// As printed.
    pub label: String,
}

/// A field as a form, a section field by field; a colour stays one.
pub fn field_forms(path: &str, field: &Field) -> Vec<FieldForm> {
    let colour = field.fields().iter().any(|f| f.name == "L");
    if !field.fields().is_empty() && !colour {
        let inner = |f: &Field| field_forms(&format!("{path}.{}", f.name), f);
        return field.fields().iter().flat_map(inner).collect();
    }
    let (min, max) = bounds(&field.kind);
    vec![FieldForm {
        field: path.to_owned(),
        tooth: None,
        words: field.question.to_owned(),
        help: field.why.to_owned(),
        kind: if colour { "colour" } else { kind(path, &field.kind) },
        choices: field
            .kind
            .choices()
            .iter()
            .map(|c| ChoiceForm { value: c.word.to_owned(), label: c.label.to_owned() })
            .collect(),
        unit: field.kind.unit().map(|u| u.symbol().to_owned()).filter(|u| !u.is_empty()),
        min,
        max,
        step: step(&field.kind),
        value: Value::Null,
        default_words: case::default_words(field),
    }]
}

fn kind(path: &str, kind: &Kind) -> &'static str {
    match kind {
        Kind::Text => "text",
        Kind::TextList => "texts",
        Kind::Whole { .. } | Kind::Number { .. } => "number",
        Kind::YesNo => "yes_no",
        Kind::Choice(_) | Kind::ChoiceOrNumber { .. } => "choice",
        Kind::ChoiceList(_) if path == "wish.order" => "order",
        Kind::ChoiceList(_) => "many",
        Kind::Tooth => "tooth",
        Kind::TeethList => "teeth",
        Kind::Section(_) | Kind::Sections(_) => "section",
    }
}

fn bounds(kind: &Kind) -> (Option<f64>, Option<f64>) {
    match *kind {
        Kind::Whole { low, high } => (Some(low as f64), Some(high as f64)),
        Kind::Number { low, high, .. } | Kind::ChoiceOrNumber { low, high, .. } => (Some(low), Some(high)),
        _ => (None, None),
    }
}

fn step(kind: &Kind) -> Option<f64> {
    match kind {
        Kind::Whole { .. } | Kind::ChoiceOrNumber { whole: true, .. } => Some(1.0),
        Kind::Number { unit: Unit::Millimetres, .. } | Kind::ChoiceOrNumber { .. } => Some(0.1),
        Kind::Number { unit: Unit::Share, .. } => Some(0.05),
        Kind::Number { .. } => Some(1.0),
        _ => None,
    }
}

/// What a draft says in a field.
pub fn value_at(draft: &Value, field: &str, tooth: Option<u8>) -> Value {
    let mut names = field.split('.');
    let mut here = draft;
    if let Some(code) = tooth {
        names.next();
        let list = draft["abutment"].as_array();
        let code = json!(code);
        match list.and_then(|l| l.iter().find(|a| a.get("tooth") == Some(&code))) {
            Some(section) => here = section,
            None => return Value::Null,
        }
    }
    names.try_fold(here, |at, name| at.get(name)).cloned().unwrap_or(Value::Null)
}

/// The name of a field in plain words, without its unit.
fn plain_name(field: &str) -> String {
    let name = field.rsplit('.').next().unwrap_or(field);
    name.trim_end_matches("_mm").trim_end_matches("_degrees").replace('_', " ")
}

/// What was said in a field, in words; none while nothing was.
pub fn spoken(form: &FieldForm) -> Option<String> {
    let label = |value: &Value| -> String {
        let word = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
        form.choices.iter().find(|c| c.value == word).map_or(word, |c| c.label.clone())
    };
    let unit = form.unit.as_deref().map_or(String::new(), |u| format!(" {u}"));
    Some(match &form.value {
        Value::Null => return None,
        Value::Bool(yes) => format!("{}: {}", plain_name(&form.field), if *yes { "yes" } else { "no" }),
        Value::Array(list) if list.is_empty() => "none".into(),
        Value::Array(list) if form.kind == "teeth" => {
            format!("{} {}", plain_name(&form.field), list.iter().map(label).collect::<Vec<_>>().join(", "))
        }
        Value::Array(list) => list.iter().map(label).collect::<Vec<_>>().join(", "),
        Value::Number(n) => format!("{} {n}{unit}", plain_name(&form.field)),
        Value::Object(fields) => {
            let part = |(name, value): (&String, &Value)| format!("{name} {value}");
            fields.iter().map(part).collect::<Vec<_>>().join(", ")
        }
        word => label(word),
    })
}
