//! Round bar with a circumferential U-groove in bending, against axisymmetric quadratic finite elements (rows S21 to S26 of
//! `reference/analytic_checks.csv`, computed by scikit-fem, mesh refined until the change was below 0.5 %; tolerance of the rows 2 %).
//!
//! The whole bar on cells of 0.5 mm, then boxes around the pulled root with cells down to a third of its radius, each driven by the one before.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;
mod rows;
use answer::NoProgress;
use bodies::*;
use shape::{Cylinder, Difference, Solid, Torus, Union};
use std::f64::consts::PI;
use std::sync::Arc;
use strength::solve::{Model, Prepared, Push, Solution, SurfacePoint, Zoom};

/// A bar along z with the groove around z = 0, clamped at one end, 100 N along x at the other: at the groove the moment is that of its middle, and
/// what the shear force adds changes sign there.
fn bar(outer: f64, inner: f64, root: f64, half: f64) -> Arc<dyn Solid> {
    let bar = Cylinder::new([0.0; 3], 0.5 * outer, 2.0 * half, 0.0).unwrap();
    let torus = Torus::new([0.0; 3], 0.5 * inner + root, root).unwrap();
    if 0.5 * (outer - inner) <= root + 1e-9 {
        return solid(Difference::new(bar, torus));
    }
    // Parallel flanks out of the round bottom: a ring of the groove's width.
    let slab = Cylinder::new([0.0; 3], outer, 2.0 * root, 0.0).unwrap();
    let core = Cylinder::new([0.0; 3], 0.5 * inner + root, 4.0 * root, 0.0).unwrap();
    solid(Difference::new(bar, Union::new(torus, Difference::new(slab, core), 0.0).unwrap()))
}

/// Stress along the bar at the bottom of the groove: a + b z^2 fitted to the stress freed of the cosine of the angle, which a body of revolution has.
fn peak(points: &[SurfacePoint], inner: f64, root: f64) -> f64 {
    let (mut s, mut count) = ([0.0f64; 5], 0);
    for p in points {
        let r = p.at[0].hypot(p.at[1]);
        let bottom = r < 0.5 * inner + 0.1 * root && p.at[2].abs() < 0.35 * root;
        if !bottom || p.at[0] > -0.75 * r {
            continue;
        }
        let (z, stress) = ((p.at[2] / root).powi(2), p.stress[2] * r / -p.at[0]);
        s[0] += p.area;
        s[1] += p.area * z;
        s[2] += p.area * z * z;
        s[3] += p.area * stress;
        s[4] += p.area * stress * z;
        count += 1;
    }
    assert!(count > 20, "{count} points at the bottom of the groove");
    (s[3] * s[2] - s[4] * s[1]) / (s[0] * s[2] - s[1] * s[1])
}

fn grooved(outer: f64, inner: f64, root: f64, cell: f64) -> Model {
    let half = 1.5 * outer;
    let end = |z: f64| solid(Cylinder::new([0.0, 0.0, z], outer, 1e-4, 0.0).unwrap());
    model(
        cell,
        [0.011, 0.023, 0.037],
        vec![body("bar", bar(outer, inner, root, half), 200e3, 0.3)],
        vec![clamp(end(-half))],
        vec![load(end(half), Push::Force([100.0, 0.0, 0.0]))],
    )
}

/// Net notch factor of a solution.
fn net(s: &Solution, outer: f64, inner: f64, root: f64) -> f64 {
    peak(&s.surface(0), inner, root).abs() / (32.0 * 100.0 * 1.5 * outer / (PI * inner.powi(3)))
}

/// Net notch factor; every zoom is (edge of the box, cell) around the pulled root.
fn factor(outer: f64, inner: f64, root: f64, cell: f64, zooms: &[(f64, f64)]) -> f64 {
    let mut found = solve(grooved(outer, inner, root, cell));
    for (edge, fine) in zooms {
        let z = Zoom { name: "root".into(), centre: [-0.5 * inner, 0.0, 0.0], size: [*edge; 3], cell: *fine };
        found = Solution::zoom(&[found], &z, 1e-8, &NoProgress).unwrap().remove(0);
    }
    net(&found, outer, inner, root)
}

/// Boxes by one rule, from the root's radius and the cells of the whole alone. Where the groove is narrower than two cells of the whole, the first box holds all of it, from its end to its mouth, and its end lies all
/// around the neck in cells of at most its radius (half its width); boxes come to them by ratios of at most 4, as equal as can be. The next ones, around the pulled root, come to a third of the radius alike. Walls keep from the root the most of five
/// of its radii, fifteen cells (around the neck one and a half of those around the box).
fn boxes(outer: f64, inner: f64, root: f64, cell: f64) -> Vec<Zoom> {
    let (mut all, mut edge) = (vec![], cell);
    if root < cell {
        for finer in ladder(cell, root) {
            let off = (5.0 * root).max(1.5 * edge);
            let across = if all.is_empty() { outer } else { inner } + 2.0 * off;
            let size = [across, across, 2.0 * off];
            all.push(Zoom { name: "neck".into(), centre: [0.0; 3], size, cell: finer });
            edge = finer;
        }
    }
    for finer in ladder(edge, root / 3.0) {
        let size = [2.0 * (5.0 * root).max(15.0 * finer); 3];
        all.push(Zoom { name: "root".into(), centre: [-0.5 * inner, 0.0, 0.0], size, cell: finer });
    }
    all
}

