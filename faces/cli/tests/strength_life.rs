//! `bisque strength connector`, `wall`, `years` and `lifetime` as a person uses them.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, example, folder, json};

#[test]
fn the_smallest_connector_is_told_drawn_and_keeps_its_level() {
    let folder = folder("life-connector");
    let (picture, case) = (folder.join("c.svg"), example("bridge-45-47"));
    let picture = picture.to_str().unwrap();
    let asked = ["strength", "connector", &case, "--draws", "64", "--materials", "zirconia_3y", "--level", "3"];
    let found = json(&bisque(&[&asked[..], &["--picture", picture, "--json"]].concat()));
    let options = found["options"].as_array().unwrap();
    assert!(!options.is_empty());
    for option in options {
        let smallest = option["smallest"].as_f64().unwrap();
        let above = option["ladder"].as_array().unwrap().iter().filter(|rung| rung[0].as_f64().unwrap() >= smallest);
        assert!(above.map(|r| r[1]["mean"].as_f64().unwrap()).all(|risk| risk <= 0.03), "{option}");
    }
    assert!(std::fs::read_to_string(picture).unwrap().contains("height of the connector"));
    let words = String::from_utf8(bisque(&asked).stdout).unwrap();
    assert!(words.contains("Driven by the bite, which was not measured"), "{words}");
    let wall = json(&bisque(&["strength", "wall", &example("cracked-molar"), "--draws", "64", "--json"]));
    assert!(wall["options"].as_array().unwrap().iter().any(|o| o["risk"]["mean"].as_f64().is_some()), "{wall}");
    for (wrong, says) in [("--level", "expected a risk"), ("--years", "expected 5, 10 or 15")] {
        let refused = bisque(&["strength", "wall", &case, wrong, "0"]);
        assert_eq!(refused.status.code(), Some(2));
        assert!(String::from_utf8(refused.stderr).unwrap().contains(says));
    }
}

#[test]
fn hazard_goes_with_the_power_of_the_load() {
    let folder = folder("life-lifetime");
    let file = folder.join("spectrum.csv");
    std::fs::write(&file, "stress_mpa,area_mm2\n0.5,2.0\n0.25,8.0\n-0.1,4.0\n").unwrap();
    let file = file.to_str().unwrap();
    let asked = |load: &str| {
        let numbers = ["--strength", "600", "--modulus", "10", "--exponent", "20", "--years", "10", "--json"];
        json(&bisque(&[&["strength", "lifetime", file, "--load", load][..], &numbers].concat()))
    };
    let hazard = |answer: &serde_json::Value| -(-answer["failed"][0]["probability"].as_f64().unwrap()).ln_1p();
    let (one, two) = (asked("200:1000"), asked("400:1000"));
    // a = m n/(n + 1) = 200/21; probabilities are printed to six figures.
    let power = (hazard(&two) / hazard(&one)).log2();
    assert!((power - 200.0 / 21.0).abs() < 1e-4, "{power}");
    assert!(
        (one["equivalent_force_n"].as_f64().unwrap() - 200.0).abs() < 1e-3,
        "one kind of load is its own equivalent"
    );
    let refused = bisque(&[
        "strength",
        "lifetime",
        file,
        "--load",
        "much",
        "--strength",
        "600",
        "--modulus",
        "10",
        "--exponent",
        "20",
    ]);
    assert!(String::from_utf8(refused.stderr).unwrap().contains("expected force and times a day"));
}

#[test]
fn fracture_over_the_years_rises_and_a_higher_connector_lowers_it() {
    let folder = folder("life-years");
    let (picture, case) = (folder.join("y.svg"), example("bridge-45-47"));
    let option = ["--option", "bridge.zirconia_3y.monolithic", "--draws", "64", "--json"];
    let asked = |more: &[&str]| json(&bisque(&[&["strength", "years", &case][..], &option, more].concat()));
    let planned = asked(&["--picture", picture.to_str().unwrap()]);
    let points = planned["options"][0]["curve"]["points"].as_array().unwrap().clone();
    let median = |p: &serde_json::Value| p["median"].as_f64().unwrap();
    assert!(points.windows(2).all(|w| median(&w[1]) >= median(&w[0])), "{points:?}");
    assert!(points.iter().all(|p| p["low"].as_f64().unwrap() <= median(p) && median(p) <= p["high"].as_f64().unwrap()));
    assert!(std::fs::read_to_string(picture).unwrap().contains("years in the mouth"));
    let ten = |found: &serde_json::Value| found["options"][0]["ten_years"]["mean"].as_f64().unwrap();
    assert!(ten(&asked(&["--height", "5"])) < ten(&asked(&["--height", "3"])));
    for (wrong, says) in
        [(["--height", "0"], "expected 0.05 to 20 mm"), (["--option", "bridge.wood.carved"], "no such option")]
    {
        let refused = bisque(&[&["strength", "years", &case][..], &wrong].concat());
        assert_eq!(refused.status.code(), Some(2));
        let told = String::from_utf8(refused.stderr).unwrap();
        assert!(told.contains(says), "{told}");
    }
}
