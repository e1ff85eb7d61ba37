//! Making a register, taking files in, giving everything out.

use super::super::{print_json, say};
use super::Desk;
use crate::failure::Failure;
use crate::files;
use crate::meter::Meter;
use ::register::{Counting, Import, Layout, invent};
use std::fs::File;
use std::io::{BufRead, BufReader, BufWriter, Read, Write};
use std::path::Path;
use store::Keeper;

/// Largest table taken in, bytes.
const LARGEST: u64 = 2 * 1024 * 1024 * 1024;
/// Refused rows told on the terminal; `--json` tells all.
const TOLD: usize = 40;

/// Makes a register.
pub fn init(desk: &Desk, invented: Option<usize>, seed: u64) -> Result<(), Failure> {
    let mut keeper = Keeper::create(&desk.place, desk.passphrase.as_deref())?;
    if let Some(n) = invented {
        fill(desk, &mut keeper, n, seed)?;
    }
    let totals = keeper.totals()?;
    if desk.json {
        return print_json(&serde_json::json!({
            "place": desk.place.to_string(), "sealed": keeper.is_sealed(), "totals": totals
        }));
    }
    let sealed = if keeper.is_sealed() {
        "sealed: without the passphrase nobody gets in, you neither; keep it apart from the machine"
    } else {
        "not sealed: give a passphrase (BISQUE_PASSPHRASE) at `init` to seal pseudonyms, record numbers and free text"
    };
    say(&format!("a register stands at {} ({sealed})", desk.place));
    if invented.is_some() {
        say(&format!("{} invented restorations of {} invented patients", totals.restorations, totals.patients));
    }
    Ok(())
}

fn fill(desk: &Desk, keeper: &mut Keeper, n: usize, seed: u64) -> Result<(), Failure> {
    use ::register::{Store, Told};
    let writings = invent(seed, n, desk.today).writings(desk.rules());
    Ok(keeper.write(&desk.author, &writings, Told::Batch("invented"))?)
}

fn failed(path: &Path) -> impl Fn(std::io::Error) -> Failure + '_ {
    move |source| Failure::Read { path: path.to_owned(), source }
}

/// Takes in a table.
pub fn import(desk: &Desk, file: &Path, layout: &Path, dry_run: bool) -> Result<(), Failure> {
    let layout_text = files::read(layout)?;
    let layout_name = layout.display().to_string();
    let layout = Layout::parse(&layout_name, &layout_text)
        .map_err(|issues| Failure::Input { issues, text: Some(layout_text.clone()) })?;
    let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let text = read_large(file)?;
    let refused = |issues| Failure::Input { issues, text: None };
    let rows = Import::of_text(&name, &text, &layout, desk.today).map_err(refused)?;
    drop(text);
    let mut keeper = desk.open()?;
    let taken = rows.take(&mut desk.work(&mut keeper), dry_run, &Meter::new("taking patients in"))?;
    if desk.json {
        let lines: Vec<_> = taken
            .refused
            .iter()
            .map(|r| serde_json::json!({"line": r.line, "column": r.issue.place.field, "found": r.issue.found, "expected": r.issue.expected, "do": r.issue.remedy}))
            .collect();
        return print_json(&serde_json::json!({
            "rows": taken.rows, "added": taken.added, "unchanged": taken.unchanged, "refused": lines, "dry_run": dry_run
        }));
    }
    for r in taken.refused.iter().take(TOLD) {
        say(&format!(
            "line {}: {}: {}; expected {}; {}",
            r.line, r.issue.place.field, r.issue.found, r.issue.expected, r.issue.remedy
        ));
    }
    if taken.refused.len() > TOLD {
        say(&format!("... and {} more (`--json` tells all)", taken.refused.len() - TOLD));
    }
    for (field, value) in &layout.fixed {
        say(&format!("default used: {field} = {value} where the file says nothing"));
    }
    let would = if dry_run { " would be" } else { "" };
    say(&format!(
        "{} rows: {} {}{would} added, {} stood there already, {} refused{}",
        taken.rows,
        taken.added,
        if taken.added == 1 { "record" } else { "records" },
        taken.unchanged,
        taken.refused.len(),
        if dry_run { "; nothing was written (dry run)" } else { "" }
    ));
    Ok(())
}

