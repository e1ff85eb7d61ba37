//! A TOML text as a tree in which every key and value knows its line and column.

use crate::text::Lines;
use answer::{Issue, Place, nearest_name};
use std::sync::Arc;
use toml::de::{DeTable, DeValue};

/// A value with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Node {
    /// Where the value begins; `place.field` is its path in the file, e.g. `part[1].height`.
    pub place: Place,
    /// What it is.
    pub value: Value,
}

/// Kinds of value.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// Table: entries in file order.
    Table(Vec<Entry>),
    /// Array.
    Array(Vec<Node>),
    /// Text.
    Text(String),
    /// Whole number.
    Whole(i64),
    /// Decimal number (may be infinite or not a number, as TOML allows).
    Decimal(f64),
    /// Truth value.
    Yes(bool),
    /// Date or time, as written.
    Date(String),
}

/// A key with its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Key as written.
    pub key: String,
    /// Where the key stands.
    pub place: Place,
    /// Its value.
    pub node: Node,
}

/// Reads a TOML text.
///
/// # Errors
/// All errors of form, each with its place.
pub fn parse(file: &str, text: &str) -> Result<Node, Vec<Issue>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (table, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        let lines = Lines::of(text);
        return Err(errors.iter().map(|e| broken(file, &lines, e)).collect());
    }
    let walker = Walker { file: file.into(), lines: Lines::of(text) };
    let start = table.span().start;
    walker.table(table.get_ref(), start, String::new()).map_err(|issue| vec![issue])
}

fn broken(file: &str, lines: &Lines<'_>, error: &toml::de::Error) -> Issue {
    let (line, column) = lines.line_and_column(error.span().map_or(0, |s| s.start));
    Issue::error(
        Place::new(file, line, column, ""),
        format!("this is no TOML: {}", error.message()),
        "`name = value` lines and `[section]` headings",
        "texts in double quotes, numbers with a decimal point, lists in square brackets",
    )
}

struct Walker<'a> {
    file: Arc<str>,
    lines: Lines<'a>,
}

impl Walker<'_> {
    fn place(&self, offset: usize, path: &str) -> Place {
        let (line, column) = self.lines.line_and_column(offset);
        Place::new(&*self.file, line, column, path)
    }

    fn table(&self, table: &DeTable<'_>, start: usize, path: String) -> Result<Node, Issue> {
        let mut entries: Vec<(usize, Entry)> = Vec::new();
        for (key, value) in table.iter() {
            let name = key.get_ref().to_string();
            let inner = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
            let offset = key.span().start;
            let node = self.node(value.get_ref(), value.span().start, inner.clone())?;
            entries.push((offset, Entry { key: name, place: self.place(offset, &inner), node }));
        }
        entries.sort_by_key(|(offset, _)| *offset);
        let entries = entries.into_iter().map(|(_, entry)| entry).collect();
        Ok(Node { place: self.place(start, &path), value: Value::Table(entries) })
    }

    fn node(&self, value: &DeValue<'_>, start: usize, path: String) -> Result<Node, Issue> {
        let place = self.place(start, &path);
        let unreadable = || {
            Issue::error(place.clone(), "the number cannot be read", "a number a computer holds", "write fewer digits")
        };
        let value = match value {
            DeValue::Table(table) => return self.table(table, start, path),
            DeValue::Array(array) => Value::Array(
                array
                    .iter()
                    .enumerate()
                    .map(|(i, item)| self.node(item.get_ref(), item.span().start, format!("{path}[{}]", i + 1)))
                    .collect::<Result<_, _>>()?,
            ),
            DeValue::String(text) => Value::Text(text.to_string()),
            DeValue::Integer(whole) => {
                Value::Whole(i64::from_str_radix(whole.as_str(), whole.radix()).map_err(|_| unreadable())?)
            }
            DeValue::Float(decimal) => Value::Decimal(decimal.as_str().parse().map_err(|_| unreadable())?),
            DeValue::Boolean(yes) => Value::Yes(*yes),
            DeValue::Datetime(date) => Value::Date(date.to_string()),
        };
        Ok(Node { place, value })
    }
}

impl Node {
    /// Entries of a table.
    ///
    /// # Errors
    /// When it is none.
    pub fn entries(&self) -> Result<&[Entry], Issue> {
        match &self.value {
            Value::Table(entries) => Ok(entries),
            _ => Err(self.complain("a section", "write `[name]` and its fields on the lines below")),
        }
    }

