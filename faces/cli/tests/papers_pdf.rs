//! `bisque papers` as PDF and in a language of the practice's own.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // says what was not tested

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn papers(printer: Option<&Path>, arguments: &[&str]) -> Output {
    let case = format!("{}/../../examples/cracked-molar.toml", env!("CARGO_MANIFEST_DIR"));
    let mut command = Command::new(env!("CARGO_BIN_EXE_bisque"));
    command
        .args(["papers", &case, "--fidelity", "instant", "--only", "consent", "--date", "2026-03-19"])
        .args(arguments);
    if let Some(printer) = printer {
        command.env("BISQUE_PRINT", printer);
    }
    command.output().unwrap()
}

fn out_folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("bisque-pdf-test-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Without a printer nothing is written, and the message says what to do.
#[test]
fn a_missing_printer_is_told_with_the_remedy() {
    let folder = out_folder("missing");
    let output = papers(Some(Path::new("no-such-printer")), &["--pdf", "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    for told in ["no PDF was made", "no-such-printer", "cargo xtask print", "BISQUE_PRINT", "leave out --pdf"] {
        assert!(said(&output).contains(told), "{told:?} is not said: {}", said(&output));
    }
    assert!(!folder.exists());
}

/// The same for pictures of pixels.
#[test]
fn without_a_printer_there_are_no_pngs_and_the_svg_is_named() {
    let folder = out_folder("no-png");
    let output = papers(Some(Path::new("no-such-printer")), &["--png", "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(2));
    for told in ["no PNG was made", "no-such-printer", "cargo xtask print", "leave out --png and take the SVG files"] {
        assert!(said(&output).contains(told), "{told:?} is not said: {}", said(&output));
    }
    assert!(!folder.exists());
}

/// What the printer is handed is document text with the date of the paper; what it gives back is the file.
#[cfg(unix)]
#[test]
fn the_printer_is_handed_document_text_and_its_answer_is_the_file() {
    let folder = out_folder("handed");
    let copies = Path::new("/bin/cat");
    let output = papers(Some(copies), &["--pdf", "--lang", "de", "--out", folder.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let text = std::fs::read_to_string(folder.join("consent.pdf")).unwrap();
    assert!(text.starts_with("// bisque document text 1\n"));
    assert!(
        text.contains("lang: \"de\"")
            && text.contains("datetime(year: 2026, month: 3, day: 19)")
            && text.contains("Eine Krone")
    );
    std::fs::remove_dir_all(folder).unwrap();
}

/// The printer that `cargo xtask print` built, where it did.
fn true_printer() -> Option<PathBuf> {
    let beside = Path::new(env!("CARGO_BIN_EXE_bisque")).with_file_name("bisque-print");
    let release = beside.parent().unwrap().with_file_name("release").join("bisque-print");
    let found = [beside, release].into_iter().find(|p| p.is_file());
    if found.is_none() {
        println!("bisque-print is not built: `cargo xtask print` builds it");
    }
    found
}

/// Where the true printer stands beside the program, the file is a PDF, the same twice.
#[test]
fn the_true_printer_makes_the_same_pdf_twice() {
    let Some(printer) = true_printer() else { return };
    let made = |name: &str| {
        let folder = out_folder(name);
        let output = papers(Some(&printer), &["--pdf", "--out", folder.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        let bytes = std::fs::read(folder.join("consent.pdf")).unwrap();
        std::fs::remove_dir_all(folder).unwrap();
        bytes
    };
    let first = made("first");
    assert!(first.starts_with(b"%PDF-1.7") && first == made("second"));
}

/// Where the true printer stands beside the program, every figure and table has its PNG beside its SVG, the same twice.
#[test]
fn the_true_printer_makes_the_same_pngs_twice() {
    let Some(printer) = true_printer() else { return };
    let made = |name: &str| {
        let folder = out_folder(name);
        let output = papers(Some(&printer), &["--png", "--out", folder.to_str().unwrap()]);
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
        let mut files: Vec<(String, Vec<u8>)> = std::fs::read_dir(&folder)
            .unwrap()
            .map(|e| e.unwrap())
            .map(|e| (e.file_name().into_string().unwrap(), std::fs::read(e.path()).unwrap()))
            .collect();
        files.sort();
        std::fs::remove_dir_all(folder).unwrap();
        files
    };
    let first = made("png-first");
    let of = |end: &str| first.iter().filter(|(name, _)| name.ends_with(end)).count();
    assert!(of(".png") > 8 && of(".png") == of(".svg"));
    assert!(first.iter().filter(|(n, _)| n.ends_with(".png")).all(|(_, bytes)| bytes.starts_with(b"\x89PNG\r\n")));
    assert!(first == made("png-second"));
}

/// A language of one's own is a file; its faults are told with their lines, and nothing is written.
#[test]
fn a_language_of_ones_own_is_taken_or_refused_line_by_line() {
    let german = include_str!("../../papers/texts/de.toml");
    let folder = out_folder("own");
    std::fs::create_dir_all(&folder).unwrap();
    let (good, bad) = (folder.join("good.toml"), folder.join("bad.toml"));
    std::fs::write(
        &good,
        german.replace("lang = \"de\"", "lang = \"gsw\"").replace("Worum geht es?", "Um was gaht's?"),
    )
    .unwrap();
    std::fs::write(&bad, german.replace("{count} von 100", "{zahl} von 100")).unwrap();
    let out = folder.join("papers");
    let output = papers(None, &["--texts", bad.to_str().unwrap(), "--lang", "de", "--out", out.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(
        said(&output).contains("bad.toml:") && said(&output).contains("zahl") && !out.exists(),
        "{}",
        said(&output)
    );
    let output = papers(None, &["--texts", good.to_str().unwrap(), "--lang", "gsw", "--out", out.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let page = std::fs::read_to_string(out.join("consent.html")).unwrap();
    assert!(page.contains("<html lang=\"gsw\"") && page.contains("Um was gaht&#39;s?"));
    std::fs::remove_dir_all(folder).unwrap();
}
