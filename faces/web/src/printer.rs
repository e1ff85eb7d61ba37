//! PDFs and PNGs, made by the program `bisque-print`: it holds the document engine, which this program does without.

use std::io::Write;
use std::path::PathBuf;
use std::process::{Command, Stdio};

/// Why nothing was printed, in a sentence with what to do.
#[derive(Debug, Clone, thiserror::Error)]
#[error("{0}")]
pub struct NotPrinted(String);

/// Names another place of the printer.
const PLACE: &str = "BISQUE_PRINT";

/// What the printer makes of a text.
#[derive(Debug, Clone, Copy)]
struct Form {
    /// Its name to people.
    name: &'static str,
    /// Argument of the printer.
    argument: Option<&'static str>,
}

const PDF: Form = Form { name: "PDF", argument: None };
const PNG: Form = Form { name: "PNG", argument: Some("--png") };

/// One text in a form.
///
/// # Errors
/// Where there is no printer, or it refuses the text.
fn made(form: Form, name: &str, text: &str) -> Result<Vec<u8>, NotPrinted> {
    let printer = printer();
    let mut child = Command::new(&printer)
        .args(form.argument)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|e| missing(form, &printer, &e))?;
    // Written aside, so that a printer that answers while it reads stops neither. One that ended early says why itself.
    let input = child.stdin.take();
    let done = std::thread::scope(|scope| {
        scope.spawn(move || input.map(|mut input| input.write_all(text.as_bytes())));
        child.wait_with_output()
    });
    let done = done.map_err(|e| missing(form, &printer, &e))?;
    if done.status.success() {
        return Ok(done.stdout);
    }
    let said = String::from_utf8_lossy(&done.stderr);
    let why =
        if said.trim().is_empty() { format!("the printer said nothing ({})", done.status) } else { said.into_owned() };
    Err(NotPrinted(format!("{name}: no {} was made: {}", form.name, why.trim())))
}

/// Several document texts as PDFs, side by side: names of the files with their texts become names with their bytes.
///
/// # Errors
/// Where there is no printer or it refuses a text, for the first that fails.
pub fn pdfs(texts: &[(String, String)]) -> Result<Vec<(String, Vec<u8>)>, NotPrinted> {
    all(PDF, texts)
}

/// Several SVG texts as PNGs.
///
/// # Errors
/// As [`pdfs`].
pub fn pngs(texts: &[(String, String)]) -> Result<Vec<(String, Vec<u8>)>, NotPrinted> {
    all(PNG, texts)
}

/// A few at a time, in the order given.
fn all(form: Form, texts: &[(String, String)]) -> Result<Vec<(String, Vec<u8>)>, NotPrinted> {
    let stopped = || NotPrinted("printing stopped; run it again".to_owned());
    let at_once = std::thread::available_parallelism().map_or(2, usize::from);
    let mut out = Vec::with_capacity(texts.len());
    for some in texts.chunks(at_once) {
        std::thread::scope(|scope| -> Result<(), NotPrinted> {
            let running: Vec<_> = some.iter().map(|(name, text)| scope.spawn(move || made(form, name, text))).collect();
            for (thread, (name, _)) in running.into_iter().zip(some) {
                out.push((name.clone(), thread.join().map_err(|_| stopped())??));
            }
            Ok(())
        })?;
    }
    Ok(out)
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

fn missing(form: Form, printer: &std::path::Path, why: &std::io::Error) -> NotPrinted {
    let instead = if form.argument.is_some() {
        "leave out --png and take the SVG files"
    } else {
        "leave out --pdf and print the pages"
    };
    NotPrinted(format!(
        "no {} was made: `{}` could not be run ({why}); build it with `cargo xtask print`, name its place in {PLACE}, or {instead}",
        form.name,
        printer.display()
    ))
}
