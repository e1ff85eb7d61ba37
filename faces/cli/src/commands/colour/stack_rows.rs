//! A described stack as rows: from CSV or JSON, each row knowing where it stands so that a refusal can name it.

use crate::failure::Failure;
use crate::files;
use answer::{Issue, Place};
use serde::Deserialize;
use std::path::Path;
use table::Table;

/// One row of a stack file; see the help of `bisque colour predict`.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct StackRow {
    pub kind: String,
    pub name: Option<String>,
    pub thickness_mm: Option<f64>,
    pub thickness_sd_mm: Option<f64>,
    pub medium: Option<String>,
    pub material: Option<String>,
    pub grade: Option<String>,
    pub contrast_low: Option<f64>,
    pub contrast_high: Option<f64>,
    pub at_mm: Option<f64>,
    pub index: Option<String>,
    #[serde(rename = "L")]
    pub l: Option<f64>,
    pub a: Option<f64>,
    pub b: Option<f64>,
    pub spread: Option<f64>,
    pub own: Option<String>,
    pub substrate: Option<String>,
    pub coupling: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

const COLUMNS: [&str; 18] = [
    "kind",
    "name",
    "thickness_mm",
    "thickness_sd_mm",
    "medium",
    "material",
    "grade",
    "contrast_low",
    "contrast_high",
    "at_mm",
    "index",
    "L",
    "a",
    "b",
    "spread",
    "own",
    "substrate",
    "coupling",
];

impl StackRow {
    /// A complaint about this row.
    pub fn complain(&self, field: &str, found: impl Into<String>, expected: &str, remedy: &str) -> Issue {
        // A row of JSON is told by its place in the list, a row of CSV by its line.
        let field = match (self.place.field.as_str(), field) {
            ("", field) => field.to_owned(),
            (item, "") => item.to_owned(),
            (item, field) => format!("{item}.{field}"),
        };
        let place = Place { field, ..self.place.clone() };
        Issue::error(place, found.into(), expected, remedy)
    }

    /// What it is called.
    pub fn label(&self) -> String {
        let class = || match (&self.material, &self.grade) {
            (Some(m), Some(g)) => Some(format!("{m} {g}")),
            (Some(m), None) => Some(m.clone()),
            _ => None,
        };
        let own = self
            .name
            .clone()
            .or_else(|| self.medium.clone())
            .or_else(class)
            .or_else(|| self.own.clone())
            .or_else(|| self.substrate.clone());
        own.unwrap_or_else(|| self.kind.clone())
    }
}

/// Rows of a file with its text.
pub fn read(path: &Path) -> Result<(Vec<StackRow>, String), Failure> {
    let text = files::read(path)?;
    let file = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let rows = parse(&file, &text).map_err(|issues| Failure::Input { issues, text: Some(text.clone()) })?;
    Ok((rows, text))
}

/// Rows of a text: JSON when it begins with a bracket, CSV otherwise.
pub fn parse(file: &str, text: &str) -> Result<Vec<StackRow>, Vec<Issue>> {
    if text.trim_start().starts_with('[') { from_json(file, text) } else { from_csv(file, text) }
}

fn from_json(file: &str, text: &str) -> Result<Vec<StackRow>, Vec<Issue>> {
    let mut rows: Vec<StackRow> = serde_json::from_str(text).map_err(|e| {
        vec![Issue::error(
            Place::new(file, e.line(), e.column().max(1), ""),
            e.to_string(),
            "a list of objects with the columns of `bisque colour predict --help`",
            "correct it there",
        )]
    })?;
    for (i, row) in rows.iter_mut().enumerate() {
        row.place = Place { file: file.to_owned(), field: format!("[{i}]"), ..Place::default() };
    }
    Ok(rows)
}

fn from_csv(file: &str, text: &str) -> Result<Vec<StackRow>, Vec<Issue>> {
    let table = Table::parse(file, text)?;
    table.require(&["kind"])?;
    let unknown: Vec<Issue> = table
        .columns()
        .iter()
        .filter(|c| !COLUMNS.contains(&c.as_str()))
        .map(|c| {
            let near = answer::nearest_name(c, COLUMNS.iter().copied());
            Issue::error(
                Place::new(file, 1, 1, c),
                "this column is not known",
                "a column of `bisque colour predict --help`",
                near.map_or("rename or remove it".to_owned(), |n| format!("did you mean `{n}`?")),
            )
        })
        .collect();
    if !unknown.is_empty() {
        return Err(unknown);
    }
    table.read(|row| {
        let word = |column: &str| row.maybe(column).map(str::to_owned);
        Ok(StackRow {
            kind: row.text("kind")?.to_owned(),
            name: word("name"),
            thickness_mm: row.maybe_number("thickness_mm")?,
            thickness_sd_mm: row.maybe_number("thickness_sd_mm")?,
            medium: word("medium"),
            material: word("material"),
            grade: word("grade"),
            contrast_low: row.maybe_number("contrast_low")?,
            contrast_high: row.maybe_number("contrast_high")?,
            at_mm: row.maybe_number("at_mm")?,
            index: word("index"),
            l: row.maybe_number("L")?,
            a: row.maybe_number("a")?,
            b: row.maybe_number("b")?,
            spread: row.maybe_number("spread")?,
            own: word("own"),
            substrate: word("substrate"),
            coupling: word("coupling"),
            place: Place { file: file.to_owned(), line: Some(row.line()), ..Place::default() },
        })
    })
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn parsing_survives_garbage(text in "(kind,name,thickness_mm\n)?.{0,200}") {
            if let Ok(rows) = super::parse("x", &text) {
                prop_assert!(rows.len() <= text.len());
            }
        }
    }
}
