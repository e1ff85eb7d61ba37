//! `bisque anatomy` as a person uses it.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, folder, json};
use std::process::Output;

fn text(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

const CROWN: [&str; 10] =
    ["--occlusal", "1.5", "--facial", "1.0", "--lingual", "1.0", "--proximal", "1.0", "--margin", "0.7"];

fn with<'a>(first: &[&'a str], more: &[&'a str]) -> Vec<&'a str> {
    first.iter().chain(&CROWN).chain(more).copied().collect()
}

#[test]
fn a_tooth_is_drawn_and_its_meshes_say_what_they_are_not_for() {
    let out = folder("anatomy-tooth");
    let found = json(&bisque(&[
        "anatomy",
        "tooth",
        "11",
        "--cell",
        "0.35",
        "--out",
        out.to_str().unwrap(),
        "--meshes",
        "--json",
    ]));
    assert!(found["enamel_mm3"].as_f64().unwrap() > 20.0, "{found}");
    let names: Vec<String> =
        std::fs::read_dir(&out).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    assert!(names.iter().filter(|n| n.ends_with(".png")).count() >= 5, "{names:?}");
    assert!(names.iter().filter(|n| n.ends_with(".svg")).count() == 2, "{names:?}");
    for mesh in names.iter().filter(|n| n.ends_with(".stl")) {
        assert!(mesh.contains("not-to-cut-to"), "{mesh}");
        let bytes = std::fs::read(out.join(mesh)).unwrap();
        assert!(String::from_utf8_lossy(&bytes[..80]).contains("NOT TO CUT TO"), "{mesh}");
        let surface = shape::Surface::from_stl(&bytes).unwrap();
        // Enamel runs out thinner than a cell at its edge, so that its mesh may touch itself there.
        assert!(surface.flaws().is_closed() || mesh.contains("enamel"), "{mesh}: {:?}", surface.flaws());
    }
}

#[test]
fn a_wax_up_that_adds_spares_tooth() {
    let cut = |added: &str| {
        let found =
            json(&bisque(&with(&["anatomy", "preparation", "46", "--cell", "0.4", "--json"], &["--added", added])));
        found["share_removed"].as_f64().unwrap()
    };
    let (without, with) = (cut("0"), cut("0.7"));
    assert!(with < without - 0.05, "{with} against {without}");
}

#[test]
fn a_scan_that_cannot_be_used_is_told_and_the_form_goes_on() {
    let out = folder("anatomy-scan");
    let at = |n: &str| out.join(n).to_str().unwrap().to_owned();
    json(&bisque(&["anatomy", "tooth", "36", "--cell", "0.35", "--out", out.to_str().unwrap(), "--meshes", "--json"]));
    let scan = std::fs::read(at("tooth-36-outer-not-to-cut-to.stl")).unwrap();
    let surface = shape::Surface::from_stl(&scan).unwrap();
    let inches = surface.points().iter().map(|p| p.map(|x| x / 25.4)).collect();
    std::fs::write(at("inches.stl"), shape::Surface::new(inches, surface.facets().to_vec()).unwrap().to_stl()).unwrap();
    let said =
        text(&bisque(&with(&["anatomy", "preparation", "36", "--cell", "0.4"], &["--present", &at("inches.stl")])));
    assert!(said.contains("inches") && said.contains("average form is used instead"), "{said}");
    let good = at("tooth-36-outer-not-to-cut-to.stl");
    let said = text(&bisque(&with(&["anatomy", "preparation", "36", "--cell", "0.4"], &["--present", &good])));
    assert!(said.contains("scan and form of 36 differ by"), "{said}");
    let broken = at("broken.stl");
    std::fs::write(&broken, b"no surface at all").unwrap();
    let refused = bisque(&with(&["anatomy", "preparation", "36"], &["--present", &broken]));
    assert_eq!(refused.status.code(), Some(1), "{}", text(&refused));
}

#[test]
fn a_plan_takes_the_scans_its_case_names_or_says_why_not() {
    let out = folder("anatomy-plan");
    for tooth in ["16", "46"] {
        let folder = out.to_str().unwrap();
        json(&bisque(&["anatomy", "tooth", tooth, "--cell", "0.35", "--out", folder, "--meshes", "--json"]));
    }
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/cracked-molar.toml");
    let text = std::fs::read_to_string(case).unwrap();
    assert_eq!(text.matches("[[abutment]]\ntooth = 46\n").count(), 1);
    let planned = |scan: &str| {
        let file = out.join("case.toml");
        let line = format!("[[abutment]]\ntooth = 46\nscan = \"{scan}\"\n");
        std::fs::write(&file, text.replace("[[abutment]]\ntooth = 46\n", &line)).unwrap();
        let report = json(&bisque(&["plan", file.to_str().unwrap(), "--fidelity", "instant", "--json"]));
        assert!(report["options"].as_array().unwrap().len() > 3);
        report["warnings"].as_array().unwrap().iter().map(|w| w.as_str().unwrap()).collect::<Vec<_>>().join("; ")
    };
    let said = planned("tooth-46-outer-not-to-cut-to.stl");
    assert!(said.contains("scan and form of 46 differ by"), "{said}");
    for (scan, why) in [("tooth-16-outer-not-to-cut-to.stl", "jaw"), ("gone.stl", "no such file beside the case")] {
        let said = planned(scan);
        assert!(said.contains(why) && said.contains("average form"), "{said}");
    }
}

#[test]
fn a_design_is_measured_against_what_its_material_needs() {
    let out = folder("anatomy-design");
    let at = |n: &str| out.join(n).to_str().unwrap().to_owned();
    let more = ["--cell", "0.3", "--out", out.to_str().unwrap(), "--meshes", "--json"];
    json(&bisque(&with(&["anatomy", "preparation", "46"], &more)));
    let design = at("preparation-46-restoration-not-to-cut-to.stl");
    let asked =
        |material: &str| bisque(&["anatomy", "design", "46", "--design", &design, "--material", material, "--json"]);
    let found = json(&asked("zirconia_3y"));
    let occlusal = found["surfaces"].as_array().unwrap().iter().find(|s| s["surface"] == "occlusal").unwrap();
    // Made for 1.5 mm less the cement gap of 0.06 mm, on a lattice of 0.3 mm.
    assert!((occlusal["usual_mm"].as_f64().unwrap() - 1.44).abs() < 0.15, "{found}");
    assert!(found["connectors"].as_array().unwrap().is_empty());
    let refused = asked("cheese");
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused).contains("no such word"), "{}", text(&refused));
}

