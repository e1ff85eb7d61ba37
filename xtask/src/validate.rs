//! Writes `docs/validation.md`: what was checked against something outside the project, and what came out.
//!
//! Two things are read from one run of the integration tests: their result lines, one row a test file with the first
//! sentence of its head; and the lines a test prints in the form
//!
//! `validation | claim | source | expected | found | hit or miss | remark`
//!
//! for comparisons that are reported rather than gated. The page names a digest of the code and data it was made from.
//! With `--include-ignored` the long checks named in `long` run too, each for a limited time.

use crate::{built, long, run, test::Count, workspace};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

const PAGE: &str = "docs/validation.md";

/// One integration test file and what came of it.
struct Checked {
    file: String,
    about: String,
    count: Count,
    rows: Vec<Row>,
}

/// One reported comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Row {
    claim: String,
    source: String,
    expected: String,
    found: String,
    outcome: String,
    remark: String,
}

/// # Errors
/// When a test cannot be built or the page cannot be written. Tests that fail are reported on the page and make the command fail.
pub fn validate(include_ignored: bool) -> Result<(), String> {
    let workspace = workspace::read()?;
    println!("building all tests");
    let programs = built::tests(&workspace.root)?;
    let mut checked = Vec::new();
    for member in &workspace.members {
        let folder = workspace.root.join(&member.folder);
        for (name, file) in &member.tests {
            println!("{}: {name}", member.name);
            let program = programs.get(Path::new(file)).ok_or_else(|| format!("{file} was not built"))?;
            let mut one = check(&workspace.root, &folder, program, file)?;
            if include_ignored {
                long::run(&folder, program, &member.name, name, |line| one.rows.extend(row(line)))?;
                one.rows.sort_by(|a, b| (&a.claim, &a.source).cmp(&(&b.claim, &b.source)));
            }
            checked.push(one);
        }
    }
    let page = page(&checked, &digest(&workspace.root)?);
    std::fs::write(workspace.root.join(PAGE), page).map_err(|e| format!("{PAGE} cannot be written: {e}"))?;
    let failed: usize = checked.iter().map(|c| c.count.failed).sum();
    println!("written: {PAGE}");
    if failed == 0 { Ok(()) } else { Err(format!("{failed} checks failed: see {PAGE}")) }
}

fn check(root: &Path, folder: &Path, program: &str, file: &str) -> Result<Checked, String> {
    let text = std::fs::read_to_string(root.join(file)).map_err(|e| format!("{file} cannot be read: {e}"))?;
    let (mut count, mut rows) = (Count::default(), Vec::new());
    let ended_well = run::lines(folder, program, &["--quiet", "--nocapture", "--test-threads=1"], |line| {
        count.add(line);
        rows.extend(row(line));
    })?;
    if !ended_well && count.failed == 0 {
        return Err(format!("{file} could not be run"));
    }
    rows.sort_by(|a: &Row, b| (&a.claim, &a.source).cmp(&(&b.claim, &b.source)));
    Ok(Checked { file: file.into(), about: about(&text), count, rows })
}

/// A printed comparison; `None` for any other line. The test program may have begun the line with something of its own.
fn row(line: &str) -> Option<Row> {
    let (_, rest) = line.split_once("validation | ")?;
    let parts: Vec<String> = rest.split(" | ").map(|p| p.trim().to_owned()).collect();
    let [claim, source, expected, found, outcome, rest @ ..] = parts.as_slice() else { return None };
    Some(Row {
        claim: claim.clone(),
        source: source.clone(),
        expected: expected.clone(),
        found: found.clone(),
        outcome: outcome.clone(),
        remark: rest.join(", "),
    })
}

/// First sentence of a file's head comment.
fn about(text: &str) -> String {
    let head: Vec<&str> =
        text.lines().map_while(|l| l.strip_prefix("//!")).map(str::trim).take_while(|l| !l.is_empty()).collect();
    let whole = head.join(" ");
    whole.split_once(". ").map_or(whole.as_str(), |(first, _)| first).trim_end_matches('.').to_owned()
}

fn page(checked: &[Checked], digest: &str) -> String {
    let mut page = String::from(
        "# Validation: claims, checks, sources, results, misses\n\n\
         Written by `cargo xtask validate`; do not edit by hand. A *check* is a test that fails when the claim is wrong. A *comparison* is\n\
         reported as it falls, hit or miss, and nothing is tuned to it. Figures compared with stand in the tests' `reference/` folders, never in `data/`.\n\n",
    );
    let _ = writeln!(
        page,
        "Digest of code and data: `{digest}`\n\n## Checks\n\n| file | what it checks | passed | failed |\n| --- | --- | --- | --- |"
    );
    for c in checked {
        let _ = writeln!(page, "| `{}` | {} | {} | {} |", c.file, cell(&c.about), c.count.passed, c.count.failed);
    }
    let rows: Vec<&Row> = checked.iter().flat_map(|c| &c.rows).collect();
    let hits = rows.iter().filter(|r| r.outcome == "hit").count();
    let _ = writeln!(
        page,
        "\n## Comparisons\n\n{hits} of {} fall where their source says.\n\n| claim | source | expected | found | outcome | remark |\n| --- | --- | --- | --- | --- | --- |",
        rows.len()
    );
    for r in rows {
        let cells = [&r.claim, &r.source, &r.expected, &r.found, &r.outcome, &r.remark].map(|c| cell(c));
        let _ = writeln!(page, "| {} |", cells.join(" | "));
    }
    page
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

/// FNV-1a over the names and bytes of all code and data, in name order: tells whether the page is older than they are.
fn digest(root: &Path) -> Result<String, String> {
    let mut files = Vec::new();
    for folder in ["ground", "science", "practice", "faces", "data", "examples"] {
        gather(&root.join(folder), &mut files);
    }
    files.sort();
    let mut hash = 0xcbf29ce484222325u64;
    for file in &files {
        let bytes = std::fs::read(file).map_err(|e| format!("{} cannot be read: {e}", file.display()))?;
        let name = file.strip_prefix(root).unwrap_or(file).to_string_lossy().into_owned();
        for byte in name.bytes().chain([0]).chain(bytes) {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x100000001b3);
        }
    }
    Ok(format!("{hash:016x}"))
}

fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    for path in entries.filter_map(|e| Some(e.ok()?.path())) {
        if path.is_dir() {
            gather(&path, files);
        } else if path.extension().is_some_and(|e| ["rs", "toml", "csv", "css"].iter().any(|k| e == *k)) {
            files.push(path);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printed_comparison_becomes_a_row() {
        let row =
            row("test a ... validation | more is more | Author 2020, table 2 | 21 | 24 | miss | other reference form")
                .unwrap();
        assert_eq!(
            (row.claim.as_str(), row.outcome.as_str(), row.remark.as_str()),
            ("more is more", "miss", "other reference form")
        );
        assert!(super::row("test a ... ok").is_none() && super::row("validation | too | short").is_none());
    }

    #[test]
    fn the_head_of_a_file_says_what_it_checks() {
        assert_eq!(
            about("//! Beams against the closed form. More.\n//! And more.\n\nuse x;"),
            "Beams against the closed form"
        );
        assert_eq!(about("use x;"), "");
    }
}
