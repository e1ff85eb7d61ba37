//! `bisque shape read` and `repair`, and every format where a surface is asked for.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, folder, json};

#[test]
fn a_surface_goes_through_every_format_and_is_measured_the_same() {
    let folder = folder("files-formats");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    std::fs::write(at("m.toml"), "[[body]]\nshape = \"block\"\nsize = [4, 3, 2]\n").unwrap();
    let mut before = at("a.stl");
    json(&bisque(&["shape", "mesh", &at("m.toml"), "--cell", "0.5", "--out", &before, "--json"]));
    for name in ["b.3mf", "c.ply", "d.stl"] {
        let after = at(name);
        let made = json(&bisque(&["shape", "repair", &before, &after, "--json"]));
        assert!(made["closed"] == true && made["actions"].as_array().unwrap().is_empty(), "{made}");
        let seen = json(&bisque(&["shape", "read", &after, "--json"]));
        assert!((seen["volume_mm3"].as_f64().unwrap() - 24.0).abs() < 1e-3, "{seen}");
        let thick = json(&bisque(&["shape", "thickness", &after, "--by", "ray", "--json"]));
        assert!((thick["least_mm"].as_f64().unwrap() - 2.0).abs() < 1e-3, "{thick}");
        before = after;
    }
    // A surface as a body of a model, with a part cut away.
    std::fs::write(
        at("n.toml"),
        "[[body]]\nshape = \"mesh\"\nfile = \"c.ply\"\n[[body]]\nshape = \"block\"\ncentre = [2, 0, 0]\nsize = [2, 4, 4]\nhow = \"cut\"\n",
    )
    .unwrap();
    let cut = json(&bisque(&["shape", "mesh", &at("n.toml"), "--cell", "0.25", "--out", &at("n.ply"), "--json"]));
    assert!((cut["volume_mm3"].as_f64().unwrap() / 18.0 - 1.0).abs() < 1e-3, "{cut}");
    assert_eq!(bisque(&["shape", "repair", &before, &at("e.xyz")]).status.code(), Some(2));
}

#[test]
fn holes_flips_and_units_are_told_and_mended() {
    let folder = folder("files-flaws");
    let at = |n: &str| folder.join(n).to_str().unwrap().to_owned();
    // A cube of 0.02 (metres) with one side missing and one facet flipped.
    let cube = "v 0 0 0\nv .02 0 0\nv .02 .02 0\nv 0 .02 0\nv 0 0 .02\nv .02 0 .02\nv .02 .02 .02\nv 0 .02 .02\n\
                f 1 4 3 2\nf 1 2 6 5\nf 2 3 7\nf 2 6 7\nf 3 4 8 7\nf 4 1 5 8\n";
    std::fs::write(at("c.obj"), cube).unwrap();
    let plain = bisque(&["shape", "read", &at("c.obj")]);
    let said = String::from_utf8_lossy(&plain.stderr).into_owned() + &String::from_utf8_lossy(&plain.stdout);
    for word in ["metre", "flipped facets", "rim of 4 edges", "shells: 1", "OBJ"] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let made =
        json(&bisque(&["shape", "repair", &at("c.obj"), &at("c.stl"), "--unit", "m", "--fill", "100", "--json"]));
    assert!(made["closed"] == true && (made["volume_mm3"].as_f64().unwrap() - 8000.0).abs() < 1e-6, "{made}");
    assert!(made["actions"][0].as_str().unwrap().contains("80.000 long"), "{made}");
    let cut = std::fs::read(at("c.stl")).unwrap();
    std::fs::write(at("cut.stl"), &cut[..300]).unwrap();
    let refused = bisque(&["shape", "read", &at("cut.stl")]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&refused.stderr).contains("holds 4"), "{refused:?}");
}