#[test]
fn a_preparation_is_checked_against_its_plan() {
    let out = folder("anatomy-check");
    let at = |n: &str| out.join(n).to_str().unwrap().to_owned();
    let shallow =
        ["anatomy", "preparation", "46", "--cell", "0.3", "--occlusal", "0.8", "--facial", "0.6", "--lingual", "0.6"];
    let more = ["--proximal", "0.6", "--margin", "0.4", "--out", out.to_str().unwrap(), "--meshes", "--json"];
    json(&bisque(&shallow.iter().chain(&more).copied().collect::<Vec<_>>()));
    let achieved = at("preparation-46-stump-not-to-cut-to.stl");
    let found = json(&bisque(&with(&["anatomy", "check", "46", "--json"], &["--achieved", &achieved])));
    let zones = found["by_surface"].as_array().unwrap();
    let occlusal = zones.iter().find(|z| z["surface"] == "occlusal").unwrap();
    assert!(occlusal["verdict"].as_str().unwrap().contains("more"), "{found}");
}

#[test]
fn a_bridge_stands_in_the_arch_on_one_path() {
    let found = json(&bisque(&[
        "anatomy",
        "unit",
        "45,46,47",
        "--missing",
        "46",
        "--tilt",
        "47=18",
        "--cell",
        "0.5",
        "--json",
    ]));
    assert_eq!(found["connectors"].as_array().unwrap().len(), 2, "{found}");
    let abutments = found["abutments"].as_array().unwrap();
    assert!(abutments.iter().all(|a| a["share_on_the_common_path"].as_f64().unwrap() > 0.2), "{found}");
    let refused = bisque(&["anatomy", "unit", "45,47", "--missing", "46"]);
    assert_eq!(refused.status.code(), Some(2));
    let refused = bisque(&["anatomy", "unit", "45,47"]);
    assert!(text(&refused).contains("not neighbours"), "{}", text(&refused));
}

#[test]
fn all_options_of_a_case_stand_side_by_side() {
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/bridge-45-47.toml");
    let found = json(&bisque(&["anatomy", "least", "--case", case, "--draws", "32", "--json"]));
    let options = found["options"].as_array().unwrap();
    assert!(options.len() > 20, "{}", options.len());
    assert!(options.iter().all(|o| o["share_removed"]["mean"].as_f64().unwrap() >= 0.0));
    let said = text(&bisque(&["anatomy", "least", "--case", case, "--draws", "32"]));
    assert!(said.contains("option, least first"), "{said}");
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    for (arguments, word) in [
        (&["anatomy", "tooth", "19"][..], "ISO 3950"),
        (&["anatomy", "preparation", "46", "--facial", "9"][..], "facial"),
        (&["anatomy", "preparation", "46", "--path", "70,0"][..], "45"),
        (&["anatomy", "preparation", "46", "--path", "7"][..], "expected 2"),
        (&["anatomy", "unit", "45,46,47", "--connector", "4,4"][..], "expected 3"),
        (&["anatomy", "least", "46", "--draws", "2"][..], "draws"),
        (&["anatomy", "unit", "45,46", "--tilt", "47:3"][..], "TOOTH=DEGREES"),
    ] {
        let refused = bisque(arguments);
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}");
        assert!(text(&refused).contains(word), "{arguments:?}: {}", text(&refused));
    }
}

