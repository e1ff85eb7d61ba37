//! Zooms anywhere on any body: each is held where the whole is. A family of necks by zooms of every size, their s_W beside that of the whole on the zoom's cells.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;

use answer::NoProgress;
use bodies::*;
use proptest::prelude::*;
use shape::{Ball, Cylinder, Difference, Motion, Placed, Solid, Torus, Union};
use std::sync::Arc;
use strength::solve::{Model, ModelError, Push, Solution, Zoom};

/// A round bar of radius 1.5 with a groove of root radius `root` down to a ligament of radius `neck`, bent by a force at its end.
fn bar(neck: f64, root: f64, cell: f64) -> Model {
    let whole = Cylinder::new([0.0; 3], 1.5, 5.0, 0.0).unwrap();
    let groove = Torus::new([0.0; 3], neck + root, root).unwrap();
    let end = |z: f64| solid(Cylinder::new([0.0, 0.0, z], 4.0, 1e-4, 0.0).unwrap());
    model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("bar", solid(Difference::new(whole, groove)), 200e3, 0.3)],
        vec![clamp(end(-2.5))],
        vec![load(end(2.5), Push::Force([10.0, 0.0, 0.0]))],
    )
}

/// s_W over the pulled side of the groove's bottom.
fn equivalent(s: &Solution, neck: f64, root: f64) -> f64 {
    let region: Arc<dyn Solid> = block([-0.5 * (neck + 0.2), 0.0, 0.0], [neck + 0.2, 0.8 * neck, 0.8 * root]);
    s.group(&group(region)).unwrap().spectrum.unwrap().equivalent_stress(10.0)
}

/// Greatest error of s_W over zooms of one neck (edge of the box in radii of the root, cells along it), against the whole on cells of a quarter of the root.
fn family(neck: f64, root: f64, zooms: &[(f64, f64)]) -> f64 {
    let whole = solve(bar(neck, root, 0.5 * root));
    let expected = equivalent(&solve(bar(neck, root, root / 4.0)), neck, root);
    let mut worst = 0.0f64;
    for (edge, cells) in zooms {
        for lift in [0.0, 0.13] {
            let centre = [-neck, lift, 0.7 * lift];
            let zoom = Zoom { name: "neck".into(), centre, size: [edge * root; 3], cell: edge * root / cells };
            let found = Solution::zoom(std::slice::from_ref(&whole), &zoom, 1e-6, &NoProgress);
            let off = equivalent(&found.unwrap()[0], neck, root) / expected - 1.0;
            println!(
                "neck {neck}, root {root}, box of {edge} roots in {cells} cells, moved {lift}: {:.2} %",
                100.0 * off
            );
            worst = if off.abs() > worst.abs() { off } else { worst };
        }
    }
    worst
}

#[test]
fn zooms_of_a_neck_agree_with_the_whole() {
    let worst = family(0.8, 0.7, &[(2.0, 5.0), (2.0, 6.0), (3.0, 9.0), (4.0, 12.0), (3.0, 11.0)]);
    assert!(worst.abs() < 0.03, "{worst}");
}

#[test]
#[ignore = "two minutes"]
fn zooms_of_a_family_of_necks_agree_with_the_whole() {
    let mut worst = 0.0f64;
    for neck in [0.6, 0.8, 1.0, 1.2] {
        for (root, zoom) in [(0.6, (2.5, 7.0)), (0.7, (3.0, 9.0)), (0.8, (4.0, 12.0))] {
            let off = family(neck, root, &[zoom]);
            worst = if off.abs() > worst.abs() { off } else { worst };
        }
    }
    let how =
        "12 necks, a box of 7, 9 or 12 cells at two places each, on cells of 1/2.8 to 1/3 of the root's radius, worst";
    report("s_W of necks by zooms", "the whole on cells of a quarter of the root", 1.0, 1.0 + worst, 0.03, how);
    assert!(worst.abs() < 0.03, "{worst}");
}

fn lump(kind: usize, a: f64, b: f64) -> Arc<dyn Solid> {
    let ball = Ball::new([0.0; 3], a).unwrap();
    let stick = Cylinder::new([0.0; 3], 0.6 * a * b, 2.0, 0.0).unwrap();
    match kind {
        0 => solid(ball),
        1 => block([0.0; 3], [a, 1.4 * b, 2.0]),
        2 => solid(Difference::new(Ball::new([0.0; 3], 1.2 * a).unwrap(), stick)),
        3 => solid(Union::new(ball, Cylinder::new([0.0; 3], 0.4, 2.6, 0.1).unwrap(), 0.2 * b).unwrap()),
        _ => solid(Difference::new(
            Cylinder::new([0.0; 3], a, 2.0, 0.0).unwrap(),
            Torus::new([0.0; 3], a, 0.5 * a * b).unwrap(),
        )),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(12) })]

    /// What is held as a whole is held in any box.
    #[test]
    fn a_zoom_anywhere_is_solved_or_lies_off_the_body(
        (kind, a, b, turn) in (0usize..5, 0.7..1.3f64, 0.4..1.0f64, 0.0..3.0f64),
        centre in [-1.2..1.2f64, -1.2..1.2, -1.2..1.2],
        size in [0.1..2.5f64, 0.1..2.5, 0.1..2.5],
        ratio in 0.35..1.0f64,
    ) {
        let turned = Motion::turn([1.0, 2.0, 0.5], turn, [0.013, 0.021, 0.034]).unwrap();
        let shape = solid(Placed::new(lump(kind, a, b), turned));
        let low = block([0.0, 0.0, -3.4], [9.0, 9.0, 6.0]);
        let high = block([0.0, 0.0, 3.4], [9.0, 9.0, 6.0]);
        let m = model(
            0.45,
            [0.0; 3],
            vec![body("lump", shape.clone(), 1000.0, 0.3)],
            vec![clamp(low)],
            vec![load(high, Push::Force([1.0, 2.0, -3.0]))],
        );
        let whole = solve(m);
        let zoom = Zoom { name: "box".into(), centre, size, cell: 0.45 * ratio };
        match Solution::zoom(std::slice::from_ref(&whole), &zoom, 1e-6, &NoProgress) {
            Ok(found) => {
                let (most, bound) = (found[0].greatest_displacement(), whole.greatest_displacement());
                prop_assert!(most.is_finite() && most < 3.0 * bound, "{most} for at most {bound}");
                prop_assert!((0.0..=1.0).contains(&found[0].driven()));
            }
            Err(ModelError::NoMaterial(name)) => {
                prop_assert_eq!(name, "box");
                // Nothing of the body lies a cell within the box.
                for k in 0..1000 {
                    let at: [f64; 3] = std::array::from_fn(|i| {
                        let t = f64::from(k / [1, 10, 100][i] % 10) / 9.0 - 0.5;
                        centre[i] + t * (size[i] - 0.9 * ratio).max(0.0)
                    });
                    prop_assert!(shape.distance(at) > -0.1 * ratio, "material at {at:?}");
                }
            }
            Err(e) => prop_assert!(false, "{e}"),
        }
    }
}
