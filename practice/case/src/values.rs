//! Names and values of a case file against the list of fields. What does not hold is reported and left out, so that the rest
//! can still be checked for contradictions.

use crate::fields::{Field, Kind, ROOT};
use crate::places::Places;
use answer::{Issue, Place, nearest_name};
use catalogue::words::Tooth;
use table::toml_tree::{Node, Value as Written};
use toml::{Table, Value};

/// The check under way.
pub(crate) struct Values {
    pub(crate) places: Places,
    pub(crate) issues: Vec<Issue>,
}

/// Why a value does not hold: what was found, and what to write.
type Refused = (String, String);

impl Values {
    /// The values of a section that hold.
    pub(crate) fn section(&mut self, fields: &'static [Field], path: &str, section: &Node) -> Table {
        let mut held = Table::new();
        let entries = section.entries().unwrap_or_default();
        for entry in entries {
            let here = join(path, &entry.key);
            self.places.note(&here, &entry.place);
            match fields.iter().find(|f| f.name == entry.key) {
                Some(field) => {
                    if let Some(value) = self.value(field, &here, &entry.node) {
                        held.insert(field.name.to_owned(), value);
                    }
                }
                None => self.unknown(fields, path, &entry.key, &here),
            }
        }
        for field in fields.iter().filter(|f| f.required && !entries.iter().any(|e| e.key == f.name)) {
            self.lacking(field, path, &section.place);
        }
        held
    }

    fn value(&mut self, field: &'static Field, path: &str, node: &Node) -> Option<Value> {
        match (field.kind, &node.value) {
            (Kind::Section(fields), Written::Table(_)) => self.complete(fields, path, node),
            (Kind::Sections(fields), Written::Array(rows))
                if rows.iter().all(|r| matches!(r.value, Written::Table(_))) =>
            {
                let mut held = Vec::new();
                for (i, row) in rows.iter().enumerate() {
                    let here = format!("{path}[{}]", i + 1);
                    self.places.note(&here, &row.place);
                    held.extend(self.complete(fields, &here, row));
                }
                Some(Value::Array(held))
            }
            (Kind::Section(_), other) => self.refuse(
                path,
                written(other),
                "a section",
                &format!("write [{path}] on a line of its own, its fields below"),
            ),
            (Kind::Sections(_), other) => self.refuse(
                path,
                written(other),
                "a section in double brackets",
                &format!("write [[{path}]] on a line of its own, its fields below"),
            ),
            (_, value) => match simple(field, value) {
                Ok(value) => Some(value),
                Err((found, remedy)) => self.refuse(path, found, &field.kind.expectation(), &remedy),
            },
        }
    }

    /// A section whose required fields all hold.
    fn complete(&mut self, fields: &'static [Field], path: &str, section: &Node) -> Option<Value> {
        let held = self.section(fields, path, section);
        fields.iter().all(|f| !f.required || held.contains_key(f.name)).then_some(Value::Table(held))
    }

    fn refuse(&mut self, path: &str, found: String, expected: &str, remedy: &str) -> Option<Value> {
        self.issues.push(Issue::error(self.places.at(path), found, expected, remedy));
        None
    }

    fn lacking(&mut self, field: &Field, path: &str, section: &Place) {
        let here = join(path, field.name);
        let place = if path.is_empty() { self.places.at(&here) } else { Place { field: here, ..section.clone() } };
        let remedy = match field.kind {
            Kind::Section(_) => format!("write [{}] and its fields", field.name),
            _ => format!("write {} = {}", field.name, if field.example.is_empty() { "..." } else { field.example }),
        };
        self.issues.push(Issue::error(place, format!("`{}` is missing", field.name), field.kind.expectation(), remedy));
    }

