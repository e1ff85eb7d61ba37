//! `bisque catalogue`: the facts the program rests on.

use super::{facts, print_json, say};
use crate::args::CatalogueCommand;
use crate::failure::Failure;
use serde_json::{Map, Value, json};
use std::path::Path;

/// Runs a `catalogue` command.
pub fn run(command: CatalogueCommand, data: Option<&Path>) -> Result<(), Failure> {
    let catalogue = facts(data)?;
    match command {
        CatalogueCommand::List { json } => {
            let index = catalogue.index();
            if json {
                return print_json(&index);
            }
            say("table                       rows  own  from memory  weakest basis");
            for t in &index {
                let weakest = t.weakest.map_or(String::new(), |b| b.word().to_owned());
                say(&format!("{:<26} {:>5} {:>4} {:>12}  {weakest}", t.name, t.rows, t.own, t.from_memory));
            }
            Ok(())
        }
        CatalogueCommand::Show { what, json } => show(&catalogue, &what, json),
        CatalogueCommand::Sources { json } => {
            let sources: Vec<_> = catalogue.sources().collect();
            if json {
                return print_json(&sources);
            }
            for s in sources {
                let doi = s.doi.as_ref().map_or(String::new(), |d| format!(", doi {d}"));
                say(&format!("{}: {}{doi} [{}]", s.id, s.citation, s.basis));
            }
            Ok(())
        }
    }
}

fn show(catalogue: &::catalogue::Catalogue, what: &str, json: bool) -> Result<(), Failure> {
    let found: Vec<(&str, &table::Row)> = match catalogue.table(what) {
        Some(rows) => rows.iter().map(|(row, _)| (what, row)).collect(),
        None => catalogue.find(what),
    };
    if found.is_empty() {
        let names: Vec<String> =
            catalogue.index().into_iter().map(|t| t.name.trim_end_matches(".csv").to_owned()).collect();
        let near = answer::nearest_name(what, names.iter().map(String::as_str));
        let hint = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        return Err(Failure::Usage(format!("no table and no row is named `{what}`{hint} (bisque catalogue list)")));
    }
    if json {
        let rows: Vec<Value> = found
            .iter()
            .map(|(table, row)| {
                let cells: Map<String, Value> =
                    row.cells().map(|(name, cell)| (name.to_owned(), json!(cell))).collect();
                json!({ "table": table, "line": row.line(), "row": cells })
            })
            .collect();
        return print_json(&rows);
    }
    for (table, row) in found {
        say(&format!("{table}, line {}", row.line()));
        for (name, cell) in row.cells().filter(|(_, cell)| !cell.is_empty()) {
            say(&format!("  {name}: {cell}"));
        }
    }
    Ok(())
}
