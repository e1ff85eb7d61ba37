//! Counts to be pooled: from any CSV file, or from the study arms of a cell. Everything wrong with a file is told with its line before anything
//! is computed.

use super::library;
use crate::args::PoolArgs;
use crate::failure::Failure;
use crate::files;
use ::evidence::pool::{exact_proportion_interval, exact_rate_interval};
use answer::{Issue, Place};
use std::collections::BTreeMap;
use std::path::Path;
use table::{Row, Table};

/// What is pooled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Events over exposure, given per so many units.
    Rate {
        /// Units of exposure.
        per: f64,
    },
    /// Events of a number.
    Proportion,
}

/// A moderator's value.
#[derive(Debug, Clone, PartialEq)]
pub enum Moderator {
    /// A number.
    Number(f64),
    /// A level.
    Level(String),
}

/// One study.
#[derive(Debug, Clone, PartialEq)]
pub struct Count {
    /// Its name.
    pub label: String,
    /// Events.
    pub events: f64,
    /// Exposure or number.
    pub size: f64,
    /// Its group; empty for none.
    pub group: String,
    /// Its moderator.
    pub moderator: Option<Moderator>,
    /// Its year.
    pub year: Option<f64>,
}

/// Studies to be pooled.
#[derive(Debug, Clone, PartialEq)]
pub struct Counts {
    /// What is pooled.
    pub kind: Kind,
    /// The studies.
    pub rows: Vec<Count>,
    /// Studies without enough data: name and reason.
    pub left_out: Vec<(String, String)>,
    /// What was pooled, in words.
    pub what: String,
    /// Unit of the exposure; empty where it is not told.
    pub unit: String,
}

impl Counts {
    /// Name and unit of the quantity.
    pub fn quantity(&self) -> String {
        match self.kind {
            Kind::Rate { per } if self.unit.is_empty() => format!("events per {per}"),
            Kind::Rate { per } => format!("losses per {per} {}", self.unit),
            Kind::Proportion => "share with the event, %".to_owned(),
        }
    }

    /// A natural value (rate per unit, share) as shown.
    pub fn shown(&self, value: f64) -> f64 {
        match self.kind {
            Kind::Rate { per } => per * value,
            Kind::Proportion => 100.0 * value,
        }
    }

    /// A study's own value with its exact interval, as shown.
    pub fn own(&self, row: &Count, level: f64) -> (f64, f64, f64) {
        let (low, high) = match self.kind {
            Kind::Rate { .. } => exact_rate_interval(row.events, row.size, level),
            Kind::Proportion => exact_proportion_interval(row.events, row.size, level),
        };
        (self.shown(row.events / row.size), self.shown(low), self.shown(high))
    }
}

/// The counts a command asks for; `data` is the folder of own tables where no file is pooled.
///
/// # Errors
/// Every wrong line of a file; a command line that does not say what to pool.
pub fn read(args: &PoolArgs, data: Option<&Path>) -> Result<Counts, Failure> {
    if !(args.level > 0.0 && args.level < 100.0) {
        return Err(Failure::Usage(format!("--level {}: give a per cent between 0 and 100, e.g. 95", args.level)));
    }
    if !(args.per > 0.0 && args.per.is_finite()) {
        return Err(Failure::Usage(format!("--per {}: give a number above 0, e.g. 100", args.per)));
    }
    if let Some(cell) = &args.cell {
        return library::counts(args, cell, data);
    }
    let Some(path) = data else {
        return Err(Failure::Usage(
            "what shall be pooled? Give --data FILE.csv with --events and --exposure (or --n), or --cell CELL"
                .to_owned(),
        ));
    };
    if path.is_dir() {
        return Err(Failure::Usage(format!(
            "{} is a folder: to pool the study arms say which with --cell, to pool a file give the file",
            path.display()
        )));
    }
    let text = files::read(path)?;
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    of_text(args, &name, &text).map_err(|issues| Failure::Input { issues, text: Some(text) })
}

