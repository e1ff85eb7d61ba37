//! A practice's own colours as a person uses them: kept once under a name, listed, named by stacks and cases; unknown names told with
//! those there are.
#![allow(clippy::unwrap_used)]

mod common;

use common::bisque;
use serde_json::Value;
use std::path::PathBuf;

fn json(arguments: &[&str]) -> Value {
    let output = bisque(arguments);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn refused(arguments: &[&str]) -> String {
    let output = bisque(arguments);
    assert_ne!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8(output.stderr).unwrap()
}

struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("bisque-own-colours-{}-{name}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).to_str().unwrap().to_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn what_is_kept_once_is_listed_and_named_by_stacks_and_cases() {
    let folder = Folder::new("kept");
    let data = folder.path("practice");
    let keep = |arguments: &[&str]| bisque(&[&["colour", "keep"], arguments, &["--data", &data]].concat());
    assert!(keep(&["north, 2", "74", "1", "18", "--kind", "tab", "--spread", "0.5"]).status.success());
    assert!(keep(&["post of May", "45", "4", "12", "--kind", "stump", "--instrument", "contact"]).status.success());
    let again = keep(&["post of May", "50", "4", "12", "--kind", "stump"]);
    let complaint = String::from_utf8(again.stderr).unwrap();
    assert!(
        !again.status.success() && complaint.contains("own_colours.csv:3") && complaint.contains("--replace"),
        "{complaint}"
    );
    assert!(keep(&["post of May", "50", "4", "12", "--kind", "stump", "--replace"]).status.success());
    let own = json(&["colour", "own", "--data", &data, "--json"]);
    assert_eq!(own["colours"].as_array().unwrap().len(), 2);
    assert_eq!((&own["colours"][0]["name"], &own["colours"][1]["L"]), (&"north, 2".into(), &50.0.into()));

    let stack = folder.path("stack.csv");
    let rows = |backing: &str| {
        format!(
            "kind,name,thickness_mm,material,grade,own,coupling\nlayer,core,1.0,lithium_disilicate,middle,,\nbacking,,,,,{backing},film\nwish,,,,,\"north, 2\",\n"
        )
    };
    std::fs::write(&stack, rows("post of May")).unwrap();
    for command in ["predict", "mask"] {
        let found = json(&["colour", command, &stack, "--data", &data, "--draws", "64", "--json"]);
        assert_eq!(found["measure_the_stump"], false, "{command}");
    }
    std::fs::write(&stack, rows("post of June")).unwrap();
    let complaint = refused(&["colour", "predict", &stack, "--data", &data]);
    assert!(
        complaint.contains(":3") && complaint.contains("post of May") && complaint.contains("north, 2"),
        "{complaint}"
    );

    let case = folder.path("case.toml");
    let text = |tab: &str, stump: &str| {
        format!(
            "schema = 1\nmoment = \"stump\"\n[restoration]\nteeth = [11]\nkind = \"crown\"\n[[abutment]]\ntooth = 11\nprepared = true\n\
             substrate = \"cast_post\"\nstump_own = \"{stump}\"\n[wish]\ncolour_tab = \"{tab}\"\n"
        )
    };
    std::fs::write(&case, text("north, 2", "post of May")).unwrap();
    let report = json(&["plan", &case, "--data", &data, "--fidelity", "instant", "--json"]);
    let colour = &report["options"]
        .as_array()
        .unwrap()
        .iter()
        .find(|o| !o["colour"].as_array().unwrap().is_empty())
        .unwrap()["colour"][0];
    assert_eq!(colour["wish"], "own tab north, 2");
    assert!((colour["substrate_lab"][0].as_f64().unwrap() - 50.0).abs() < 1.0, "{colour}");
    for (tab, stump) in [("south", "post of May"), ("north, 2", "post of June")] {
        std::fs::write(&case, text(tab, stump)).unwrap();
        for command in [vec!["plan", &case, "--data", &data], vec!["case", "check", &case, "--data", &data]] {
            let complaint = refused(&command);
            let known = if tab == "south" { "north, 2" } else { "post of May" };
            assert!(complaint.contains(known) && complaint.contains("case.toml:"), "{complaint}");
        }
    }
}

#[test]
fn what_cannot_be_a_colour_is_not_kept() {
    let folder = Folder::new("wrong");
    let data = folder.path("practice");
    let complaint = refused(&["colour", "keep", "x", "140", "0", "0", "--kind", "tab", "--data", &data]);
    assert!(complaint.contains("0 to 100"), "{complaint}");
    assert!(refused(&["colour", "keep", "x", "70", "0", "0", "--kind", "tab"]).contains("--data"));
    assert!(!folder.0.join("practice/own_colours.csv").exists());
}

#[test]
fn a_band_darker_over_the_light_tile_is_refused_with_its_row() {
    let folder = Folder::new("contradiction");
    std::fs::create_dir_all(&folder.0).unwrap();
    let rows: String =
        (0..31).map(|i| format!("1.0,{},{}\n", 400 + 10 * i, if i == 10 { "0.5,0.3" } else { "0.3,0.5" })).collect();
    let discs = folder.path("discs.csv");
    std::fs::write(&discs, format!("thickness_mm,wavelength_nm,over_dark,over_light\n{rows}")).unwrap();
    let complaint = refused(&["colour", "characterise", &discs]);
    assert!(complaint.contains("discs.csv:12") && complaint.contains("exchanged"), "{complaint}");
}

#[test]
fn a_row_of_json_is_told_by_its_place_in_the_list() {
    let folder = Folder::new("json");
    std::fs::create_dir_all(&folder.0).unwrap();
    let stack = folder.path("stack.json");
    let rows = r#"[{"kind":"layer","thickness_mm":1,"material":"zirconia_3y"},{"kind":"layer","thickness_mm":-1,"material":"zirconia_3y"},
        {"kind":"backing","L":40,"a":1,"b":10}]"#;
    std::fs::write(&stack, rows).unwrap();
    let complaint = refused(&["colour", "predict", &stack]);
    assert!(complaint.contains("[1].thickness_mm"), "{complaint}");
}
