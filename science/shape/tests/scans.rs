//! Surfaces as scans give them: flaws are counted, OBJ text is read, garbage is refused.
#![allow(clippy::unwrap_used, reason = "tests")]

use proptest::prelude::*;
use shape::Surface;

const CUBE: &str = "# unit cube\nv 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\nv 0 0 1\nv 1 0 1\nv 1 1 1\nv 0 1 1\nf 1 4 3 2\nf 5//1 6//2 7//1 8//1\nf 1 2 6 5\n\
                    f 2 3 7 6\nf 3 4 8 7\nf -5 -8 -4 -1\n";

fn cube() -> (Vec<[f64; 3]>, Vec<[u32; 3]>) {
    let s = Surface::from_obj(CUBE.as_bytes()).unwrap();
    (s.points().to_vec(), s.facets().to_vec())
}

#[test]
fn a_cube_is_closed_and_of_area_six() {
    let s = Surface::from_obj(CUBE.as_bytes()).unwrap();
    let flaws = s.flaws();
    assert!(flaws.is_closed(), "{flaws:?}");
    assert_eq!((s.facets().len(), flaws.shells, flaws.without_area), (12, 1, 0));
    // Sum of twelve halves of unit squares: exact in floating point but for the last bit.
    assert!((s.area() - 6.0).abs() < 1e-12);
}

#[test]
fn a_missing_facet_leaves_three_open_edges() {
    let (points, mut facets) = cube();
    facets.pop();
    let flaws = Surface::new(points, facets).unwrap().flaws();
    assert_eq!((flaws.open_edges, flaws.shells, flaws.is_closed()), (3, 1, false));
}

#[test]
fn a_flipped_facet_is_wound_against_its_three_neighbours() {
    let (points, mut facets) = cube();
    facets[4].swap(0, 1);
    assert_eq!(Surface::new(points, facets).unwrap().flaws().wound_against, 3);
}

#[test]
fn a_facet_given_twice_is_a_duplicate_whichever_way_round() {
    let (points, mut facets) = cube();
    let [a, b, c] = facets[0];
    facets.push([b, a, c]);
    let flaws = Surface::new(points, facets).unwrap().flaws();
    assert_eq!((flaws.duplicates, flaws.branching_edges), (1, 3));
}

#[test]
fn two_cubes_are_two_shells_and_a_facet_without_area_is_told() {
    let (mut points, mut facets) = cube();
    let far: Vec<[f64; 3]> = points.iter().map(|p| [p[0] + 5.0, p[1], p[2]]).collect();
    facets.extend(facets.clone().iter().map(|f| f.map(|v| v + 8)));
    points.extend(far);
    assert_eq!(Surface::new(points.clone(), facets.clone()).unwrap().flaws().shells, 2);
    facets.push([0, 0, 1]);
    assert_eq!(Surface::new(points, facets).unwrap().flaws().without_area, 1);
}

#[test]
fn a_wrong_line_is_named() {
    for (text, line) in [("v 0 0 0\nv 1 0 nan\n", "2"), ("v 0 0 0\nf 1 2 3\n", "2"), ("\n\nf 1 1\n", "3")] {
        let told = Surface::from_obj(text.as_bytes()).unwrap_err().to_string();
        assert!(told.contains(&format!(":{line}:")) && told.contains("OBJ"), "{told}");
    }
    assert!(Surface::from_obj(b"").is_err());
    assert!(Surface::from_obj(b"f -9223372036854775808 1 1").is_err());
}

proptest! {
    #[test]
    fn obj_survives_garbage(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = Surface::from_obj(&bytes);
    }

    #[test]
    fn obj_survives_mutation(changes in prop::collection::vec((0usize..400, any::<u8>()), 0..12)) {
        let mut bytes = CUBE.as_bytes().to_vec();
        for (at, byte) in changes {
            let at = at % bytes.len();
            bytes[at] = byte;
        }
        if let Ok(s) = Surface::from_obj(&bytes) {
            prop_assert!(s.points().iter().flatten().all(|x| x.is_finite()) && s.area() >= 0.0);
        }
    }

    #[test]
    fn stl_survives_mutation(changes in prop::collection::vec((0usize..800, any::<u8>()), 0..12), end in 0usize..800) {
        let mut bytes = Surface::from_obj(CUBE.as_bytes()).unwrap().to_stl();
        for (at, byte) in changes {
            let at = at % bytes.len();
            bytes[at] = byte;
        }
        bytes.truncate(end);
        let _ = Surface::from_stl(&bytes);
    }
}
