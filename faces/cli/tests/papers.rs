//! `bisque papers` as a person uses it: what it writes, what it says is missing, how it refuses.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, example, text};
use std::path::PathBuf;
use std::process::Output;

fn out_folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("bisque-papers-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

const QUICK: [&str; 4] = ["--fidelity", "instant", "--date", "2026-03-31"];

fn papers(case: &str, folder: &std::path::Path, more: &[&str]) -> Output {
    let case = example(case);
    let mut arguments = vec!["papers", &case, "--out", folder.to_str().unwrap()];
    arguments.extend(QUICK);
    arguments.extend(more);
    bisque(&arguments)
}

#[test]
fn all_papers_are_written_and_the_order_says_what_it_lacks() {
    let folder = out_folder("all");
    let output = papers("bridge-45-47", &folder, &[]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    for file in [
        "record.txt",
        "record.html",
        "consent.html",
        "preparation.html",
        "order.html",
        "fit.html",
        "dossier.html",
        "slides.html",
    ] {
        assert!(folder.join(file).is_file(), "{file} is missing");
    }
    let said = text(&output.stdout);
    assert!(said.contains("order.html, not complete") && said.contains("lacks: The stump is not in"), "{said}");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn the_same_case_seed_and_day_give_the_same_bytes() {
    let (one, two) = (out_folder("one"), out_folder("two"));
    for folder in [&one, &two] {
        assert!(papers("molar-crown-ordered", folder, &["--only", "order,fit,record"]).status.success());
    }
    for file in ["order.html", "fit.html", "record.txt", "record.html"] {
        assert!(std::fs::read(one.join(file)).unwrap() == std::fs::read(two.join(file)).unwrap(), "{file} differs");
    }
    assert_eq!(std::fs::read_dir(&one).unwrap().count(), 4, "only what was asked for is written");
    let _ = std::fs::remove_dir_all(one);
    let _ = std::fs::remove_dir_all(two);
}

#[test]
fn a_complete_order_is_told_as_complete_in_json() {
    let folder = out_folder("json");
    let output = papers("molar-crown-ordered", &folder, &["--only", "order", "--json"]);
    let told: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(told[0]["paper"], "order");
    assert_eq!(told[0]["complete"], true, "{told}");
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn a_repair_gets_its_card_and_no_order() {
    let folder = out_folder("repair");
    let output = papers("chipped-crown", &folder, &[]);
    let said = text(&output.stdout);
    assert!(said.contains("Papers for: polish or repair") && said.contains("order: not made."), "{said}");
    assert!(folder.join("fit.html").is_file() && !folder.join("order.html").exists());
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn figures_are_files_with_caption_and_sources() {
    let folder = out_folder("figures");
    assert!(papers("premolar-too-close", &folder, &["--only", "figures"]).status.success());
    let names: Vec<String> =
        std::fs::read_dir(&folder).unwrap().map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
    let count = |start: &str| names.iter().filter(|n| n.starts_with(start)).count();
    assert!(count("figure-") > 4 && count("table-") > 4, "{names:?}");
    assert!(count("figure-") + count("table-") == names.len() && names.iter().all(|n| n.ends_with(".svg")));
    let risk = names.iter().find(|n| n.contains("-02-")).unwrap();
    let svg = std::fs::read_to_string(folder.join(risk)).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("Rests on:") && svg.contains("case premolar-too-close"));
    for name in &names {
        let svg = std::fs::read_to_string(folder.join(name)).unwrap();
        assert!(svg.to_lowercase().contains("case premolar-too-close"), "{name} does not say of which case it is");
    }
    let _ = std::fs::remove_dir_all(folder);
}

#[test]
fn what_is_not_there_is_refused_with_what_there_is() {
    let folder = out_folder("refused");
    for (more, wanted) in [
        (["--only", "ordr"], "did you mean order?"),
        (["--option", "crown.wood.monolithic"], "this plan has no option"),
        (["--date", "31.3.2026"], "year-month-day"),
    ] {
        let case = example("premolar-too-close");
        let output =
            bisque(&["papers", &case, "--fidelity", "instant", "--out", folder.to_str().unwrap(), more[0], more[1]]);
        assert_eq!(output.status.code(), Some(2), "{more:?}");
        assert!(text(&output.stderr).contains(wanted), "{}", text(&output.stderr));
        assert!(!folder.exists());
    }
}