    fn unknown(&mut self, fields: &'static [Field], path: &str, name: &str, here: &str) {
        let section = if path.is_empty() { "the top of the file".to_owned() } else { path.to_owned() };
        let names = || fields.iter().map(|f| f.name);
        let remedy = match (nearest_name(name, names()), homes(name).first()) {
            (Some(near), _) => format!("did you mean `{near}`?"),
            (None, Some(home)) => format!("`{name}` belongs in [{home}]"),
            (None, None) => format!("take it out, or write one of {}", names().collect::<Vec<_>>().join(", ")),
        };
        let found = format!("`{}` is not a field of {section}", short(name));
        self.issues.push(Issue::error(self.places.at(here), found, "a known field", remedy));
    }
}

fn join(path: &str, name: &str) -> String {
    if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") }
}

/// Sections in which a name is known.
fn homes(name: &str) -> Vec<&'static str> {
    ROOT.iter().filter(|section| section.fields().iter().any(|f| f.name == name)).map(|section| section.name).collect()
}

/// A value that is no section, checked.
fn simple(field: &Field, value: &Written) -> Result<Value, Refused> {
    match field.kind {
        Kind::Text => text(field, value),
        Kind::TextList => list(field, value, |item| text(field, item)),
        Kind::Whole { low, high } => whole(field, value, low, high).map(Value::Integer),
        Kind::Number { low, high, .. } => number(field, value, low, high).map(Value::Float),
        Kind::YesNo => yes_no(field, value),
        Kind::Choice(_) => choice(field, value),
        Kind::ChoiceList(_) => list(field, value, |item| choice(field, item)),
        Kind::ChoiceOrNumber { low, high, whole: true, .. } if !matches!(value, Written::Text(_)) => {
            whole(field, value, low as i64, high as i64).map(Value::Integer)
        }
        Kind::ChoiceOrNumber { low, high, .. } if !matches!(value, Written::Text(_)) => {
            number(field, value, low, high).map(Value::Float)
        }
        Kind::ChoiceOrNumber { .. } => choice(field, value),
        Kind::Tooth => tooth(field, value),
        Kind::TeethList => list(field, value, |item| tooth(field, item)),
        Kind::Section(_) | Kind::Sections(_) => Err(not_this(field, value)),
    }
}

/// The usual refusal: what stands there, and the field with its example.
fn not_this(field: &Field, value: &Written) -> Refused {
    let example = if field.example.is_empty() { "..." } else { field.example };
    (format!("{} is {}", field.name, written(value)), format!("write for example {} = {example}", field.name))
}

fn text(field: &Field, value: &Written) -> Result<Value, Refused> {
    match value {
        Written::Text(words) => Ok(Value::String(words.to_string())),
        _ => Err(not_this(field, value)),
    }
}

fn list(field: &Field, value: &Written, item: impl Fn(&Written) -> Result<Value, Refused>) -> Result<Value, Refused> {
    let Written::Array(items) = value else {
        return match item(value) {
            Ok(_) => Err((
                format!("{} is a single value", field.name),
                format!("put it in brackets: {} = [{}]", field.name, bare(value)),
            )),
            Err(refused) => Err(refused),
        };
    };
    let held = items.iter().map(|i| item(&i.value)).collect::<Result<Vec<_>, _>>()?;
    Ok(Value::Array(held))
}

fn choice(field: &Field, value: &Written) -> Result<Value, Refused> {
    let Written::Text(word) = value else { return Err(not_this(field, value)) };
    let choices = field.kind.choices();
    if choices.iter().any(|c| c.word == word.as_str()) {
        return Ok(Value::String(word.to_string()));
    }
    let by_label = choices.iter().find(|c| c.label.eq_ignore_ascii_case(word.as_str())).map(|c| c.word);
    if matches!(field.kind, Kind::ChoiceOrNumber { .. }) && word.replace(',', ".").parse::<f64>().is_ok() {
        return Err(quoted(field, value));
    }
    let near = by_label.or_else(|| nearest_name(word.as_str(), choices.iter().map(|c| c.word)));
    let remedy = match near {
        Some(near) => format!("did you mean \"{near}\"?"),
        None => "write one of these words".to_owned(),
    };
    Err((format!("{} is \"{}\"", field.name, short(word.as_str())), remedy))
}