/// Counts of a table.
pub fn of_text(args: &PoolArgs, name: &str, text: &str) -> Result<Counts, Vec<Issue>> {
    let wrong =
        |found: &str, expected: &str, remedy: &str| vec![Issue::error(Place::file(name), found, expected, remedy)];
    let Some(events) = &args.events else {
        return Err(wrong("no column of events named", "--events COL", "say which column counts the events"));
    };
    let Some(size) = args.exposure.as_ref().or(args.n.as_ref()) else {
        let remedy = "say which column holds the exposure (rates) or the number (proportions)";
        return Err(wrong("neither exposure nor number named", "--exposure COL or --n COL", remedy));
    };
    let table = Table::parse(name, text)?;
    let named =
        [Some(events), Some(size), args.n.as_ref(), args.label.as_ref(), args.by.as_ref(), args.moderator.as_ref()];
    table.require(&named.into_iter().flatten().map(String::as_str).collect::<Vec<_>>())?;
    let label = args.label.clone().or_else(|| {
        ["id", "study", "label"].iter().find(|c| table.columns().iter().any(|k| k == *c)).map(|c| (*c).to_owned())
    });
    let mut issues = Vec::new();
    let (mut rows, mut seen) = (Vec::new(), BTreeMap::new());
    for row in table.rows() {
        match count(args, row, events, size, label.as_deref()) {
            Ok(found) => {
                if let Some(line) = seen.insert(found.label.clone(), row.line()) {
                    issues.push(row.complain(
                        label.as_deref().unwrap_or("id"),
                        format!("`{}` stands in line {line} already", found.label),
                        "each study once",
                        "give each study its own name, or take one out",
                    ));
                }
                rows.push(found);
            }
            Err(more) => issues.extend(more),
        }
    }
    if issues.is_empty() && rows.is_empty() {
        issues.extend(wrong("no study", "a header and at least one line", "fill in the file"));
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    let kind = if args.exposure.is_some() { Kind::Rate { per: args.per } } else { Kind::Proportion };
    Ok(Counts { kind, rows, left_out: Vec::new(), what: name.to_owned(), unit: String::new() })
}

fn count(args: &PoolArgs, row: &Row, events: &str, size: &str, label: Option<&str>) -> Result<Count, Vec<Issue>> {
    let mut issues = Vec::new();
    let mut number = |column: &str| match row.number(column) {
        Ok(value) => Some(value),
        Err(issue) => {
            issues.push(issue);
            None
        }
    };
    let (x, t) = (number(events), number(size));
    let n = args.n.as_deref().and_then(&mut number);
    if let Some(x) = x.filter(|x| *x < 0.0 || x.fract() != 0.0) {
        let remedy = "count whole events; a study without events has 0";
        issues.push(row.complain(events, format!("{x} events"), "a whole number of 0 or more", remedy));
    }
    if let Some(t) = t.filter(|t| *t <= 0.0) {
        let remedy = "take the study out, or give its exposure";
        issues.push(row.complain(size, format!("{t}"), "a number above 0", remedy));
    }
    if let (Some(x), Some(n)) = (x, n)
        && x > n
    {
        let column = args.n.as_deref().unwrap_or_default();
        let remedy = "check both; recurrent events want --exposure without --n";
        issues.push(row.complain(events, format!("{x} events of {n} in `{column}`"), "at most the number", remedy));
    }
    let moderator = args.moderator.as_deref().map(|column| match row.maybe(column) {
        Some(words) => Ok(words.parse().map_or_else(|_| Moderator::Level(words.to_owned()), Moderator::Number)),
        None => Err(row.complain(column, "nothing", "a number or a level", "fill it in, or leave the study out")),
    });
    let moderator = match moderator.transpose() {
        Ok(found) => found,
        Err(issue) => {
            issues.push(issue);
            None
        }
    };
    match (x, t) {
        (Some(events), Some(size)) if issues.is_empty() => Ok(Count {
            label: label.and_then(|c| row.maybe(c)).map_or(format!("line {}", row.line()), str::to_owned),
            events,
            size,
            group: args.by.as_deref().and_then(|c| row.maybe(c)).unwrap_or_default().to_owned(),
            moderator,
            year: row.maybe_number(&args.year).ok().flatten(),
        }),
        _ => Err(issues),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

    use super::*;
    use crate::args::{Args, Command, EvidenceCommand};
    use crate::commands::evidence::pooled::Analysis;
    use clap::Parser;
    use proptest::prelude::*;

    fn asked(more: &[&str]) -> PoolArgs {
        let words = ["bisque", "evidence", "pool", "--data", "a.csv", "--events", "x", "--exposure", "t"];
        match Args::try_parse_from([&words[..], more].concat()).unwrap().command {
            Command::Evidence(EvidenceCommand::Pool(args)) => *args,
            other => panic!("{other:?}"),
        }
    }

    const GOOD: &str = "study,x,t,n\nA,3,300,80\nB,0,120,40\nC,7,410,90\nD,12,300,100\n";

    /// Reads, and pools what was read: an answer or a refusal, never a panic, and no estimate that is no number.
    fn survives(text: &str) -> Result<(), TestCaseError> {
        for more in [&[][..], &["--model", "glmm", "--n", "n"], &["--moderator", "n", "--by", "study"]] {
            let args = asked(more);
            let Ok(counts) = of_text(&args, "a.csv", text) else { continue };
            prop_assert!(counts.rows.iter().all(|r| r.events >= 0.0 && r.size > 0.0));
            let analysis = Analysis { counts: &counts, args: &args };
            let all: Vec<usize> = (0..counts.rows.len()).collect();
            if let Ok(pooled) = analysis.pool(&all) {
                prop_assert!(!pooled.estimate.is_nan(), "{text:?}");
            }
        }
        Ok(())
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(80))]

        #[test]
        fn the_reader_survives_garbage(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
            survives(&String::from_utf8_lossy(&bytes))?;
        }

        #[test]
        fn the_reader_survives_mutated_tables(at in 0..GOOD.len(), with in "[-0-9.eE,\"\n a-z]{0,6}", cut in 0..4usize) {
            let end = (at + cut).min(GOOD.len());
            survives(&format!("{}{with}{}", &GOOD[..at], &GOOD[end..]))?;
        }
    }
}