fn read_large(path: &Path) -> Result<String, Failure> {
    let failed = failed(path);
    let file = File::open(path).map_err(&failed)?;
    let mut bytes = Vec::new();
    file.take(LARGEST).read_to_end(&mut bytes).map_err(&failed)?;
    String::from_utf8(bytes).map_err(|e| {
        let line = e.as_bytes()[..e.utf8_error().valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
        let place = answer::Place { line: Some(line), ..answer::Place::file(path.display().to_string()) };
        let issue = answer::Issue::error(place, "text that is not UTF-8", "UTF-8", "save the file as CSV in UTF-8");
        Failure::Input { issues: vec![issue], text: None }
    })
}

/// Writes a file beside its place and moves it there when it is whole.
fn whole(path: &Path, write: impl FnOnce(&mut dyn Write) -> Result<(), Failure>) -> Result<(), Failure> {
    let unwritable = |source| Failure::Write { path: path.to_owned(), source };
    let mut name = path.file_name().map(ToOwned::to_owned).unwrap_or_default();
    name.push(format!(".writing-{}", std::process::id()));
    let beside = path.with_file_name(name);
    let outcome = (|| {
        let file = File::create(&beside).map_err(unwritable)?;
        let mut out = BufWriter::new(file);
        write(&mut out)?;
        let file = out.into_inner().map_err(|e| unwritable(e.into_error()))?;
        file.sync_all().map_err(unwritable)?;
        std::fs::rename(&beside, path).map_err(unwritable)
    })();
    if outcome.is_err() {
        // It is ours alone; if it cannot be removed, the failure still stands.
        let _ = std::fs::remove_file(&beside);
    }
    outcome
}

/// Writes everything as lines of JSON.
pub fn export(desk: &Desk, file: &Path) -> Result<(), Failure> {
    let mut keeper = desk.open()?;
    whole(file, |out| Ok(keeper.dump(out)?))?;
    super::enter::told(
        desk,
        "",
        &format!("{} written, unsealed: it holds pseudonyms and free text; guard it", file.display()),
    )
}

fn backup_passphrase(desk: &Desk) -> Result<String, Failure> {
    let own = std::env::var("BISQUE_BACKUP_PASSPHRASE").ok().filter(|p| !p.is_empty());
    own.or_else(|| desk.passphrase.clone()).ok_or_else(|| {
        Failure::Usage("a backup is sealed: give a passphrase in BISQUE_BACKUP_PASSPHRASE or BISQUE_PASSPHRASE".into())
    })
}

/// Writes a backup.
pub fn backup(desk: &Desk, file: &Path) -> Result<(), Failure> {
    let passphrase = backup_passphrase(desk)?;
    // A register that is not sealed is opened without the passphrase meant for the backup.
    let mut keeper = match desk.open() {
        Err(Failure::Store(e)) if matches!(*e, store::StoreError::NotSealed) => Keeper::open(&desk.place, None)?,
        other => other?,
    };
    whole(file, |out| Ok(keeper.backup(out, &passphrase)?))?;
    super::enter::told(desk, "", &format!("{} written, sealed", file.display()))
}

/// Makes a register from a backup or an export.
pub fn restore(desk: &Desk, file: &Path) -> Result<(), Failure> {
    let failed = failed(file);
    let mut input = BufReader::new(File::open(file).map_err(&failed)?);
    let is_export = input.fill_buf().map_err(&failed)?.starts_with(b"{");
    let backup = if is_export { String::new() } else { backup_passphrase(desk)? };
    let mut keeper = Keeper::create(&desk.place, desk.passphrase.as_deref())?;
    let outcome = match is_export {
        true => keeper.load(&mut input, &desk.criteria),
        false => keeper.restore(&mut input, &backup, &desk.criteria),
    };
    if let Err(error) = outcome {
        drop(keeper);
        if let store::Place::File(path) = &desk.place {
            // Nothing went in: the empty register made for it goes again.
            for end in ["", "-wal", "-shm"] {
                let _ = std::fs::remove_file(format!("{}{end}", path.display()));
            }
        }
        return Err(error.into());
    }
    let totals = keeper.totals()?;
    super::enter::told(
        desk,
        "",
        &format!("{}: {} patients, {} restorations restored", desk.place, totals.patients, totals.restorations),
    )
}
