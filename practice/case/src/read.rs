//! A case from the text of its file. All that is wrong is reported together, in the order of the lines.
//!
//! Steps: syntax; version; every name and value against the list of fields; contradictions between the answers that hold.

use crate::Case;
use crate::case::SCHEMA;
use crate::check;
use crate::fields::ROOT;
use crate::lines::Lines;
use crate::places::Places;
use crate::values::Values;
use answer::{Issue, Place};
use serde::Deserialize;
use toml::de::{DeTable, DeValue, Error};

/// Largest case file read, bytes; a case fills a few thousand.
const LARGEST: usize = 1 << 20;

impl Case {
    /// Reads a case. `file` is its name as the person knows it; nothing is opened.
    ///
    /// Returns the case with warnings: things worth knowing with which work goes on.
    ///
    /// # Errors
    /// All issues of the file in line order, warnings among them, when at least one stops the work.
    pub fn parse(file: &str, text: &str) -> Result<(Self, Vec<Issue>), Vec<Issue>> {
        if text.len() > LARGEST {
            let found = format!("the file holds {} bytes", text.len());
            return Err(vec![Issue::error(
                Place::file(file),
                found,
                "a case file of at most 1 MiB",
                "give the case file itself",
            )]);
        }
        let lines = Lines::of(text);
        let (table, errors) = DeTable::parse_recoverable(text);
        if !errors.is_empty() {
            return Err(in_line_order(errors.iter().map(|e| syntax(file, text, &lines, e)).collect()));
        }
        if let Some(issue) = newer(file, &lines, table.get_ref()) {
            return Err(vec![issue]);
        }
        let mut values = Values { lines: &lines, places: Places::of_file(file), issues: Vec::new() };
        let held = values.section(ROOT, "", table.get_ref(), 0);
        let Values { places, mut issues, .. } = values;
        let typed = Self::deserialize(toml::Value::Table(held));
        match &typed {
            Ok(case) => check::contradictions(case, &places, &mut issues),
            // The list of fields has said what is wrong; this speaks only where it did not.
            Err(error) if !issues.iter().any(Issue::is_error) => issues.push(syntax(file, text, &lines, error)),
            Err(_) => {}
        }
        let issues = in_line_order(issues);
        match typed {
            Ok(case) if !issues.iter().any(Issue::is_error) => Ok((case, issues)),
            _ => Err(issues),
        }
    }
}

/// A file of a later version is refused before its fields are judged by this one.
fn newer(file: &str, lines: &Lines<'_>, table: &DeTable<'_>) -> Option<Issue> {
    let (key, value) = table.iter().find(|(key, _)| key.get_ref() == "schema")?;
    let DeValue::Integer(written) = value.get_ref() else { return None };
    let version = i64::from_str_radix(written.as_str(), written.radix()).ok()?;
    let (line, column) = lines.place(key.span().start);
    (version > i64::from(SCHEMA)).then(|| {
        Issue::error(
            Place::new(file, line, column, "schema"),
            format!("the file is of version {version}"),
            format!("version {SCHEMA}, the newest this program knows"),
            "open it with a newer program, or write the case anew from a template",
        )
    })
}

/// A mistake of writing, with the likeliest cure.
fn syntax(file: &str, text: &str, lines: &Lines<'_>, error: &Error) -> Issue {
    let place = error.span().map_or(Place::file(file), |span| {
        let (line, column) = lines.place(span.start);
        Place::new(file, line, column, "")
    });
    let found = error.message().lines().next().unwrap_or("it cannot be read").to_owned();
    let row = place.line.and_then(|line| text.lines().nth(line - 1)).unwrap_or("");
    let remedy = if found.contains("duplicate key") {
        "keep one of the two lines"
    } else if decimal_comma(row) {
        "write decimals with a point, e.g. 1.5"
    } else if row.matches('"').count() % 2 == 1 {
        "close the quotation marks"
    } else {
        "write name = value: numbers and true/false as they are, words in quotation marks, lists in [ ]"
    };
    Issue::error(place, found, "a line of TOML", remedy)
}

/// True when a value reads like `1,5`.
fn decimal_comma(row: &str) -> bool {
    let value = row.split('#').next().and_then(|r| r.split_once('=')).map_or("", |(_, v)| v.trim());
    value.split_once(',').is_some_and(|(whole, part)| {
        let digits = |s: &str| !s.is_empty() && s.chars().all(|c| c.is_ascii_digit());
        digits(whole.trim_start_matches(['-', '+'])) && digits(part)
    })
}

fn in_line_order(mut issues: Vec<Issue>) -> Vec<Issue> {
    issues.sort_by_key(|i| (i.place.line.unwrap_or(usize::MAX), i.place.column));
    issues
}
