//! JSON Schema of the case file (draft 2020-12), from the list of fields.

use crate::case::SCHEMA;
use crate::fields::{Field, Kind, ROOT};
use catalogue::words::Tooth;
use serde_json::{Map, Value, json};

/// The schema of a case file: names, kinds, words and bounds. Contradictions between answers are beyond a schema.
pub fn schema() -> Value {
    let mut whole = object(ROOT);
    whole["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    whole["title"] = json!("Case");
    whole["description"] = json!("One tooth or one gap to be restored, with everything answered about it.");
    whole["properties"]["schema"] = json!({ "const": SCHEMA, "description": "Version of the file." });
    whole
}

fn object(fields: &[Field]) -> Value {
    let properties: Map<_, _> = fields.iter().map(|f| (f.name.to_owned(), property(f))).collect();
    let required: Vec<_> = fields.iter().filter(|f| f.required).map(|f| f.name).collect();
    json!({ "type": "object", "properties": properties, "required": required, "additionalProperties": false })
}

fn property(field: &Field) -> Value {
    let mut said = kind(&field.kind);
    let unit = field.kind.unit().map(|u| u.symbol()).filter(|s| !s.is_empty());
    let unit = unit.map_or(String::new(), |u| format!(" Unit: {u}."));
    said["description"] = json!(format!("{}{unit}", field.question));
    said
}

fn kind(kind: &Kind) -> Value {
    let words = || kind.choices().iter().map(|c| c.word).collect::<Vec<_>>();
    let teeth = || json!({ "enum": Tooth::all().map(Tooth::code).collect::<Vec<_>>() });
    match kind {
        Kind::Text => json!({ "type": "string" }),
        Kind::TextList => json!({ "type": "array", "items": { "type": "string" } }),
        Kind::Whole { low, high } => json!({ "type": "integer", "minimum": low, "maximum": high }),
        Kind::Number { low, high, .. } => json!({ "type": "number", "minimum": low, "maximum": high }),
        Kind::YesNo => json!({ "type": "boolean" }),
        Kind::Choice(_) => json!({ "enum": words() }),
        Kind::ChoiceList(_) => json!({ "type": "array", "items": { "enum": words() } }),
        Kind::ChoiceOrNumber { low, high, whole, .. } => {
            let number = if *whole { "integer" } else { "number" };
            json!({ "anyOf": [{ "enum": words() }, { "type": number, "minimum": low, "maximum": high }] })
        }
        Kind::Tooth => teeth(),
        Kind::TeethList => json!({ "type": "array", "items": teeth() }),
        Kind::Section(fields) => object(fields),
        Kind::Sections(fields) => json!({ "type": "array", "items": object(fields) }),
    }
}
