//! Rows of a survival file: every wrong line is told before anything is computed; rows without a group, stratum, cluster or covariate are left
//! out and counted.

use crate::args::RowsArgs;
use crate::failure::Failure;
use crate::files;
use answer::{Issue, Place};
use std::path::Path;
use survival::{DataError, Observations, codes_of};
use table::{Row, Table};

/// Columns as read.
#[derive(Debug, Default)]
pub struct Rows {
    /// Name of the file.
    pub file: String,
    /// Exit times.
    pub exit: Vec<f64>,
    /// Causes, 0 = censored.
    pub cause: Vec<u32>,
    /// Names of causes, from 1.
    pub causes: Vec<String>,
    /// Entry times.
    pub entry: Option<Vec<f64>>,
    /// Group of each row, and names.
    pub group: Option<(Vec<u32>, Vec<String>)>,
    /// Stratum of each row, and names.
    pub strata: Option<(Vec<u32>, Vec<String>)>,
    /// Cluster of each row, and their number.
    pub cluster: Option<(Vec<u32>, usize)>,
    /// Covariates: name and values.
    pub covariates: Vec<(String, Vec<f64>)>,
    /// Columns with words: reference level of each.
    pub references: Vec<(String, String)>,
    /// Rows left out: column and number.
    pub left_out: Vec<(String, usize)>,
}

impl Rows {
    /// The columns for the engine; with `cause` only that one is the event.
    pub fn observations<'a>(&'a self, cause: &'a [u32]) -> Result<Observations<'a>, Failure> {
        let told = |e: DataError| Failure::Usage(format!("{}: {e}", self.file));
        let seen = match &self.entry {
            Some(entry) => Observations::with_entry(entry, &self.exit, cause).map_err(told)?,
            None => Observations::new(&self.exit, cause).map_err(told)?,
        };
        match &self.cluster {
            Some((codes, _)) => seen.with_clusters(codes).map_err(told),
            None => Ok(seen),
        }
    }

    /// Events of one named cause (all where none is named) as 1, all else 0.
    pub fn events(&self, cause: Option<&str>) -> Result<Vec<u32>, Failure> {
        let Some(name) = cause else { return Ok(self.cause.iter().map(|&c| u32::from(c > 0)).collect()) };
        let Some(at) = self.causes.iter().position(|c| c == name) else {
            let known = self.causes.join(", ");
            return Err(Failure::Usage(format!("--cause {name}: no row has this cause; there are: {known}")));
        };
        Ok(self.cause.iter().map(|&c| u32::from(c as usize == at + 1)).collect())
    }
}

/// Reads the rows a command asks for.
///
/// # Errors
/// Every wrong line, with column and remedy.
pub fn read(args: &RowsArgs, covariates: &[String]) -> Result<Rows, Failure> {
    if !(args.level > 0.0 && args.level < 100.0) {
        return Err(Failure::Usage(format!("--level {}: give a per cent between 0 and 100, e.g. 95", args.level)));
    }
    let path = args.data.as_deref().unwrap_or(Path::new(""));
    let text = files::read(path)?;
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    of_text(args, covariates, &name, &text).map_err(|issues| Failure::Input { issues, text: Some(text) })
}

/// Rows of a text.
pub fn of_text(args: &RowsArgs, covariates: &[String], name: &str, text: &str) -> Result<Rows, Vec<Issue>> {
    let table = Table::parse(name, text)?;
    let optional = [&args.entry, &args.group, &args.strata, &args.cluster];
    let named: Vec<&str> = [&args.time, &args.event]
        .into_iter()
        .chain(optional.into_iter().flatten())
        .chain(covariates)
        .map(String::as_str)
        .collect();
    table.require(&named)?;
    // Rows that lack a value to group or explain by cannot take part; time and event must stand everywhere.
    let may_lack: Vec<&str> = [&args.group, &args.strata, &args.cluster]
        .into_iter()
        .flatten()
        .chain(covariates)
        .map(String::as_str)
        .collect();
    let lacks = |row: &Row| may_lack.iter().copied().find(|c| row.maybe(c).is_none_or(|v| v == "NA"));
    let mut left_out: Vec<(String, usize)> = Vec::new();
    let mut kept: Vec<&Row> = Vec::new();
    for row in table.rows() {
        match lacks(row) {
            None => kept.push(row),
            Some(column) => match left_out.iter_mut().find(|(c, _)| c == column) {
                Some((_, n)) => *n += 1,
                None => left_out.push((column.to_owned(), 1)),
            },
        }
    }
    let mut issues = Vec::new();
    if kept.is_empty() {
        let remedy = "fill in the columns named on the command line";
        issues.push(Issue::error(Place::file(name), "no row can be used", "at least one complete row", remedy));
    }
    let mut rows = Rows { file: name.to_owned(), left_out, ..Rows::default() };
    for row in &kept {
        match times(args, row) {
            Ok((entry, exit)) => {
                rows.exit.push(exit);
                if let Some(entry) = entry {
                    rows.entry.get_or_insert_default().push(entry);
                }
            }
            Err(issue) => issues.push(issue),
        }
    }
    match causes(args, &kept) {
        Ok((cause, names)) => (rows.cause, rows.causes) = (cause, names),
        Err(more) => issues.extend(more),
    }
    for column in covariates {
        match covariate(column, &kept) {
            Ok((columns, reference)) => {
                rows.covariates.extend(columns);
                rows.references.extend(reference.map(|r| (column.clone(), r)));
            }
            Err(more) => issues.extend(more),
        }
    }
    if !issues.is_empty() {
        issues.sort_by_key(|i| i.place.line);
        return Err(issues);
    }
    let words = |column: &Option<String>| column.as_ref().map(|c| sorted_codes(c, &kept));
    rows.group = words(&args.group);
    // A bare number says nothing without its column.
    if let (Some((_, names)), Some(column)) = (&mut rows.group, &args.group) {
        names.iter_mut().filter(|n| n.parse::<f64>().is_ok()).for_each(|n| *n = format!("{column} {n}"));
    }
    rows.strata = words(&args.strata);
    rows.cluster = words(&args.cluster).map(|(codes, names)| (codes, names.len()));
    Ok(rows)
}

