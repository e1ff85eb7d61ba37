//! A case while it is being answered: exactly the fields of the case file, as JSON, whether or not it is a case yet.
//!
//! A draft is kept as it was entered, so that nothing said is lost while something else is still missing; [`read`] says
//! whether it is a case already and what is wrong with it.

use answer::Issue;
use case::words::Moment;
use case::{Abutment, Case};
use catalogue::OwnColour;
use catalogue::words::Tooth;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// One value to be set: a field of the case file, without indices.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Set {
    /// Field, e.g. `mouth.grinding` or `abutment.pulp`.
    pub field: String,
    /// The tooth, for fields of an abutment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tooth: Option<u8>,
    /// Its value as in the case file; `null` takes the answer back.
    pub value: Value,
}

/// What a draft amounts to.
pub struct Read {
    /// The case, where it is one.
    pub case: Option<Case>,
    /// What is wrong or worth knowing.
    pub issues: Vec<Issue>,
}

/// An empty sheet.
pub fn empty() -> Value {
    json!({ "schema": case::SCHEMA })
}

/// The draft as the text of a case file.
pub fn text(draft: &Value) -> String {
    let written = toml_of(draft).unwrap_or_else(|| toml::Value::Table(toml::Table::new()));
    toml::to_string(&written).unwrap_or_default()
}

/// Checks a draft as the command line checks a case file.
pub fn read(name: &str, draft: &Value, own: &[OwnColour]) -> Read {
    let mut draft = draft.clone();
    if let Some(fields) = draft.as_object_mut() {
        fields.entry("schema").or_insert(json!(case::SCHEMA));
    }
    match Case::parse_with(name, &text(&draft), own) {
        Ok((case, issues)) => Read { case: Some(case), issues },
        Err(issues) => Read { case: None, issues },
    }
}

/// The draft as a case for asking its questions, although parts that a case must have are missing: before preparation, no
/// tooth named. `None` where a value in it cannot stand.
pub fn begun(draft: &Value) -> Option<Case> {
    let mut draft = draft.clone();
    let fields = draft.as_object_mut()?;
    fields.entry("schema").or_insert(json!(case::SCHEMA));
    fields.entry("moment").or_insert(json!(Moment::Plan));
    let restoration = fields.entry("restoration").or_insert(json!({})).as_object_mut()?;
    restoration.entry("teeth").or_insert(json!([]));
    serde_json::from_value(draft).ok()
}

/// Sets values; sections and teeth that are not there are begun, those left empty are taken out.
///
/// # Errors
/// The name of the first field that no case file has.
pub fn set(draft: &mut Value, sets: &[Set]) -> Result<(), String> {
    for one in sets {
        let known = case::fields::find(&one.field).is_some();
        let tooth = one.tooth.map(|code| Tooth::try_from(code).map_err(|_| format!("tooth {code}"))).transpose()?;
        if !known {
            return Err(one.field.clone());
        }
        let names: Vec<&str> = one.field.split('.').collect();
        let done = match (names.as_slice(), tooth) {
            (["abutment", rest @ ..], Some(tooth)) => {
                abutment(draft, tooth).map(|place| put(place, rest, &one.value, &["tooth"]))
            }
            (["abutment", ..], None) => None,
            (names, _) => {
                put(draft, names, &one.value, &[]);
                Some(())
            }
        };
        if done.is_none() {
            return Err(format!("{} without its tooth", one.field));
        }
    }
    if sets.iter().any(|s| s.field.starts_with("restoration.")) {
        forget_absent(draft);
    }
    Ok(())
}

/// What was said of teeth that are no longer part of the restoration goes with them (undo brings both back).
fn forget_absent(draft: &mut Value) {
    let teeth = |name: &str| -> Vec<Value> { draft["restoration"][name].as_array().cloned().unwrap_or_default() };
    let (named, missing) = (teeth("teeth"), teeth("missing"));
    let stands = |tooth: &Value| named.contains(tooth) && !missing.contains(tooth);
    if let Some(list) = draft.get_mut("abutment").and_then(Value::as_array_mut) {
        list.retain(|a| a.get("tooth").is_some_and(&stands));
        if list.is_empty()
            && let Some(fields) = draft.as_object_mut()
        {
            fields.remove("abutment");
        }
    }
}

/// The section of a tooth, begun where nothing was said of it.
fn abutment(draft: &mut Value, tooth: Tooth) -> Option<&mut Value> {
    let list = draft.as_object_mut()?.entry("abutment").or_insert(json!([])).as_array_mut()?;
    let code = json!(tooth);
    let place = list.iter().position(|a| a.get("tooth") == Some(&code)).or_else(|| {
        let begun = serde_json::to_value(Abutment::unanswered(tooth)).ok()?;
        list.push(begun);
        Some(list.len() - 1)
    })?;
    list.get_mut(place)
}

