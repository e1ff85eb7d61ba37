//! `bisque colour keep` and `own`: the practice's colours, named and measured once, in a file of its own.

use super::usage;
use crate::args::{KeepArgs, Kept};
use crate::commands::{facts, print_json, say};
use crate::failure::Failure;
use crate::files;
use ::catalogue::{Catalogue, OwnColour, OwnKind};
use answer::Issue;
use serde_json::json;
use std::path::Path;
use table::Table;

const FILE: &str = "own_colours.csv";
const HEAD: &str = "id,kind,name,L,a,b,spread,instrument,read_on,source,basis,note\n";

/// Adds one colour to the practice's file.
pub fn run(args: &KeepArgs, data: Option<&Path>) -> Result<(), Failure> {
    let [l, a, b] = args.lab[..] else {
        return Err(usage("three numbers are needed: L* a* b*"));
    };
    let kind = match args.kind {
        Kept::Tab => OwnKind::Tab,
        Kept::Stump => OwnKind::Stump,
    };
    let folder = folder(data)?;
    let colour = OwnColour {
        kind,
        name: args.name.trim().to_owned(),
        lab: [l, a, b],
        spread: args.spread,
        instrument: args.instrument.clone(),
        read_on: args.on.clone(),
    };
    keep(&colour, folder, args.replace)?;
    say(&format!("Kept: {kind} `{}` in {}", colour.name, folder.join(FILE).display()));
    Ok(())
}

/// The folder of the practice's own tables, which keeping needs.
pub fn folder(data: Option<&Path>) -> Result<&Path, Failure> {
    data.ok_or_else(|| usage("it is kept in the practice's own folder; expected --data FOLDER: name the folder, it is made if it is not there"))
}

/// Writes the file anew with one colour more. A name that is there already is left alone unless `replace`: what was measured once
/// must not change under a plan that names it.
pub fn keep(colour: &OwnColour, folder: &Path, replace: bool) -> Result<(), Failure> {
    let path = folder.join(FILE);
    let text = if path.exists() { files::read(&path)? } else { HEAD.to_owned() };
    let failed = |issues: Vec<Issue>| Failure::Input { issues, text: Some(text.clone()) };
    let table = Table::parse(FILE, &text).map_err(failed)?;
    table.require(&["id", "kind", "name", "L", "a", "b"]).map_err(failed)?;
    let there = table.rows().iter().find(|row| row.maybe("name").map(str::trim) == Some(colour.name.as_str()));
    if let (Some(row), false) = (there, replace) {
        return Err(failed(vec![row.complain(
            "name",
            format!("`{}` is there already", colour.name),
            "a name that is free",
            "take another name, or --replace to put the new reading in its place",
        )]));
    }
    let columns = table.columns();
    let mut lines = vec![columns.join(",")];
    let rows = table.rows().iter().filter(|row| there.is_none_or(|t| t.line() != row.line()));
    lines.extend(
        rows.map(|row| columns.iter().map(|c| quoted(row.maybe(c).unwrap_or(""))).collect::<Vec<_>>().join(",")),
    );
    lines.push(columns.iter().map(|c| quoted(&cell(colour, c))).collect::<Vec<_>>().join(","));
    let new = lines.join("\n") + "\n";
    // What would not be read again is not written.
    let mut own = files::read_folder_if_there(folder, &["csv", "toml"])?;
    own.retain(|(name, _)| name != FILE);
    own.push((FILE.to_owned(), new.clone()));
    Catalogue::with_own(&own).map_err(|issues| Failure::Input { issues, text: Some(new.clone()) })?;
    files::write_all(folder, &[(FILE.to_owned(), new.into_bytes())])
}

fn cell(colour: &OwnColour, column: &str) -> String {
    let number = |v: f64| answer::six_figures(v).to_string();
    match column {
        "id" => {
            let key: String = colour.name.chars().map(|c| if c.is_alphanumeric() { c } else { '_' }).collect();
            format!("{}_{}", colour.kind.word(), key.to_lowercase())
        }
        "kind" => colour.kind.word().to_owned(),
        "name" => colour.name.clone(),
        "L" => number(colour.lab[0]),
        "a" => number(colour.lab[1]),
        "b" => number(colour.lab[2]),
        "spread" => colour.spread.map(number).unwrap_or_default(),
        "instrument" => colour.instrument.clone().unwrap_or_default(),
        "read_on" => colour.read_on.clone().unwrap_or_default(),
        "source" => "own_reading".to_owned(),
        "basis" => "own".to_owned(),
        _ => String::new(),
    }
}

fn quoted(cell: &str) -> String {
    let cell = cell.replace(['\n', '\r'], " ");
    if cell.contains([',', '"']) { format!("\"{}\"", cell.replace('"', "\"\"")) } else { cell }
}

/// Lists what the practice has named and measured.
pub fn list(data: Option<&Path>, as_json: bool) -> Result<(), Failure> {
    let catalogue = facts(Some(folder(data)?))?;
    let media = catalogue.media();
    if as_json {
        let colours: Vec<_> = catalogue
            .own_colours()
            .iter()
            .map(|c| {
                let [l, a, b] = c.lab;
                json!({ "kind": c.kind.word(), "name": c.name, "L": l, "a": a, "b": b, "spread": c.spread,
                        "instrument": c.instrument, "read_on": c.read_on })
            })
            .collect();
        return print_json(&json!({ "colours": colours, "media": media }));
    }
    for c in catalogue.own_colours() {
        let [l, a, b] = c.lab;
        let more: Vec<String> = [
            c.spread.map(|s| format!("spread {s}")),
            c.instrument.clone(),
            c.read_on.as_ref().map(|d| format!("read {d}")),
        ]
        .into_iter()
        .flatten()
        .collect();
        say(&format!("{:<6} {:<24} L* {l:.1} a* {a:.1} b* {b:.1}  {}", c.kind.word(), c.name, more.join(", ")));
    }
    for medium in &media {
        let bands = catalogue.medium(medium);
        let class = bands.first().and_then(|b| Some((b.material?, b.grade)));
        let stands = class.map_or(String::new(), |(m, g)| {
            format!("stands for {m}{}", g.map_or(String::new(), |g| format!(", {} grade", g.word())))
        });
        say(&format!("medium {medium:<24} {} bands  {stands}", bands.len()));
    }
    if catalogue.own_colours().is_empty() && media.is_empty() {
        say(
            "Nothing is kept yet: bisque colour keep NAME L a b --kind tab|stump, bisque colour characterise DISCS.csv.",
        );
    }
    Ok(())
}
