//! `bisque survive` as a person uses it: curves, comparison, regression, competing causes, and files that are wrong.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

mod common;

use common::text;
use std::path::PathBuf;
use std::process::Output;

fn bisque(arguments: &[&str]) -> Output {
    common::bisque(&[&["survive"], arguments].concat())
}

fn said(arguments: &[&str]) -> String {
    let output = bisque(arguments);
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", text(&output.stderr));
    text(&output.stdout)
}

fn json(arguments: &[&str]) -> serde_json::Value {
    serde_json::from_str(&said(&[arguments, &["--json"]].concat())).unwrap()
}

fn refused(arguments: &[&str], code: i32) -> String {
    let output = bisque(arguments);
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {}", text(&output.stdout));
    text(&output.stderr)
}

fn file(name: &str, contents: &str) -> String {
    let folder: PathBuf = std::env::temp_dir().join(format!("bisque-survive-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join(name);
    std::fs::write(&path, contents).unwrap();
    path.to_str().unwrap().to_owned()
}

/// Open data kept beside the engine's tests.
fn open_data(name: &str) -> String {
    format!("{}/../../science/survival/tests/reference/data/{name}.csv", env!("CARGO_MANIFEST_DIR"))
}

/// Stored results of R survival 3.5-3 (lung, all) at 365 days: S 0.4092416, log-log limits 0.3387143 and 0.4783808, 65 at risk.
#[test]
fn a_curve_agrees_with_the_reference() {
    let lung = open_data("lung");
    let found = json(&["curve", "--data", &lung, "--time", "time", "--event", "status", "--at", "365,730"]);
    let at = &found["groups"][0]["at"][0];
    assert!((at["survival"].as_f64().unwrap() - 0.409242).abs() < 1e-6, "{at}");
    assert_eq!(at["at_risk"], 65.0);
    assert_eq!(found["groups"][0]["median"]["time"], 310.0);
    let words = said(&["curve", "--data", &lung, "--time", "time", "--event", "status", "--at", "365"]);
    assert!(words.starts_with("40.9 % (33.9 to 47.8) stand at 365."), "{words}");
    assert!(words.contains("every row counts as independent"), "{words}");
}

/// R: chi-square 10.327 on 1, p 0.001311 for sex in lung; hazard ratio of sex 0.5754 with age and ph.ecog.
#[test]
fn a_comparison_and_a_regression_agree_with_the_reference() {
    let lung = open_data("lung");
    let rows = ["--data", lung.as_str(), "--time", "time", "--event", "status"];
    let found = json(&[&["compare"][..], &rows, &["--group", "sex"]].concat());
    assert!((found["log_rank"]["chi_square"].as_f64().unwrap() - 10.3267).abs() < 1e-4, "{found}");
    assert!(found["finding"].as_str().unwrap().contains("more than chance"));
    let covariates = ["--covariate", "age", "--covariate", "sex", "--covariate", "ph.ecog", "--cluster", "inst"];
    let found = json(&[&["cox"][..], &rows, &covariates].concat());
    let reference = include_str!("../../../science/survival/tests/reference/survival/lung.json");
    let reference: serde_json::Value = serde_json::from_str(reference).unwrap();
    let expected = &reference["cox_efron_cluster_inst"];
    for i in 0..3 {
        let near = |a: &serde_json::Value, b: &serde_json::Value| {
            (a.as_f64().unwrap() / b.as_f64().unwrap() - 1.0).abs() < 1e-5
        };
        assert!(near(&found["ratios"][i]["log_hazard_ratio"], &expected["coef"][i]), "{found}");
        assert!(near(&found["ratios"][i]["se"], &expected["robust_se"][i]), "{found}");
    }
    let told = found["cautions"].to_string();
    assert!(told.contains("left out: `ph.ecog` is empty") && told.contains("too narrow"), "{told}");
}

#[test]
fn competing_causes_and_pictures() {
    let mgus = open_data("mgus2");
    let rows =
        ["incidence", "--data", mgus.as_str(), "--time", "etime", "--event", "event", "--group", "sex", "--at", "120"];
    let found = json(&rows);
    // `Gray`'s test in cmprsk: 1.1945 and 11.6513.
    let tested = |i: usize| found["tests"][i]["gray"]["chi_square"].as_f64().unwrap();
    assert!((tested(0) - 1.19451).abs() < 1e-5 && (tested(1) - 11.6513).abs() < 1e-4);
    let picture = file("incidence.svg", "");
    said(&[&rows[..], &["--picture", &picture]].concat());
    let svg = std::fs::read_to_string(&picture).unwrap();
    assert!(svg.starts_with("<svg") && svg.contains("failed, %"));
    // What is said as JSON stays JSON beside a picture.
    json(&[&rows[..], &["--picture", &picture]].concat());
    let told = refused(&[&rows[..], &["--picture", "incidence.pdf"]].concat(), 2);
    assert!(told.contains("ends in .svg or .png"), "{told}");
}

/// A PNG is made by the printer beside the program; without one, the message says what to do instead.
#[test]
fn a_picture_is_a_png_where_its_name_says_so() {
    let lung = open_data("lung");
    let rows = ["curve", "--data", lung.as_str(), "--time", "time", "--event", "status", "--group", "sex"];
    let picture = file("curve.png", "");
    let run = bisque(&[&rows[..], &["--picture", &picture]].concat());
    if run.status.success() {
        assert!(std::fs::read(&picture).unwrap().starts_with(b"\x89PNG"));
    } else {
        let told = text(&run.stderr);
        assert!(told.contains("bisque-print") && told.contains("SVG"), "{told}");
    }
}

#[test]
fn small_numbers_are_said_to_be_small() {
    let few = file("few.csv", "t,e,g\n1,1,a\n2,0,a\n3,1,a\n4,0,b\n5,1,b\n6,0,b\n");
    let words = said(&["curve", "--data", &few, "--time", "t", "--event", "e"]);
    assert!(words.starts_with("3 of 6 failed by"), "{words}");
    assert!(words.contains("small numbers: 6 rows only") && words.contains("(few)"), "{words}");
}

#[test]
fn wrong_files_are_told_line_by_line() {
    let rows = |path: &str| {
        vec![
            "curve".to_owned(),
            "--data".into(),
            path.into(),
            "--time".into(),
            "t".into(),
            "--event".into(),
            "e".into(),
        ]
    };
    let run = |path: &str| refused(&rows(path).iter().map(String::as_str).collect::<Vec<_>>(), 1);
    let told = run(&file("bad.csv", "t,e\n1,1\nx,0\n-2,1\n3,1.5\n"));
    assert!(told.contains("bad.csv:3:1") && told.contains("bad.csv:4:1") && told.contains("bad.csv:5:2"), "{told}");
    assert!(run(&file("columns.csv", "time,e\n1,1\n")).contains("`t`"));
    assert!(run(&file("empty.csv", "t,e\n")).contains("no row can be used"));
    let told = refused(
        &["curve", "--data", &file("late.csv", "t,e,s\n2,1,5\n"), "--time", "t", "--event", "e", "--entry", "s"],
        1,
    );
    assert!(told.contains("watched from 5 to 2"), "{told}");
    assert!(refused(&["curve", "--data", "/nowhere.csv", "--time", "t", "--event", "e"], 3).contains("cannot read"));
    let apart = file("apart.csv", "t,e,x\n1,1,1\n2,1,1\n3,1,1\n4,0,0\n5,0,0\n6,0,0\n");
    let told = refused(&["cox", "--data", &apart, "--time", "t", "--event", "e", "--covariate", "x"], 2);
    assert!(told.contains("covariate x parts"), "{told}");
}

#[test]
fn words_become_levels_and_causes() {
    let mut text = "t,e,kind\n".to_owned();
    for i in 0..60 {
        let (cause, kind) = (["chip", "loss", "censored"][i % 3], ["one", "two", "two"][(i / 3) % 3]);
        text += &format!("{},{cause},{kind}\n", 1 + (i * 7) % 23);
    }
    let path = file("words.csv", &text);
    let found = json(&["incidence", "--data", &path, "--time", "t", "--event", "e"]);
    assert_eq!(found["groups"][0]["causes"][0]["cause"], "chip");
    let found =
        json(&["cox", "--data", &path, "--time", "t", "--event", "e", "--covariate", "kind", "--cause", "chip"]);
    assert_eq!(found["ratios"][0]["name"], "kind=one");
    assert!(
        refused(&["cox", "--data", &path, "--time", "t", "--event", "e", "--covariate", "kind", "--cause", "x"], 2)
            .contains("chip, loss")
    );
}
