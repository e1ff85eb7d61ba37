//! PDFs, made by the program `bisque-print`: it holds the document engine, which this program does without.

use crate::failure::Failure;
use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// Names another place of the printer.
const PLACE: &str = "BISQUE_PRINT";

/// Document text as a PDF.
///
/// # Errors
/// Where there is no printer, or it refuses the text.
fn pdf(name: &str, text: &str) -> Result<Vec<u8>, Failure> {
    let printer = printer();
    let mut child = Command::new(&printer)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| missing(&printer, &e))?;
    // Written aside, so that a printer that answers while it reads stops neither. One that ended early says why itself.
    let input = child.stdin.take();
    let done = std::thread::scope(|scope| {
        scope.spawn(move || input.map(|mut input| input.write_all(text.as_bytes())));
        child.wait_with_output()
    });
    let done = done.map_err(|e| missing(&printer, &e))?;
    if done.status.success() {
        return Ok(done.stdout);
    }
    let said = String::from_utf8_lossy(&done.stderr);
    let why =
        if said.trim().is_empty() { format!("the printer said nothing ({})", done.status) } else { said.into_owned() };
    Err(Failure::Usage(format!("{name}: no PDF was made: {}", why.trim())))
}

/// Several document texts as PDFs, side by side: names of the files with their texts become names with their bytes.
///
/// # Errors
/// As [`pdf`], for the first that fails.
pub fn pdfs(texts: &[(String, String)]) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let stopped = || Failure::Usage("printing stopped; run it again".to_owned());
    std::thread::scope(|scope| {
        let running: Vec<_> = texts.iter().map(|(name, text)| scope.spawn(move || pdf(name, text))).collect();
        running
            .into_iter()
            .zip(texts)
            .map(|(thread, (name, _))| Ok((name.clone(), thread.join().map_err(|_| stopped())??)))
            .collect()
    })
}

/// Where the environment says, beside this program, or on the path.
fn printer() -> PathBuf {
    let file = format!("bisque-print{}", std::env::consts::EXE_SUFFIX);
    let beside = || {
        let beside = std::env::current_exe().ok()?.parent()?.join(&file);
        beside.is_file().then_some(beside)
    };
    std::env::var_os(PLACE).map(PathBuf::from).or_else(beside).unwrap_or_else(|| PathBuf::from(file.clone()))
}

fn missing(printer: &std::path::Path, why: &std::io::Error) -> Failure {
    Failure::Usage(format!(
        "no PDF was made: `{}` could not be run ({why}); build it with `cargo xtask print`, name its place in {PLACE}, or leave out --pdf and print \
         the pages",
        printer.display()
    ))
}
