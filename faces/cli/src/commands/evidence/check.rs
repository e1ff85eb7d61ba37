//! `bisque evidence check`: arms that do not reconcile, cohorts that overlap, arms that look alike.

use super::super::{print_json, say};
use crate::failure::Failure;
use ::catalogue::Catalogue;
use answer::Issue;

/// Prints what is found; what cannot be right fails, what wants a look does not.
pub fn run(catalogue: &Catalogue, pooled: bool, json: bool) -> Result<(), Failure> {
    let mut arms = ::plan::arms(catalogue);
    arms.retain(|a| !pooled || a.pooled.is_ok());
    let wrong = ::evidence::check(&arms);
    let look: Vec<Issue> = ::evidence::reconcile(&arms);
    let notes = |issue: &Issue| -> Option<String> {
        let id = issue.place.field.split('`').nth(1)?;
        let row = catalogue.table("studies.csv")?.iter().find(|(r, _)| r.maybe("id") == Some(id))?;
        row.0.maybe("note").map(str::to_owned)
    };
    if json {
        let rows: Vec<serde_json::Value> = wrong
            .iter()
            .chain(&look)
            .map(|i| {
                serde_json::json!({
                    "severity": if i.is_error() { "error" } else { "warning" },
                    "where": i.place.field, "found": i.found, "expected": i.expected, "do": i.remedy,
                    "note_of_the_arm": notes(i),
                })
            })
            .collect();
        print_json(&rows)?;
    } else {
        for issue in &look {
            say(&format!(
                "{}: {}\n  expected: {}\n  do: {}",
                issue.place.field, issue.found, issue.expected, issue.remedy
            ));
            if let Some(note) = notes(issue) {
                say(&format!("  its note: {}", note.chars().take(240).collect::<String>()));
            }
        }
        say(&format!("{} arms looked at; {} findings, {} errors", arms.len(), look.len(), wrong.len()));
    }
    if wrong.is_empty() { Ok(()) } else { Err(Failure::Input { issues: wrong, text: None }) }
}
