//! The program as a person uses it: what it prints, what it writes, how it refuses, and with which exit code.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, example, text};
use std::path::PathBuf;
use std::process::Command;

fn out_folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("bisque-test-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

#[test]
fn every_demo_case_is_planned() {
    for name in [
        "bridge-45-47",
        "chipped-bridge",
        "cracked-molar",
        "dark-incisor-cast-post",
        "implant-premolar",
        "lost-lower-incisor",
        "premolar-too-close",
        "worn-molar",
    ] {
        let output = bisque(&["plan", &example(name), "--fidelity", "instant"]);
        assert_eq!(output.status.code(), Some(0), "{name}: {}", text(&output.stderr));
        assert!(text(&output.stdout).contains("of 100"), "{name}");
    }
}

#[test]
fn the_wrong_case_is_refused_with_each_of_its_ten_mistakes_and_nothing_is_written() {
    let folder = out_folder("wrong");
    let output = bisque(&["plan", &example("wrong-in-ten-ways"), "--out", folder.to_str().unwrap()]);
    let complaints = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(complaints.matches("error: wrong-in-ten-ways.toml:").count(), 10, "{complaints}");
    assert!(complaints.contains("expected:") && complaints.contains("do:"));
    assert!(!folder.exists());
}

#[test]
fn the_same_case_and_seed_write_the_same_bytes_at_any_thread_count() {
    let (one, two) = (out_folder("one"), out_folder("two"));
    for (folder, threads) in [(&one, "1"), (&two, "2")] {
        let status = Command::new(env!("CARGO_BIN_EXE_bisque"))
            .args(["plan", &example("premolar-too-close"), "--fidelity", "instant", "--out", folder.to_str().unwrap()])
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap();
        assert!(status.status.success());
    }
    for file in ["dossier.html", "report.json", "summary.txt"] {
        assert!(std::fs::read(one.join(file)).unwrap() == std::fs::read(two.join(file)).unwrap(), "{file} differs");
    }
    assert_eq!(std::fs::read_dir(&one).unwrap().count(), 3, "nothing but the papers stays in the folder");
    let _ = std::fs::remove_dir_all(one);
    let _ = std::fs::remove_dir_all(two);
}

#[test]
fn another_seed_changes_figures_and_not_the_form() {
    let report = |seed: &str| -> serde_json::Value {
        let output = bisque(&["plan", &example("worn-molar"), "--fidelity", "instant", "--json", "--seed", seed]);
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let (a, b) = (report("1"), report("2"));
    assert_eq!(a["schema"], 1);
    assert_ne!(a["options"], b["options"]);
    assert_eq!(a["options"].as_array().unwrap().len(), b["options"].as_array().unwrap().len());
}

#[test]
fn a_missing_file_and_a_wrong_word_have_their_own_exit_codes() {
    assert_eq!(bisque(&["plan", "no-such-case.toml"]).status.code(), Some(3));
    let typo = bisque(&["case", "new", "brigde"]);
    assert_eq!(typo.status.code(), Some(2));
    assert!(text(&typo.stderr).contains("did you mean `bridge`"));
    assert_eq!(bisque(&["plan"]).status.code(), Some(2));
    let unknown = bisque(&["catalogue", "show", "stosp"]);
    assert!(text(&unknown.stderr).contains("stops"), "{}", text(&unknown.stderr));
}

#[test]
fn every_template_is_a_case_that_checks() {
    for kind in ["crown", "bridge", "resin_bonded_bridge", "implant_crown", "replacement"] {
        let output = bisque(&["case", "new", kind]);
        assert_eq!(output.status.code(), Some(0), "{kind}: {}", text(&output.stderr));
        let file = std::env::temp_dir().join(format!("bisque-template-{}-{kind}.toml", std::process::id()));
        std::fs::write(&file, &output.stdout).unwrap();
        let check = bisque(&["case", "check", file.to_str().unwrap()]);
        assert_eq!(check.status.code(), Some(0), "{kind}: {}", text(&check.stderr));
        let _ = std::fs::remove_file(file);
    }
}

#[test]
fn a_published_pair_of_colours() {
    // Sharma, Wu, Dalal 2005, Color Res Appl 30:21-30, doi 10.1002/col.20070, table 1, pair 1.
    let output = bisque(&["colour", "difference", "50", "2.6772", "-79.7751", "50", "0", "-82.7485"]);
    assert!(text(&output.stdout).contains("2.0425"), "{}", text(&output.stdout));
}

#[test]
fn the_published_schema_is_fresh() {
    let path = format!("{}/../../docs/report.schema.json", env!("CARGO_MANIFEST_DIR"));
    let now = bisque(&["schema"]).stdout;
    if std::env::var_os("REWRITE_DOCS").is_some() {
        std::fs::write(&path, &now).unwrap();
    }
    let stored = std::fs::read(&path).unwrap_or_default();
    assert!(stored == now, "docs/report.schema.json is stale: run REWRITE_DOCS=1 cargo test -p cli");
}