/// Cells from `edge` down to at most `least`, each a whole number of times in the one before: by ratios of at most 4, as equal as can be.
fn ladder(mut edge: f64, least: f64) -> Vec<f64> {
    let mut all = vec![];
    while edge > least * (1.0 + 1e-9) {
        let left = edge / least;
        let steps = (left.ln() / 4f64.ln() - 1e-9).ceil().max(1.0);
        edge /= (left.powf(1.0 / steps) - 1e-9).ceil();
        all.push(edge);
    }
    all
}

/// Net notch factor by zooms that give back.
fn both_ways(outer: f64, inner: f64, root: f64, cell: f64) -> f64 {
    let zooms = boxes(outer, inner, root, cell);
    let whole = Prepared::new(grooved(outer, inner, root, cell), &NoProgress).unwrap();
    let start = std::time::Instant::now();
    let found = whole.composite(&zooms, 1e-8, &NoProgress).unwrap();
    let told: Vec<String> = zooms.iter().map(|z| format!("{:.3} mm in {:.4} mm", z.size[0], z.cell)).collect();
    println!("boxes of {}: {} rounds, {:.1?}", told.join(", "), found.rounds[0].len(), start.elapsed());
    let changes: Vec<String> = found.rounds[0].iter().map(|r| format!("{r:.1e}")).collect();
    println!("changes {}; left over {:.1e}", changes.join(" "), found.left_over);
    let inner_most = found.zooms.last().unwrap_or(&found.whole);
    net(&inner_most[0], outer, inner, root)
}

fn checked(id: &str, found: f64, how: &str) {
    let expected = rows::output(id);
    report(&format!("groove {id}, net notch factor"), "analytic_checks.csv", expected, found, 0.03, how);
    // The reference is good to 0.5 %; 3 % is what the engine promises at a third of the radius.
    assert!((found / expected - 1.0).abs() < 0.03, "{id}: {found} for {expected}");
}

#[test]
#[ignore = "a minute"]
fn a_groove_by_one_zoom() {
    checked("S21", factor(6.0, 3.0, 0.5, 0.3, &[(2.5, 0.5 / 3.0)]), "whole at 0.3 mm, zoom of root/3");
}

#[test]
fn a_mild_groove_in_coarse_cells() {
    // The root is two thirds of the ligament's radius: cells of a third of it need no zoom.
    checked("S23", factor(6.0, 3.0, 0.9, 0.5, &[(4.0, 0.3)]), "whole at 0.5 mm, zoom of root/3");
}

fn told(id: &str, found: f64, how: &str) {
    report(&format!("groove {id}, net notch factor"), "analytic_checks.csv", rows::output(id), found, 0.03, how);
}

#[test]
#[ignore = "a minute"]
fn a_groove_by_a_zoom_from_coarse_cells() {
    checked("S24", factor(8.0, 4.0, 0.6, 0.4, &[(3.0, 0.2)]), "whole at 0.4 mm, zoom of root/3");
}

/// Reported only: the whole, whose cells are wider than the slot, drives the zooms (docs/methods/strength.md), so S22 and S25 are known to be missed.
#[test]
#[ignore = "two minutes"]
fn deep_slots_by_zooms() {
    told("S22", factor(6.0, 3.0, 0.25, 0.3, &[(1.8, 0.25 / 3.0)]), "whole at 0.3 mm, zoom of root/3");
    let deep = [(4.0, 0.25), (1.2, 0.06), (0.4, 0.02)];
    told("S25", factor(8.0, 4.0, 0.06, 0.4, &deep), "whole at 0.4 mm, three zooms to root/3");
}

#[test]
#[ignore = "a minute"]
fn a_shallow_groove_by_two_zooms() {
    let shallow = [(2.0, 0.1), (1.0, 0.1 / 3.0)];
    told("S26", factor(6.0, 5.8, 0.1, 0.4, &shallow), "whole at 0.4 mm, two zooms to root/3");
}

#[test]
#[ignore = "minutes"]
fn a_slot_narrower_than_two_cells_by_zooms_that_give_back() {
    checked("S22", both_ways(6.0, 3.0, 0.25, 0.3), "whole at 0.3 mm, zooms that give back");
}

#[test]
#[ignore = "minutes"]
fn a_slot_of_a_third_of_a_cell_by_zooms_that_give_back() {
    checked("S25", both_ways(8.0, 4.0, 0.06, 0.4), "whole at 0.4 mm, zooms that give back");
}

#[test]
#[ignore = "minutes"]
fn a_shallow_groove_by_zooms_that_give_back() {
    checked("S26", both_ways(6.0, 5.8, 0.1, 0.4), "whole at 0.4 mm, zooms that give back");
}
