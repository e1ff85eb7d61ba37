//! The study arms of a cell as counts: losses over restoration-years, or what a dated survival is worth (`evidence::effective_counts`).

use super::counts::{Count, Counts, Kind, Moderator};
use super::known_cell;
use crate::args::PoolArgs;
use crate::commands::facts;
use crate::failure::Failure;
use ::catalogue::{Catalogue, Study};
use ::evidence::{Arm, effective_counts};
use std::path::Path;

/// What arms can be grouped by.
const KEYS: [&str; 8] = ["construct", "material", "build", "region", "setting", "generation", "process", "design"];

/// Counts of the pooled arms of a cell; arms that are not pooled or say nothing of losses are listed with the reason.
///
/// # Errors
/// A cell without arms; a group or moderator that arms do not have.
pub fn counts(args: &PoolArgs, words: &str, data: Option<&Path>) -> Result<Counts, Failure> {
    let catalogue = facts(data)?;
    let arms = ::plan::arms(&catalogue);
    let cell = known_cell(words, &arms)?;
    for key in [&args.by, &args.moderator].into_iter().flatten() {
        if key != "year" && !KEYS.contains(&key.as_str()) {
            let near = answer::nearest_name(key, KEYS);
            let hint = near.map_or(String::new(), |n| format!(" (did you mean `{n}`?)"));
            return Err(Failure::Usage(format!("arms have no `{key}`{hint}; they have {} and year", KEYS.join(", "))));
        }
    }
    let mut found = Counts {
        kind: Kind::Rate { per: args.per },
        rows: Vec::new(),
        left_out: Vec::new(),
        what: cell.to_string(),
        unit: "restoration-years".to_owned(),
    };
    for arm in arms.iter().filter(|a| a.parts().iter().any(|p| cell.contains(&p.0))) {
        let study = catalogue.studies().iter().find(|s| s.id == arm.id);
        let label = name(arm, study);
        let value = |key: &str| study.map(|s| field(s, key)).unwrap_or_default();
        match effective_counts(arm) {
            Ok(counts) => found.rows.push(Count {
                label,
                events: counts.events,
                size: counts.years,
                group: args.by.as_deref().map(value).unwrap_or_default(),
                moderator: args.moderator.as_deref().map(|key| match (key, arm.year) {
                    ("year", Some(year)) => Moderator::Number(f64::from(year)),
                    _ => Moderator::Level(value(key)),
                }),
                year: arm.year.map(f64::from),
            }),
            Err(reason) => found.left_out.push((label, reason)),
        }
    }
    if args.moderator.as_deref() == Some("year") {
        let (dated, undated): (Vec<Count>, Vec<Count>) =
            found.rows.into_iter().partition(|r| matches!(r.moderator, Some(Moderator::Number(_))));
        found.left_out.extend(undated.into_iter().map(|r| (r.label, "its year is not known".to_owned())));
        found.rows = dated;
    }
    Ok(found)
}

/// Id, first author and year.
pub fn name(arm: &Arm, study: Option<&Study>) -> String {
    let author = study.map(|s| s.author.as_str()).unwrap_or_default();
    let year = arm.year.map(|y| y.to_string()).unwrap_or_default();
    format!("{} {author} {year}", arm.id).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn field(study: &Study, key: &str) -> String {
    let words = match key {
        "construct" => &study.construct,
        "material" => &study.material,
        "build" => &study.build,
        "region" => &study.region,
        "setting" => &study.setting,
        "generation" => &study.generation,
        "process" => &study.process,
        _ => &study.design,
    };
    if words.is_empty() { "not told".to_owned() } else { words.clone() }
}

/// Word and label of a material family or material, construct, build: underscores as spaces.
pub fn plain(word: &str) -> String {
    word.replace('_', " ")
}

/// The studies table's row of an arm, as column and cell.
pub fn cells<'a>(catalogue: &'a Catalogue, id: &str) -> Vec<(&'a str, &'a str)> {
    let rows = catalogue.table("studies.csv").unwrap_or_default();
    rows.iter()
        .find(|(row, _)| row.maybe("id") == Some(id))
        .map(|(row, _)| row.cells().filter(|(_, c)| !c.is_empty()).collect())
        .unwrap_or_default()
}