fn whole(field: &Field, value: &Written, low: i64, high: i64) -> Result<i64, Refused> {
    match *value {
        Written::Whole(n) if (low..=high).contains(&n) => Ok(n),
        Written::Whole(n) => Err((format!("{} is {n}", field.name), format!("write a number from {low} to {high}"))),
        Written::Text(_) => Err(quoted(field, value)),
        _ => Err(not_this(field, value)),
    }
}

fn number(field: &Field, value: &Written, low: f64, high: f64) -> Result<f64, Refused> {
    let x = match *value {
        Written::Whole(n) => n as f64,
        Written::Decimal(x) => x,
        Written::Text(_) => return Err(quoted(field, value)),
        _ => return Err(not_this(field, value)),
    };
    if (low..=high).contains(&x) {
        return Ok(x);
    }
    let remedy =
        if x < 0.0 && low >= 0.0 { "measure again".to_owned() } else { format!("write a number from {low} to {high}") };
    let negative = if x < 0.0 && low >= 0.0 { ", a negative number" } else { "" };
    Err((format!("{} is {x}{negative}", field.name), format!("{remedy}, or take the line out if it is not known")))
}

fn quoted(field: &Field, value: &Written) -> Refused {
    let inner = bare(value).trim_matches('"').replace(',', ".");
    let remedy = match inner.parse::<f64>() {
        Ok(_) => format!("write the number without quotation marks: {} = {inner}", field.name),
        Err(_) => not_this(field, value).1,
    };
    (format!("{} is {}", field.name, written(value)), remedy)
}

fn yes_no(field: &Field, value: &Written) -> Result<Value, Refused> {
    let meant = match value {
        Written::Yes(yes) => return Ok(Value::Boolean(*yes)),
        Written::Text(word) if word.eq_ignore_ascii_case("yes") || word.eq_ignore_ascii_case("true") => "true",
        Written::Text(word) if word.eq_ignore_ascii_case("no") || word.eq_ignore_ascii_case("false") => "false",
        _ => return Err(not_this(field, value)),
    };
    Err((format!("{} is {}", field.name, written(value)), format!("write {} = {meant}", field.name)))
}

fn tooth(field: &Field, value: &Written) -> Result<Value, Refused> {
    let code = match value {
        Written::Whole(code) => Some(*code),
        Written::Text(_) => return Err(quoted(field, value)),
        _ => None,
    };
    match code.and_then(|c| u8::try_from(c).ok()).map(Tooth::new) {
        Some(Ok(tooth)) => Ok(Value::Integer(i64::from(tooth.code()))),
        _ => Err((
            format!("{} names no permanent tooth", written(value)),
            "write quadrant and tooth, e.g. 46 for the lower right first molar".into(),
        )),
    }
}

/// A value as it may be shown in a message.
fn written(value: &Written) -> String {
    match value {
        Written::Table(_) => "a section".into(),
        Written::Array(_) => "a list".into(),
        _ => bare(value),
    }
}

fn bare(value: &Written) -> String {
    match value {
        Written::Text(words) => format!("\"{}\"", short(words)),
        Written::Whole(n) => n.to_string(),
        Written::Decimal(x) => x.to_string(),
        Written::Yes(yes) => yes.to_string(),
        Written::Date(when) => short(when),
        Written::Array(_) | Written::Table(_) => "...".into(),
    }
}

/// At most 40 letters of something a person wrote, without control characters.
fn short(words: &str) -> String {
    let clean = words.chars().map(|c| if c.is_control() { ' ' } else { c });
    let cut: String = clean.clone().take(40).collect();
    if clean.count() > 40 { format!("{cut}…") } else { cut }
}
