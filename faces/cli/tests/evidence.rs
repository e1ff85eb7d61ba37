//! The library of study arms as a person uses it: pooled, drawn, added to, refused.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

mod common;

use common::{folder, text};
use std::path::{Path, PathBuf};
use std::process::Output;

fn bisque(arguments: &[&str]) -> Output {
    common::bisque(&[&["evidence"][..], arguments].concat())
}

fn json(arguments: &[&str]) -> serde_json::Value {
    common::json(&bisque(arguments))
}

fn file(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

const COUNTS: &str = "\
study,x,t,n,place,year
A,3,300,80,u,2001
B,0,120,40,p,2005
C,7,410,90,u,2008
D,12,300,100,p,2011
E,1,80,30,u,2015
";

fn counts(name: &str) -> (PathBuf, String) {
    let folder = folder(name);
    let path = file(&folder, "counts.csv", COUNTS);
    (folder, path)
}

fn near(value: &serde_json::Value, expected: f64) {
    let found = value.as_f64().unwrap();
    // Six printed figures of the peer.
    assert!((found - expected).abs() <= 2e-5 * expected.abs().max(1e-3), "{found} for {expected}");
}

#[test]
fn rates_of_a_file_are_pooled_as_the_peer_pools_them() {
    // metafor 3.8.1: rma(measure = "IRLN", xi, ti, method, test, drop00 = FALSE, add = 1/2, to = "only0"); exp, times 100.
    let (folder, path) = counts("rates");
    let pool = |model: &str, ci: &str| {
        json(&["pool", "--data", &path, "--events", "x", "--exposure", "t", "--model", model, "--ci", ci, "--json"])
    };
    let expected = include_str!("reference/evidence_pool.csv");
    let mut seen = 0;
    for line in expected.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let found = &pool(cells[0], cells[1])["pooled"];
        for (key, cell) in ["estimate", "low", "high", "tau2"].iter().zip(&cells[2..]) {
            near(&found[*key], cell.parse().unwrap());
        }
        seen += 1;
    }
    assert!(seen >= 7);
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_exact_model_groups_and_moderators() {
    let (folder, path) = counts("exact");
    let base = ["pool", "--data", &path, "--events", "x", "--json"];
    let with = |more: &[&str]| json(&[&base[..], more].concat());
    let exact = with(&["--exposure", "t", "--n", "n", "--model", "glmm"]);
    let reml = with(&["--exposure", "t"]);
    let (a, b) = (exact["pooled"]["estimate"].as_f64().unwrap(), reml["pooled"]["estimate"].as_f64().unwrap());
    // The correction of half an event lifts the study without events: the exact model lies below.
    assert!(a < b && a > 0.5 * b, "{a} {b}");
    let groups = with(&["--exposure", "t", "--by", "place"]);
    assert_eq!(groups["groups"].as_array().unwrap().len(), 2);
    let share = with(&["--n", "n", "--model", "glmm"]);
    assert_eq!(share["quantity"], "share with the event, %");
    let slope = with(&["--exposure", "t", "--moderator", "year"]);
    assert_eq!(slope["moderator"].as_array().unwrap().len(), 2);
    let level = with(&["--exposure", "t", "--moderator", "place", "--model", "glmm"]);
    assert_eq!(level["moderator"][1]["name"], "u against p");
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_wrong_file_is_refused_with_its_line_and_nothing_is_changed() {
    let folder = folder("evidence-wrong");
    let cases = [
        ("negative", "study,x,t,n\nA,-1,10,5\n", ":2", "-1 events"),
        ("above", "study,x,t,n\nA,1,10,5\nB,6,10,5\n", ":3", "6 events of 5"),
        ("zero", "study,x,t,n\nA,1,0,5\n", ":2", "above 0"),
        ("word", "study,x,t,n\nA,1,10,5\nB,two,10,5\n", ":3", "`two` is no number"),
        ("column", "study,x,n\nA,1,5\n", "", "t"),
        ("twice", "study,x,t,n\nA,1,10,5\nA,1,10,5\n", ":3", "stands in line 2 already"),
        ("empty", "study,x,t,n\n", "", "no study"),
    ];
    for (name, content, line, words) in cases {
        let path = file(&folder, &format!("{name}.csv"), content);
        let out = folder.join("forest.svg");
        let output = bisque(&[
            "pool",
            "--data",
            &path,
            "--events",
            "x",
            "--exposure",
            "t",
            "--n",
            "n",
            "--forest",
            out.to_str().unwrap(),
        ]);
        let complaint = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{name}: {complaint}");
        assert!(complaint.contains(&format!("{name}.csv{line}")) && complaint.contains(words), "{name}: {complaint}");
        assert!(complaint.contains("do:"), "{name}: {complaint}");
        assert!(!out.exists(), "{name}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), content);
    }
    // A file of 1 GB (sparse, so that the test costs nothing).
    let path = folder.join("huge.csv");
    std::fs::File::create(&path).unwrap().set_len(1 << 30).unwrap();
    let output = bisque(&["pool", "--data", path.to_str().unwrap(), "--events", "x", "--exposure", "t"]);
    assert_eq!(output.status.code(), Some(3));
    assert!(text(&output.stderr).contains("1073741824 bytes"), "{}", text(&output.stderr));
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn pictures_are_drawn_of_a_file_and_of_the_library() {
    let (folder, path) = counts("pictures");
    for command in ["forest", "funnel", "sensitivity"] {
        let out = folder.join(format!("{command}.svg"));
        let from_file = [command, "--data", &path, "--events", "x", "--exposure", "t", "--out", out.to_str().unwrap()];
        assert_eq!(bisque(&from_file).status.code(), Some(0), "{command}");
        let svg = std::fs::read_to_string(&out).unwrap();
        assert!(svg.contains("<svg") && svg.contains("<title"), "{command}");
        let shown = bisque(&[command, "--cell", "bridge/zirconia"]);
        assert_eq!(shown.status.code(), Some(0), "{command}: {}", text(&shown.stderr));
        assert!(shown.stdout.len() > 400, "{command}");
    }
    let out = folder.join("map.svg");
    assert_eq!(bisque(&["map", "--out", out.to_str().unwrap()]).status.code(), Some(0));
    assert!(std::fs::read_to_string(&out).unwrap().contains("restoration-years"));
    let map = json(&["map", "--json"]);
    assert!(map.as_array().unwrap().len() > 40);
    assert!(map[0]["chief_cause"].is_string() && map[0]["years_observed"].is_number());
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn arms_and_cells_are_shown_with_what_is_not_pooled_and_why() {
    let arms = json(&["list", "--json"]);
    assert!(arms.as_array().unwrap().len() > 300);
    let left_out = text(&bisque(&["list", "--left-out"]).stdout);
    assert!(left_out.lines().filter(|l| l.contains("restoration-years")).all(|l| l.contains("not pooled: ")));
    assert!(text(&bisque(&["show", "BR001"]).stdout).contains("lithium_disilicate"));
    let odds = json(&["show", "crown/zirconia/zirconia_3y/layered", "--json"]);
    let risks = odds["risks"].as_array().unwrap();
    assert!(risks[1]["lost"]["median"].as_f64() < risks[2]["lost"]["median"].as_f64());
    assert!(odds["causes"][0]["lost_of_its_events"]["median"].as_f64().unwrap() > 0.0);
    let unknown = bisque(&["show", "crwon"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("did you mean `crown`"), "{}", text(&unknown.stderr));
    assert_eq!(bisque(&["check"]).status.code(), Some(0));
    assert!(json(&["check", "--json"]).as_array().unwrap().len() > 10);
}

const OWN: [&str; 11] = [
    "id=OWN1",
    "cohort=own.north.crowns",
    "construct=crown",
    "material=zirconia_3y",
    "build=monolithic",
    "n_restorations=400",
    "exposure_ry=1600",
    "exposure_basis=reported",
    "failures=4",
    "followup_mean_y=4",
    "year=2025",
];

fn added(folder: &Path, fields: &[&str]) -> Output {
    let mut arguments = vec!["add", "--data", folder.to_str().unwrap()];
    arguments.extend(fields);
    bisque(&arguments)
}

#[test]
fn own_results_are_added_shift_the_odds_and_can_be_retired() {
    let folder = folder("evidence-own");
    let data = folder.to_str().unwrap();
    let output = added(&folder, &OWN);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    assert!(text(&output.stdout).contains("default used: use = yes"));
    let compared = json(&["compare", "--data", data, "--json"]);
    // 0.25 lost per 100 years against about 1 in the studies: this practice loses fewer, and by how much is not certain.
    let shift = &compared["shift"];
    assert!(
        shift["median"].as_f64().unwrap() < 0.8 && shift["high"].as_f64().unwrap() > shift["low"].as_f64().unwrap()
    );
    assert_eq!(compared["arms"][0]["events"], 4.0);
    assert_eq!(compared["laboratories"][0]["laboratory"], "north");
    // The map is drawn anew with the added arm.
    let arms = |data: &[&str]| {
        let map = json(&[&["map", "--json"], data].concat());
        let is_cell = |c: &&serde_json::Value| {
            c["material"] == "zirconia 3Y" && c["build"] == "monolithic" && c["indication"] == "crown"
        };
        map.as_array().unwrap().iter().find(is_cell).unwrap()["arms"].as_u64().unwrap()
    };
    assert_eq!(arms(&["--data", data]), arms(&[]) + 1);
    // Plans take it in and say so.
    let case = format!("{}/../../examples/cracked-molar.toml", env!("CARGO_MANIFEST_DIR"));
    let plan = std::process::Command::new(env!("CARGO_BIN_EXE_bisque"))
        .args(["plan", &case, "--fidelity", "instant", "--json", "--data", data])
        .output()
        .unwrap();
    assert_eq!(plan.status.code(), Some(0), "{}", text(&plan.stderr));
    assert!(text(&plan.stdout).contains("times as many a year as the median clinic"));
    // The same arm twice is refused, and the table stays as it was.
    let before = std::fs::read_to_string(folder.join("studies.csv")).unwrap();
    let again = added(&folder, &OWN);
    assert_eq!(again.status.code(), Some(1), "{}", text(&again.stderr));
    let mut other: Vec<&str> = OWN.to_vec();
    other[0] = "id=OWN2";
    let cohort = added(&folder, &other);
    assert!(cohort.status.code() == Some(1) && text(&cohort.stderr).contains("own.north.crowns"));
    assert_eq!(std::fs::read_to_string(folder.join("studies.csv")).unwrap(), before);
    assert_eq!(bisque(&["retire", "OWN1", "--reason", "", "--data", data]).status.code(), Some(2));
    let retired = bisque(&["retire", "OWN1", "--reason", "counted with another register", "--data", data]);
    assert_eq!(retired.status.code(), Some(0), "{}", text(&retired.stderr));
    assert!(text(&bisque(&["list", "--left-out", "--data", data]).stdout).contains("counted with another register"));
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_wrong_arm_is_refused_and_nothing_is_written() {
    let folder = folder("evidence-refused");
    let try_with = |change: &str| {
        let field = change.split('=').next().unwrap();
        let mut fields: Vec<&str> = OWN.iter().copied().filter(|f| !f.starts_with(&format!("{field}="))).collect();
        fields.push(change);
        added(&folder, &fields)
    };
    for (change, words) in [
        ("failures=500", "500 failures of 400"),
        ("failures=four", "four"),
        ("exposure_ry=0", "above 0"),
        ("survival_pct=140", "140"),
        ("source=nobody2020", "nobody2020"),
    ] {
        let output = try_with(change);
        let complaint = text(&output.stderr);
        assert!(output.status.code() == Some(1) && complaint.contains(words), "{change}: {complaint}");
        assert!(!folder.join("studies.csv").exists(), "{change}");
    }
    let typo = added(&folder, &["failurs=3"]);
    assert!(typo.status.code() == Some(2) && text(&typo.stderr).contains("did you mean `failures`"));
    assert_eq!(bisque(&["add", "id=X"]).status.code(), Some(2), "the shipped tables are never written to");
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn a_file_of_arms_is_imported_all_or_none_with_the_line_of_each_fault() {
    let folder = folder("evidence-import");
    let data = folder.join("own");
    let data = data.to_str().unwrap();
    let good = "name,kind,placed,years,lost,remark\nP1,layered,80,300,3,a\nP2,monolithic,60,200,0,b\n";
    let bad = "name,kind,placed,years,lost,remark\nP1,layered,80,300,3,a\nP2,monolithic,60,200,61,b\n";
    let maps = [
        "--map",
        "id=name",
        "--map",
        "cohort=name",
        "--map",
        "build=kind",
        "--map",
        "n_restorations=placed",
        "--map",
        "exposure_ry=years",
        "--map",
        "failures=lost",
        "--set",
        "construct=crown",
        "--set",
        "material=zirconia_3y",
        "--set",
        "basis=read",
        "--set",
        "level=abstract",
        "--set",
        "source=someone2024",
        "--citation",
        "Someone, 2024, a journal 1:1-9",
    ];
    let import = |content: &str, more: &[&str]| {
        let path = file(&folder, "series.csv", content);
        bisque(&[&["import", &path, "--data", data], &maps[..], more].concat())
    };
    let refused = import(bad, &[]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(text(&refused.stderr).contains("series.csv:3"), "{}", text(&refused.stderr));
    assert!(!Path::new(data).join("studies.csv").exists());
    let dry = import(good, &["--dry-run"]);
    assert!(dry.status.code() == Some(0) && text(&dry.stdout).contains("nothing was written"), "{}", text(&dry.stderr));
    assert!(!Path::new(data).join("studies.csv").exists());
    let done = import(good, &[]);
    assert_eq!(done.status.code(), Some(0), "{}", text(&done.stderr));
    assert!(text(&done.stdout).contains("columns passed over") && text(&done.stdout).contains("remark"));
    assert!(text(&bisque(&["show", "P2", "--data", data]).stdout).contains("monolithic"));
    assert!(Path::new(data).join("sources.csv").exists());
    std::fs::remove_dir_all(folder).unwrap();
}
