//! `bisque-print`: document text on standard input, a PDF on standard output; with `--png` an SVG and a PNG.

#![allow(clippy::print_stderr)] // a program for people at a terminal

use std::io::{Read, Write};
use std::process::ExitCode;

const HELP: &str = "\
bisque-print < TEXT > PDF
bisque-print --png < SVG > PNG

Makes an accessible (PDF/UA-1), archivable (PDF/A-2a) PDF of the document text that `bisque papers --pdf` writes, or pixels of a figure
that `bisque papers --only figures` writes.
Exit codes: 0 done; 1 the text was refused; 2 the command line is wrong; 3 it could not be read or written.";

fn main() -> ExitCode {
    let made: fn(&str) -> Result<Vec<u8>, print::PrintError> = match std::env::args().nth(1).as_deref() {
        None => print::pdf,
        Some("--png") => print::png,
        Some("--help" | "-h") => return said(HELP),
        Some("--version" | "-V") => return said(concat!("bisque-print ", env!("CARGO_PKG_VERSION"))),
        Some(other) => {
            eprintln!(
                "unknown argument `{other}`; expected none or --png: the text is read from standard input\n\n{HELP}"
            );
            return ExitCode::from(2);
        }
    };
    let mut text = String::new();
    if let Err(e) = std::io::stdin().lock().read_to_string(&mut text) {
        eprintln!("standard input could not be read as text: {e}");
        return ExitCode::from(3);
    }
    match made(&text) {
        Ok(bytes) => written(&bytes),
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn said(text: &str) -> ExitCode {
    written(format!("{text}\n").as_bytes())
}

fn written(bytes: &[u8]) -> ExitCode {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("standard output could not be written: {e}");
            ExitCode::from(3)
        }
    }
}