/// Codes in the order of names, so that a shuffled file gives the same answer.
fn sorted_codes(column: &str, rows: &[&Row]) -> (Vec<u32>, Vec<String>) {
    let cells: Vec<&str> = rows.iter().map(|r| r.maybe(column).unwrap_or_default()).collect();
    let (codes, names) = codes_of(&cells);
    let mut order: Vec<usize> = (0..names.len()).collect();
    order.sort_by(|&a, &b| match (names[a].parse::<f64>(), names[b].parse::<f64>()) {
        (Ok(x), Ok(y)) => x.total_cmp(&y).then(names[a].cmp(names[b])),
        _ => names[a].cmp(names[b]),
    });
    let mut place = vec![0; names.len()];
    for (new, &old) in order.iter().enumerate() {
        place[old] = new as u32;
    }
    (codes.iter().map(|&c| place[c as usize]).collect(), order.iter().map(|&o| names[o].to_owned()).collect())
}

fn times(args: &RowsArgs, row: &Row) -> Result<(Option<f64>, f64), Issue> {
    let exit = row.number(&args.time)?;
    let Some(column) = &args.entry else {
        if exit < 0.0 {
            let remedy = "correct the time; where units are watched from later on give --entry COL";
            return Err(row.complain(&args.time, format!("{exit} is negative"), "0 or more", remedy));
        }
        return Ok((None, exit));
    };
    let entry = row.number(column)?;
    if entry >= exit {
        let found = format!("watched from {entry} to {exit}");
        return Err(row.complain(
            column,
            found,
            "an entry before the time",
            "correct one of them, or take the row out",
        ));
    }
    Ok((Some(entry), exit))
}

/// Causes of all rows: numbers as they are, words by name.
fn causes(args: &RowsArgs, rows: &[&Row]) -> Result<(Vec<u32>, Vec<String>), Vec<Issue>> {
    let column = args.event.as_str();
    let standing = |cell: &str| matches!(cell, "0" | "" | "censored" | "no" | "false" | "FALSE" | "False");
    let mut names: Vec<String> = Vec::new();
    let mut issues = Vec::new();
    for row in rows {
        let cell = row.maybe(column).unwrap_or_default();
        if cell.parse::<f64>().is_ok_and(|v| v < 0.0 || v.fract() != 0.0) || cell == "NA" {
            let remedy = "write 0 for a unit still standing, 1 (or 2, 3, a word) for its cause";
            issues.push(row.complain(column, format!("`{cell}`"), "0, a whole number above, or a word", remedy));
        } else if !standing(cell) && !names.iter().any(|n| n == cell) {
            names.push(cell.to_owned());
        }
        if names.len() > 60 {
            let remedy = "name the column that says what happened, not one of times or ids";
            issues.push(row.complain(column, "more than 60 different causes", "a few causes", remedy));
            return Err(issues);
        }
    }
    if !issues.is_empty() {
        return Err(issues);
    }
    names.sort_by(|a, b| match (a.parse::<u32>(), b.parse::<u32>()) {
        (Ok(x), Ok(y)) => x.cmp(&y),
        _ => a.cmp(b),
    });
    let code = |row: &&Row| {
        let cell = row.maybe(column).unwrap_or_default();
        names.iter().position(|n| n == cell).map_or(0, |i| i as u32 + 1)
    };
    Ok((rows.iter().map(code).collect(), names))
}

/// Columns of one covariate, and the reference level where it holds words.
type Columns = (Vec<(String, Vec<f64>)>, Option<String>);

fn covariate(column: &str, rows: &[&Row]) -> Result<Columns, Vec<Issue>> {
    let cells: Vec<&str> = rows.iter().map(|r| r.maybe(column).unwrap_or_default()).collect();
    let numeric = cells.iter().filter(|c| c.parse::<f64>().is_ok()).count();
    // A word among numbers is a slip, not a level.
    if 2 * numeric > cells.len() {
        let mut issues = Vec::new();
        let values = rows.iter().map(|r| r.number(column).map_err(|e| issues.push(e)).unwrap_or_default()).collect();
        return if issues.is_empty() { Ok((vec![(column.to_owned(), values)], None)) } else { Err(issues) };
    }
    let (codes, names) = sorted_codes(column, rows);
    if names.len() > 50 {
        let found = format!("{} different words", names.len());
        let remedy = "join rare levels, or name a column of numbers";
        let place = rows[0].place(column);
        return Err(vec![Issue::error(
            Place { line: None, column: None, ..place },
            found,
            "at most 50 levels",
            remedy,
        )]);
    }
    let mut counts = vec![0usize; names.len()];
    codes.iter().for_each(|&c| counts[c as usize] += 1);
    let most = counts.iter().copied().max().unwrap_or(0);
    let reference = counts.iter().position(|&c| c == most).unwrap_or(0);
    let level = |at: usize| codes.iter().map(|&c| f64::from(u8::from(c as usize == at))).collect();
    let columns = (0..names.len())
        .filter(|&at| at != reference)
        .map(|at| (format!("{column}={}", names[at]), level(at)))
        .collect();
    Ok((columns, Some(names[reference].clone())))
}
