//! `bisque strength` as a person uses it.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, folder};

fn example(name: &str) -> String {
    format!("{}/../../examples/models/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// s_W of the upper face from 6 to 10 mm by beam theory: 10 (16 - x)/6 MPa over 4 mm of width, folded with m = 10.
fn upper_face() -> f64 {
    let sum: f64 =
        (0..4000).map(|k| (100.0 / 60.0 * (10.0 - (f64::from(k) + 0.5) / 1000.0)).powi(10)).sum::<f64>() / 4000.0;
    (16.0 * sum).powf(0.1)
}

/// A block clamped at one end, two layers cooled, a neck with a zoom: the models a reader tries first.
#[test]
fn every_example_is_solved() {
    let models = std::fs::read_dir(example("")).unwrap().map(|e| e.unwrap().path());
    let models: Vec<_> = models.filter(|p| p.extension().is_some_and(|e| e == "toml")).collect();
    assert!(models.len() >= 3);
    for model in models {
        let out = bisque(&["strength", "solve", model.to_str().unwrap(), "--json"]);
        assert_eq!(out.status.code(), Some(0), "{}: {}", model.display(), String::from_utf8_lossy(&out.stderr));
        let found: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        for case in found["cases"].as_array().unwrap() {
            let steps = case["iterations"].as_u64().unwrap();
            assert!((1..=25).contains(&steps), "{}: {steps} iterations", model.display());
        }
    }
}

#[test]
fn a_bar_in_bending_agrees_with_beam_theory() {
    let folder = folder("strength-bar");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    let (picture, fields) = (at("bar.png"), at("fields"));
    let out = bisque(&[
        "strength",
        "solve",
        &example("bar-in-bending.toml"),
        "--json",
        "--picture",
        &picture,
        "--vtu",
        &fields,
    ]);
    assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
    let found: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    // A block is cut exactly.
    assert!((found["bodies"][0]["volume_mm3"].as_f64().unwrap() / 192.0 - 1.0).abs() < 1e-6, "{found}");
    let case = &found["cases"][0];
    let tip = case["greatest_displacement_mm"].as_f64().unwrap();
    // Bending 0.00722 mm and shear 0.00024 mm; the clamp stiffens by Poisson's effect, the nodes beyond the tip add a little.
    assert!((tip / 0.00746 - 1.0).abs() < 0.04, "{tip}");
    let expected = upper_face();
    let group = &case["groups"][0]["equivalent"][1];
    assert!((group["equivalent_mpa"].as_f64().unwrap() / expected - 1.0).abs() < 0.02, "{group} {expected}");
    assert!(std::fs::read(&picture).unwrap().starts_with(b"\x89PNG"));
    let vtu = std::fs::read_to_string(folder.join("fields/all-bar.vtu")).unwrap();
    assert!(vtu.contains("displacement_mm") && vtu.ends_with("</VTKFile>\n"));
}

/// A box in smaller cells that gives back: a beam has nothing there that its own cells miss, so that the whole keeps its tip and the box agrees with beam theory.
#[test]
fn an_inset_is_felt_by_the_whole_and_told_as_a_zoom_is() {
    let path = folder("strength-inset").join("m.toml");
    let text = std::fs::read_to_string(example("bar-in-bending.toml")).unwrap();
    let found = |more: &str| -> serde_json::Value {
        std::fs::write(&path, text.clone() + more).unwrap();
        let out = bisque(&["strength", "solve", path.to_str().unwrap(), "--cell", "1", "--json"]);
        assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stderr));
        serde_json::from_slice(&out.stdout).unwrap()
    };
    let (plain, with) =
        (found(""), found("\n[[inset]]\nname = \"top\"\ncentre = [8, 0, 0]\nsize = [6, 6, 5]\ncell = 0.5\n"));
    let tip = |f: &serde_json::Value| f["cases"][0]["greatest_displacement_mm"].as_f64().unwrap();
    assert!((tip(&with) / tip(&plain) - 1.0).abs() < 0.01, "{} {}", tip(&with), tip(&plain));
    let inset = &with["zooms"][0];
    assert_eq!(inset["name"], "top", "{with}");
    assert_eq!(inset["cell_mm"], 0.5, "{with}");
    let s = inset["groups"][0]["equivalent"][1]["equivalent_mpa"].as_f64().unwrap();
    assert!((s / upper_face() - 1.0).abs() < 0.02, "{s} {}", upper_face());
}

#[test]
fn wrong_models_are_refused_with_the_part_and_the_line() {
    let folder = folder("strength-wrong");
    let path = folder.join("m.toml");
    let text = std::fs::read_to_string(example("bar-in-bending.toml")).unwrap();
    let refused = |from: &str, to: &str| {
        assert!(text.contains(from));
        std::fs::write(&path, text.replace(from, to)).unwrap();
        let out = bisque(&["strength", "solve", path.to_str().unwrap(), "--cell", "1"]);
        assert_eq!(out.status.code(), Some(1), "{to}");
        String::from_utf8_lossy(&out.stderr).into_owned()
    };
    assert!(refused("material = \"ceramic\"", "material = \"wood\"").contains("`wood`, which there is not"));
    assert!(
        refused(
            "body = \"bar\"\nregion = [{ shape = \"block\", centre = [16",
            "body = \"beam\"\nregion = [{ shape = \"block\", centre = [16"
        )
        .contains("m.toml:23, field tip: body `beam`")
    );
    assert!(refused("poisson = 0.3", "poisson = 0.5").contains("Poisson ratio is 0.5"));
    assert!(refused("centre = [16, 0, 0]", "centre = [26, 0, 0]").contains("tip lies nowhere"));
    assert!(refused("clamp = true", "normal = 0.0").contains("body bar is not held"));
    assert!(refused("schema = 1", "schema = 2").contains("another schema"));
    assert!(refused("cell = 0.5", "cel = 0.5").contains("unknown field `cel`"));
    assert_eq!(bisque(&["strength", "solve", "there-is-no-such-file.toml"]).status.code(), Some(3));
    assert_eq!(bisque(&["strength", "solve", path.to_str().unwrap(), "--tolerance", "2"]).status.code(), Some(2));
}
