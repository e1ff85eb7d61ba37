//! A case from the text of its file. All that is wrong is reported together, in the order of the lines.
//!
//! Steps: syntax; version; every name and value against the list of fields; contradictions between the answers that hold.

use crate::Case;
use crate::case::SCHEMA;
use crate::check;
use crate::fields::ROOT;
use crate::own_names;
use crate::places::Places;
use crate::values::Values;
use answer::{Issue, Place};
use catalogue::OwnColour;
use serde::Deserialize;
use table::toml_tree::{self, Node, Value};

/// Largest case file read, bytes; a case fills a few thousand.
const LARGEST: usize = 1 << 17;

impl Case {
    /// Reads a case. `file` is its name as the person knows it; nothing is opened.
    ///
    /// Returns the case with warnings: things worth knowing with which work goes on.
    ///
    /// # Errors
    /// All issues of the file in line order, warnings among them, when at least one stops the work.
    pub fn parse(file: &str, text: &str) -> Result<(Self, Vec<Issue>), Vec<Issue>> {
        Self::parse_with(file, text, &[])
    }

    /// The same, with the practice's own colours, which the case may name.
    ///
    /// # Errors
    /// As [`Case::parse`]; a name that is not among `own`.
    pub fn parse_with(file: &str, text: &str, own: &[OwnColour]) -> Result<(Self, Vec<Issue>), Vec<Issue>> {
        if text.len() > LARGEST {
            let found = format!("the file holds {} bytes", text.len());
            return Err(vec![Issue::error(
                Place::file(file),
                found,
                "a case file of at most 131072 bytes",
                "give the case file itself",
            )]);
        }
        let tree = toml_tree::parse(file, text)
            .map_err(|issues| in_line_order(issues.into_iter().map(|i| cure(i, text)).collect()))?;
        if let Some(issue) = newer(&tree) {
            return Err(vec![issue]);
        }
        let mut values = Values { places: Places::of_file(file), issues: Vec::new() };
        let held = values.section(ROOT, "", &tree);
        let Values { places, mut issues } = values;
        let mut typed = Self::deserialize(toml::Value::Table(held));
        match &mut typed {
            Ok(case) => {
                own_names::resolve(case, own, &places, &mut issues);
                check::contradictions(case, &places, &mut issues);
            }
            // The list of fields has said what is wrong; this speaks only where it did not.
            Err(error) if !issues.iter().any(Issue::is_error) => {
                issues.push(Issue::error(
                    Place::file(file),
                    error.to_string(),
                    "a case",
                    "compare the file with a template",
                ));
            }
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
fn newer(tree: &Node) -> Option<Issue> {
    let node = tree.get("schema")?;
    let Value::Whole(version) = node.value else { return None };
    (version > i64::from(SCHEMA)).then(|| {
        Issue::error(
            node.place.clone(),
            format!("the file is of version {version}"),
            format!("version {SCHEMA}, the newest this program knows"),
            "open it with a newer program, or write the case anew from a template",
        )
    })
}

/// A mistake of writing with the likeliest cure, as far as the line shows it.
fn cure(issue: Issue, text: &str) -> Issue {
    let row = issue.place.line.and_then(|line| text.lines().nth(line - 1)).unwrap_or("");
    let remedy = if issue.found.contains("duplicate key") {
        "keep one of the two lines"
    } else if decimal_comma(row) {
        "write decimals with a point, e.g. 1.5"
    } else if row.matches('"').count() % 2 == 1 {
        "close the quotation marks"
    } else {
        return issue;
    };
    Issue { remedy: remedy.to_owned(), ..issue }
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
