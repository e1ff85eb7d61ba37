//! `bisque strength surfaces` and `full` as a person uses them: what the shipped surfaces are worth, and what is refused before anything is solved.
#![allow(clippy::unwrap_used)]

mod common;

use common::{bisque, example, folder, json};

#[test]
fn the_shipped_surfaces_tell_their_error() {
    let file = concat!(env!("CARGO_MANIFEST_DIR"), "/../../data/surfaces.csv");
    let told = json(&bisque(&["strength", "surfaces", file, "--json"]));
    let families = told.as_array().unwrap();
    assert_eq!(families.len(), strength::designs::Family::ALL.len(), "{told}");
    assert!(families.iter().any(|f| f["designs"].as_u64().unwrap() > 0), "{told}");
    // Every family that is named is shipped.
    for f in families {
        assert!(f["designs"].as_u64().unwrap() >= 30, "{f}");
        // 3 % is the least error told; a surface worse than a factor of e would be none.
        let error = f["error_ln"].as_f64().unwrap();
        assert!((0.03..1.0).contains(&error), "{f}");
        assert!(f["fresh"]["within_90"].as_u64().unwrap() <= f["fresh"]["designs"].as_u64().unwrap());
    }
}

#[test]
fn a_file_that_holds_no_designs_is_refused() {
    let file = folder("surfaces").join("none.csv");
    std::fs::write(&file, "a,b\n1,2\n").unwrap();
    let refused = bisque(&["strength", "surfaces", file.to_str().unwrap()]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(String::from_utf8(refused.stderr).unwrap().contains("surfaces.csv, line 1"));
}

#[test]
fn full_refuses_what_it_cannot_solve() {
    let case = example("bridge-45-47");
    for (asked, says) in [
        (["--cell", "9"], "expected 0.3 to 1.5 mm"),
        (["--zoom", "5"], "--zoom 5"),
        (["--years", "7"], "expected 5, 10 or 15"),
        (["--option", "bridge.wood.carved"], "has no option"),
        (["--option", "bridge.metal_ceramic.layered"], "nothing brittle"),
    ] {
        let refused = bisque(&["strength", "full", &case, "--draws", "32", asked[0], asked[1]]);
        assert_eq!(refused.status.code(), Some(2), "{asked:?}");
        let told = String::from_utf8(refused.stderr).unwrap();
        assert!(told.contains(says), "{asked:?}: {told}");
    }
}