#[test]
fn a_sound_neighbour_shows_the_form_and_what_it_spares_is_told() {
    let least = |more: &[&str]| bisque(&with(&["anatomy", "least", "46", "--draws", "64", "--crown", "6"], more));
    let beside = ["--neighbour", "36", "--neighbour-crown", "7.5", "--neighbour-width", "11"];
    let said = text(&least(&beside));
    assert!(said.contains("The form scaled to the neighbour spares"), "{said}");
    assert!(said.contains("the outer form of 46 is scaled to 36 (7.5 mm high, 11.0 mm wide)"), "{said}");
    let json = json(&least(&[&beside[..], &["--json"]].concat()));
    assert!(json["spared_by_the_form"]["mean"].as_f64().unwrap() > 0.01, "{json}");
    let unmeasured = least(&beside[..2]);
    assert_eq!(unmeasured.status.code(), Some(2), "{}", text(&unmeasured));
    assert!(text(&unmeasured).contains("--neighbour-crown"), "{}", text(&unmeasured));
    let absurd = least(&["--neighbour", "36", "--neighbour-width", "40"]);
    assert!(text(&absurd).contains("expected 3 to 15 mm"), "{}", text(&absurd));
}

#[test]
fn a_case_names_the_sound_neighbour_of_a_worn_tooth() {
    let out = folder("anatomy-neighbour");
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/cracked-molar.toml");
    let source = std::fs::read_to_string(case).unwrap();
    let told = |section: &str| {
        let file = out.join("case.toml");
        std::fs::write(&file, source.clone() + "\n[abutment.sound_neighbour]\n" + section).unwrap();
        bisque(&["anatomy", "least", "--case", file.to_str().unwrap(), "--draws", "32"])
    };
    let good = text(&told("tooth = 36\ncrown_mm = 7.5\n"));
    assert!(good.contains("the outer form of 46 is scaled to 36 (7.5 mm high)"), "{good}");
    for (section, expected) in [
        ("tooth = 46\ncrown_mm = 7.5\n", "a tooth of the restoration itself"),
        ("tooth = 16\ncrown_mm = 7.5\n", "of the other jaw"),
        ("tooth = 36\n", "write crown_mm or width_mm"),
    ] {
        let refused = told(section);
        assert_eq!(refused.status.code(), Some(1), "{}", text(&refused));
        assert!(text(&refused).contains(expected), "{}", text(&refused));
    }
}

#[test]
fn endocrowns_and_implant_crowns_are_measured_and_drawn() {
    let out = folder("anatomy-built");
    let path = out.to_str().unwrap();
    let endo = json(&bisque(&["anatomy", "endocrown", "36", "--cell", "0.3", "--out", path, "--meshes", "--json"]));
    let wall = |j: &serde_json::Value| j["wall_left_mm"].as_f64().unwrap();
    assert!((0.5..4.0).contains(&wall(&endo)), "{endo}");
    let wide = json(&bisque(&["anatomy", "endocrown", "36", "--cell", "0.3", "--opening", "15", "--json"]));
    assert!(wall(&wide) < wall(&endo), "a wider recess leaves less wall: {wide}");
    let implant = json(&bisque(&["anatomy", "implant", "24", "--cell", "0.3", "--out", path, "--json"]));
    assert!(implant["surfaces"].as_array().unwrap().iter().any(|s| s["surface"] == "occlusal"), "{implant}");
    let names: Vec<String> =
        std::fs::read_dir(&out).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    assert_eq!(names.iter().filter(|n| n.ends_with(".svg")).count(), 4, "{names:?}");
    assert!(names.iter().filter(|n| n.ends_with(".stl")).all(|n| n.contains("not-to-cut-to")), "{names:?}");
    for (command, bad) in [("endocrown", ["--height", "9"]), ("implant", ["--radius", "9"])] {
        let refused = bisque(&["anatomy", command, "36", bad[0], bad[1]]);
        assert_eq!(refused.status.code(), Some(2), "{}", text(&refused));
        assert!(text(&refused).contains("expected"), "{}", text(&refused));
    }
}
