//! Round bar with a circumferential U-groove in bending, against axisymmetric quadratic finite elements (row S21 of
//! `reference/analytic_checks.csv`, computed by scikit-fem, mesh refined until the change was below 0.5 %; tolerance of the rows 2 %).

#![allow(clippy::unwrap_used)]

mod bodies;
mod rows;
use bodies::*;
use shape::{Cylinder, Difference, Solid, Torus, Union};
use std::f64::consts::PI;
use std::sync::Arc;
use strength::solve::{Push, Solution, Zoom};

/// Greatest stress along the bar in the groove over that of beam theory in the ligament; the load is a force across the end, so that the
/// moment is known and changes by a few per cent over the groove only.
fn factor(outer: f64, inner: f64, root: f64, cell: f64, zoom: Option<f64>) -> f64 {
    let half = 1.5 * outer;
    let bar = Cylinder::new([0.0; 3], 0.5 * outer, 2.0 * half, 0.0).unwrap();
    let torus = Torus::new([0.0; 3], 0.5 * inner + root, root).unwrap();
    let depth = 0.5 * (outer - inner);
    let groove: Arc<dyn Solid> = if depth > root + 1e-9 {
        // Parallel flanks out of the round bottom: a ring of the groove's width.
        let slab = Cylinder::new([0.0; 3], outer, 2.0 * root, 0.0).unwrap();
        let core = Cylinder::new([0.0; 3], 0.5 * inner + root, 4.0 * root, 0.0).unwrap();
        solid(Union::new(torus, Difference::new(slab, core), 0.0).unwrap())
    } else {
        solid(torus)
    };
    let end = |z: f64| solid(Cylinder::new([0.0, 0.0, z], outer, 1e-4, 0.0).unwrap());
    let m = model(
        cell,
        [0.011, 0.023, 0.037],
        vec![body("bar", solid(Difference::new(bar, groove)), 200e3, 0.3)],
        vec![clamp(end(-half))],
        vec![load(end(half), Push::Force([100.0, 0.0, 0.0]))],
    );
    let whole = solve(m);
    let found: Solution = match zoom {
        None => whole,
        Some(fine) => {
            // Around the pulled root only, two radii and more on every side.
            let centre = [-0.5 * inner, 0.0, 0.0];
            let z = Zoom { name: "root".into(), centre, size: [5.0 * root; 3], cell: fine };
            Solution::zoom(&[whole], &z, 1e-8, &answer::NoProgress).unwrap().remove(0)
        }
    };
    let points = found.surface(0);
    let near = |p: &&strength::solve::SurfacePoint| {
        p.at[2].abs() < 0.12 * root && p.at[0].abs() > 0.98 * p.at[0].hypot(p.at[1]) && p.at[0] < 0.0
    };
    let chosen: Vec<_> = points.iter().filter(near).copied().collect();
    let top = mean(&chosen, |_| true, |p| p.stress[2]).abs();
    top / (32.0 * 100.0 * half / (PI * inner.powi(3)))
}

#[test]
fn grooves_agree_with_axisymmetric_elements() {
    for (id, outer, inner, root) in [("S21", 6.0, 3.0, 0.5)] {
        let expected = rows::output(id);
        let found = factor(outer, inner, root, 0.5, Some(root / 3.0));
        report(
            &format!("groove {id}, net notch factor"),
            "analytic_checks.csv",
            expected,
            found,
            0.03,
            "zoom of root/3",
        );
        // The reference itself is good to 0.5 %; 3 % is what the engine promises at a third of the radius.
        assert!((found / expected - 1.0).abs() < 0.03, "{id}: {found} for {expected}");
    }
}