fn put(place: &mut Value, names: &[&str], value: &Value, keep: &[&str]) {
    if !place.is_object() {
        *place = json!({});
    }
    let (Some(fields), Some((name, rest))) = (place.as_object_mut(), names.split_first()) else { return };
    if keep.contains(name) {
        return;
    }
    if rest.is_empty() {
        if value.is_null() {
            fields.remove(*name);
        } else {
            fields.insert((*name).to_owned(), value.clone());
        }
        return;
    }
    if value.is_null() && !fields.contains_key(*name) {
        return;
    }
    let inner = fields.entry(*name).or_insert(json!({}));
    put(inner, rest, value, &[]);
    if inner.as_object().is_some_and(Map::is_empty) {
        fields.remove(*name);
    }
}

/// Fields in which two drafts differ, with both values; a tooth's section as a whole.
pub fn differences(before: &Value, after: &Value) -> Vec<(String, Value, Value)> {
    let mut list = Vec::new();
    differ("", before, after, &mut list);
    list
}

fn differ(path: &str, before: &Value, after: &Value, list: &mut Vec<(String, Value, Value)>) {
    if before == after {
        return;
    }
    let (Some(b), Some(a)) = (before.as_object(), after.as_object()) else {
        list.push((path.to_owned(), before.clone(), after.clone()));
        return;
    };
    let names: std::collections::BTreeSet<&String> = b.keys().chain(a.keys()).collect();
    for name in names {
        let here = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
        let value = |of: &Map<String, Value>| of.get(name).cloned().unwrap_or(Value::Null);
        differ(&here, &value(b), &value(a), list);
    }
}

/// `None` for what TOML does not have: null.
fn toml_of(value: &Value) -> Option<toml::Value> {
    Some(match value {
        Value::Null => return None,
        Value::Bool(b) => toml::Value::Boolean(*b),
        Value::Number(n) => match n.as_i64() {
            Some(whole) => toml::Value::Integer(whole),
            None => toml::Value::Float(n.as_f64()?),
        },
        Value::String(s) => toml::Value::String(s.clone()),
        Value::Array(list) => toml::Value::Array(list.iter().filter_map(toml_of).collect()),
        Value::Object(fields) => {
            toml::Value::Table(fields.iter().filter_map(|(k, v)| Some((k.clone(), toml_of(v)?))).collect())
        }
    })
}

/// The text of a case file as a draft.
///
/// # Errors
/// The issue that says why it is no TOML.
pub fn of_text(name: &str, text: &str) -> Result<Value, Vec<Issue>> {
    // The reader of case files says more about a mistake of writing than the bare grammar does.
    match toml::from_str::<toml::Table>(text) {
        Ok(table) => serde_json::to_value(table).map_err(|e| vec![no_toml(name, &e.to_string())]),
        Err(error) => Err(match Case::parse(name, text) {
            Err(issues) => issues,
            Ok(_) => vec![no_toml(name, error.message())],
        }),
    }
}

fn no_toml(name: &str, what: &str) -> Issue {
    Issue::error(answer::Place::file(name), what, "a case file", "compare the file with a template")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_value_finds_its_tooth_and_null_takes_it_back() {
        let mut draft = empty();
        let one = |value| Set { field: "abutment.pulp".into(), tooth: Some(36), value };
        set(&mut draft, &[one(json!("vital"))]).unwrap();
        assert_eq!(draft["abutment"], json!([{ "tooth": 36, "pulp": "vital" }]));
        set(&mut draft, &[one(Value::Null)]).unwrap();
        assert_eq!(draft["abutment"], json!([{ "tooth": 36 }]));
    }

    #[test]
    fn a_section_left_empty_goes() {
        let mut draft = empty();
        let one = |value| Set { field: "mouth.grinding".into(), tooth: None, value };
        set(&mut draft, &[one(json!("none"))]).unwrap();
        set(&mut draft, &[one(Value::Null)]).unwrap();
        assert_eq!(draft, empty());
    }

    #[test]
    fn a_field_no_case_has_is_named() {
        let wrong = Set { field: "mouth.colour".into(), tooth: None, value: json!(1) };
        assert_eq!(set(&mut empty(), &[wrong]).unwrap_err(), "mouth.colour");
        let toothless = Set { field: "abutment.pulp".into(), tooth: None, value: json!("vital") };
        assert!(set(&mut empty(), &[toothless]).is_err());
    }

    #[test]
    fn an_example_goes_through_json_and_back_to_the_same_case() {
        let text = include_str!("../../../examples/bridge-45-47.toml");
        let draft = of_text("bridge", text).unwrap();
        let (case, _) = Case::parse("bridge", text).unwrap();
        assert_eq!(read("bridge", &draft, &[]).case, Some(case));
    }

    #[test]
    fn differences_name_fields() {
        let (before, after) = (json!({ "mouth": { "age": 50 } }), json!({ "mouth": { "age": 51 }, "invented": true }));
        let names: Vec<String> = differences(&before, &after).into_iter().map(|d| d.0).collect();
        assert_eq!(names, ["invented", "mouth.age"]);
    }
}