    /// Value under a key of a table; `None` when it is not there or this is no table.
    pub fn get(&self, key: &str) -> Option<&Self> {
        match &self.value {
            Value::Table(entries) => entries.iter().find(|e| e.key == key).map(|e| &e.node),
            _ => None,
        }
    }

    /// Items of an array.
    ///
    /// # Errors
    /// When it is none.
    pub fn items(&self) -> Result<&[Self], Issue> {
        match &self.value {
            Value::Array(items) => Ok(items),
            _ => Err(self.complain("a list", "write it in square brackets, e.g. `[45, 46]`")),
        }
    }

    /// Text.
    ///
    /// # Errors
    /// When it is none.
    pub fn text(&self) -> Result<&str, Issue> {
        match &self.value {
            Value::Text(text) => Ok(text),
            _ => Err(self.complain("a text", "put it in double quotes")),
        }
    }

    /// Finite number, whole or decimal.
    ///
    /// # Errors
    /// When it is none.
    pub fn number(&self) -> Result<f64, Issue> {
        match self.value {
            Value::Whole(whole) => Ok(whole as f64),
            Value::Decimal(decimal) if decimal.is_finite() => Ok(decimal),
            _ => Err(self.complain("a number", "write digits with a decimal point, without quotes and unit")),
        }
    }

    /// Whole number.
    ///
    /// # Errors
    /// When it is none.
    pub fn whole(&self) -> Result<i64, Issue> {
        match self.value {
            Value::Whole(whole) => Ok(whole),
            _ => Err(self.complain("a whole number", "write digits without point and quotes")),
        }
    }

    /// Truth value.
    ///
    /// # Errors
    /// When it is none.
    pub fn yes(&self) -> Result<bool, Issue> {
        match self.value {
            Value::Yes(yes) => Ok(yes),
            _ => Err(self.complain("true or false", "write `true` or `false` without quotes")),
        }
    }

    /// One word of a closed list.
    ///
    /// # Errors
    /// When it is no text or not in the list; the nearest word is suggested.
    pub fn word<'w>(&self, words: impl IntoIterator<Item = &'w str> + Clone) -> Result<&'w str, Issue> {
        let text = self.text()?;
        if let Some(word) = words.clone().into_iter().find(|w| *w == text) {
            return Ok(word);
        }
        let remedy = nearest_name(text, words.clone())
            .map_or("take one of these words".to_owned(), |near| format!("did you mean \"{near}\"?"));
        let list: Vec<&str> = words.into_iter().collect();
        Err(Issue::error(
            self.place.clone(),
            format!("\"{text}\" is not in the list"),
            format!("one of {}", list.join(", ")),
            remedy,
        ))
    }

    /// An issue for every key of this table that is not among the known ones, with the nearest known name.
    pub fn unknown_keys<'k>(&self, known: impl IntoIterator<Item = &'k str> + Clone) -> Vec<Issue> {
        let Value::Table(entries) = &self.value else { return Vec::new() };
        entries
            .iter()
            .filter(|e| !known.clone().into_iter().any(|k| k == e.key))
            .map(|e| {
                let near = nearest_name(&e.key, known.clone());
                let list: Vec<&str> = known.clone().into_iter().collect();
                Issue::error(
                    e.place.clone(),
                    format!("there is no field `{}`", e.key),
                    format!("one of {}", list.join(", ")),
                    near.map_or("take it out, or correct its name".to_owned(), |n| format!("did you mean `{n}`?")),
                )
            })
            .collect()
    }

    /// An issue at this value: what stands there, what was expected, what to do.
    pub fn complain(&self, expected: impl Into<String>, remedy: impl Into<String>) -> Issue {
        Issue::error(self.place.clone(), self.found(), expected, remedy)
    }

    /// What stands here, in words.
    pub fn found(&self) -> String {
        match &self.value {
            Value::Table(_) => "a section stands here".to_owned(),
            Value::Array(_) => "a list stands here".to_owned(),
            Value::Text(text) => format!("the text \"{}\" stands here", text.chars().take(60).collect::<String>()),
            Value::Whole(whole) => format!("the number {whole} stands here"),
            Value::Decimal(decimal) => format!("the number {decimal} stands here"),
            Value::Yes(yes) => format!("{yes} stands here"),
            Value::Date(date) => format!("the date {date} stands here"),
        }
    }
}
