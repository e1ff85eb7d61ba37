//! The page `docs/case.md`, from the list of fields.

use crate::fields::{Field, Kind, ROOT, Sheet, SheetAnswer};
use std::fmt::Write as _;

const HEAD: &str = "\
# The case file

Generated from the list of fields in `practice/case/src/fields`; do not edit by hand. `bisque case new KIND` writes a commented
template, `bisque case check FILE` says what is wrong with a file, `bisque case schema` prints the JSON Schema.

A case is one tooth or one gap. The file is TOML: `name = value`, sections in brackets. Teeth are written by two-digit code (ISO 3950). Left
out means not answered: the answer widens and the default is listed. `[]` in a list of choices means asked, and none. Readings are CIELAB.

Words in the column *need*: **required** - the file is refused without it; a row of the sheet (below) - must be answered before a plan is
complete; *optional* - sharpens the answer. *Stump* marks what only a preparation can tell.
";

/// The text of `docs/case.md`.
pub fn document() -> String {
    let mut text = HEAD.to_owned();
    rows_of_the_sheet(&mut text);
    let simple: Vec<_> = ROOT.iter().filter(|f| f.fields().is_empty()).collect();
    put(&mut text, "\n## At the top of the file\n");
    table(&mut text, &simple);
    for section in ROOT.iter().filter(|f| !f.fields().is_empty()) {
        whole_section(&mut text, section, section.name);
    }
    text
}

fn put(text: &mut String, line: &str) {
    // Writing to a string cannot fail.
    let _ = writeln!(text, "{line}");
}

fn rows_of_the_sheet(text: &mut String) {
    put(text, "\n## Rows of the sheet\n");
    put(text, "One answer is one row, given in one go; for a bridge each row holds its abutments side by side.\n");
    let heads: Vec<_> = Sheet::ALL.iter().map(|s| s.label()).collect();
    put(text, &format!("| row | {} |", heads.join(" | ")));
    put(text, &format!("| --- |{}", " --- |".repeat(heads.len())));
    for answer in SheetAnswer::ALL {
        let marks = Sheet::ALL.iter().map(|s| match (answer.is_asked(*s, false), answer.is_asked(*s, true)) {
            (true, _) => "asked",
            (false, true) => "front teeth",
            _ => "",
        });
        put(text, &format!("| {} | {} |", answer.label(), marks.collect::<Vec<_>>().join(" | ")));
    }
    let count = |sheet: Sheet, front| SheetAnswer::ALL.iter().filter(|a| a.is_asked(sheet, front)).count();
    let counts: Vec<_> =
        Sheet::ALL.iter().map(|s| format!("{} (front {})", count(*s, false), count(*s, true))).collect();
    put(text, &format!("| **rows** | {} |", counts.join(" | ")));
}

fn whole_section(text: &mut String, section: &Field, path: &str) {
    let heading = if matches!(section.kind, Kind::Sections(_)) { format!("[[{path}]]") } else { format!("[{path}]") };
    let sheets = match section.sheets {
        [] => String::new(),
        sheets => format!(" Stands on: {}.", sheets.iter().map(|s| s.label()).collect::<Vec<_>>().join(", ")),
    };
    put(text, &format!("\n## `{heading}`\n\n{} Matters for: {}.{sheets}\n", section.question, section.why));
    table(text, &section.fields().iter().filter(|f| f.fields().is_empty()).collect::<Vec<_>>());
    for part in section.fields().iter().filter(|f| !f.fields().is_empty()) {
        whole_section(text, part, &format!("{path}.{}", part.name));
    }
}

fn table(text: &mut String, fields: &[&Field]) {
    put(text, "| field | question | what to write | need | matters for | while not answered |");
    put(text, "| --- | --- | --- | --- | --- | --- |");
    for f in fields {
        let need = match (f.required, f.answer) {
            (true, _) => "**required**".to_owned(),
            (false, Some(answer)) => answer.label().to_owned(),
            (false, None) => "*optional*".to_owned(),
        };
        let stump = if f.at_stump { ", stump" } else { "" };
        let cells = [
            format!("`{}`", f.name),
            f.question.to_owned(),
            f.kind.expectation(),
            format!("{need}{stump}"),
            f.why.to_owned(),
            fallback(f),
        ];
        put(text, &format!("| {} |", cells.join(" | ")));
    }
}

fn fallback(field: &Field) -> String {
    let Some((taken, fallback)) = crate::defaults::in_words(field).zip(field.fallback) else { return String::new() };
    let source = if fallback.source.is_empty() { String::new() } else { format!(": {}", fallback.source) };
    format!("{taken} ({}{source})", fallback.basis.word())
}
