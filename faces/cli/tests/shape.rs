//! `bisque shape` as a person uses it.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, folder, json};

#[test]
fn a_model_becomes_a_closed_surface_that_is_measured() {
    let folder = folder("shape-model");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    let (model, stl, picture) = (at("m.toml"), at("m.stl"), at("t.png"));
    std::fs::write(&model, "[[body]]\nshape = \"frustum\"\nlow = 3.0\nhigh = 2.5\nheight = 4.0\n").unwrap();
    let made = json(&bisque(&["shape", "mesh", &model, "--cell", "0.3", "--out", &stl, "--json"]));
    let volume = std::f64::consts::PI * 4.0 / 3.0 * (9.0 + 7.5 + 6.25);
    assert!((made["volume_mm3"].as_f64().unwrap() / volume - 1.0).abs() < 5e-3 && made["open_edges"] == 0, "{made}");
    let thick = json(&bisque(&["shape", "thickness", &stl, "--need", "0.1", "--picture", &picture, "--json"]));
    assert!(thick["least_mm"].as_f64().unwrap() > 0.0);
    assert!(std::fs::read(&picture).unwrap().starts_with(b"\x89PNG"));
    let under = json(&bisque(&["shape", "undercut", &stl, "--json"]));
    let angle = under["convergence"]["mean_degrees"].as_f64().unwrap();
    assert!((angle - 2.0 * (0.5f64 / 4.0).atan().to_degrees()).abs() < 0.05, "{under}");
    let cuts = json(&bisque(&[
        "shape",
        "sections",
        &stl,
        "--through",
        "0,0,-1",
        "--through",
        "0,0,1",
        "--up",
        "0,1,0",
        "--json",
    ]));
    assert_eq!(cuts["sections"].as_array().unwrap().len(), 11);
    let laid = json(&bisque(&["shape", "align", &stl, &stl, "--near", "--json"]));
    assert!(laid["overlap"].as_f64().unwrap() > 0.99 && laid["rms_mm"].as_f64().unwrap() < 1e-6, "{laid}");
}

#[test]
fn wrong_input_is_refused_with_the_reason_and_the_right_exit_code() {
    let folder = folder("shape-wrong");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    let (garbage, model, out) = (at("g.stl"), at("m.toml"), at("o.stl"));
    std::fs::write(&garbage, b"no surface at all").unwrap();
    let refused = bisque(&["shape", "thickness", &garbage]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("STL"));
    assert_eq!(bisque(&["shape", "thickness", &at("none.stl")]).status.code(), Some(3));
    assert_eq!(bisque(&["shape", "undercut", &garbage, "--direction", "up"]).status.code(), Some(2));
    std::fs::write(&model, "[[body]]\nshape = \"ball\"\n").unwrap();
    let refused = bisque(&["shape", "mesh", &model, "--cell", "0.3", "--out", &out]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("radius"));
    assert!(!std::path::Path::new(&out).exists());
}
