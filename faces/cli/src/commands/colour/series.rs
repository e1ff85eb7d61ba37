//! `bisque colour series`: colours between the thicknesses that were read over the backing in question.

use super::{lab_json, lab_words, usage};
use crate::args::SeriesArgs;
use crate::commands::{print_json, say};
use crate::failure::Failure;
use crate::files;
use ::colour::{Lab, Series, SeriesError};
use answer::{Issue, Place, six_figures};
use serde_json::{Value, json};
use table::Table;

/// Reads a series and tells its colour at each thickness asked for, with the error its own discs show.
pub fn run(args: &SeriesArgs) -> Result<(), Failure> {
    let text = files::read(&args.series)?;
    let file = args.series.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let failed = |issues: Vec<Issue>| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(&file, &text).map_err(failed)?;
    table.require(&["thickness_mm", "L", "a", "b"]).map_err(failed)?;
    let rows = table
        .read(|row| {
            let lab = Lab::new(row.number("L")?, row.number("a")?, row.number("b")?);
            Ok((row.line(), (row.number("thickness_mm")?, lab)))
        })
        .map_err(failed)?;
    let (lines, discs): (Vec<usize>, Vec<(f64, Lab)>) = rows.into_iter().unzip();
    let series = Series::new(&discs).map_err(|e| failed(vec![complaint(e, &file, &lines)]))?;
    let error = series.error();
    let found: Vec<(f64, Lab)> =
        args.at.iter().map(|mm| Ok((*mm, series.at(*mm)?))).collect::<Result<_, SeriesError>>().map_err(usage)?;
    if args.json {
        let list: Vec<Value> =
            found.iter().map(|(mm, lab)| json!({ "thickness_mm": mm, "lab": lab_json(*lab) })).collect();
        return print_json(&json!({ "discs": discs.len(), "error_cie76": six_figures(error), "at": list }));
    }
    for (mm, lab) in &found {
        say(&format!("{mm:>5} mm  {}", lab_words(*lab)));
    }
    say(&format!(
        "Error {error:.2} (CIE 1976, root mean square at inner discs left out in turn: an upper bound); {} discs, over the backing they were read over and no other.",
        discs.len()
    ));
    Ok(())
}

/// The refusal, at the line of its disc.
fn complaint(e: SeriesError, file: &str, lines: &[usize]) -> Issue {
    let (row, field) = match e {
        SeriesError::Order { row, .. } => (row, "thickness_mm"),
        SeriesError::Colour { row } => (row, "L"),
        _ => (0, ""),
    };
    let line = row.checked_sub(1).and_then(|i| lines.get(i).copied());
    let place = Place { file: file.to_owned(), line, field: field.to_owned(), ..Place::default() };
    Issue::error(
        place,
        e.to_string(),
        "at least three discs, one a row, thinnest first, L* 0 to 100",
        "sort the rows by thickness, or read the disc again",
    )
}
