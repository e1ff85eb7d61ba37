//! Beams by the solver against beam theory (row B10 of `reference/analytic_checks.csv`).
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;
mod rows;
use answer::NoProgress;
use bodies::*;
use shape::{Aabb, Cylinder, Motion, Placed, Solid};
use std::sync::Arc;
use strength::solve::{Prepared, Push, SurfacePoint};

/// Bar along z of length 16 clamped at one end, F across the other along y so that the moment at 8 mm is 1000 N mm.
fn bent(section: Arc<dyn Solid>, turned: Option<([f64; 3], f64)>, cell: f64) -> (Vec<SurfacePoint>, Motion) {
    let motion = turned.map_or(Motion::none(), |(axis, angle)| Motion::turn(axis, angle, [0.1, 0.2, 0.3]).unwrap());
    let place = |s: Arc<dyn Solid>| solid(Placed::new(s, motion));
    let end = |z: f64| place(solid(Cylinder::new([0.0, 0.0, z], 6.0, 1e-4, 0.0).unwrap()));
    let force = motion.turned([0.0, 125.0, 0.0]);
    let m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("bar", place(section), 200e3, 0.3)],
        vec![clamp(end(-8.0))],
        vec![load(end(8.0), Push::Force(force))],
    );
    (solve(m).surface(0), motion)
}

/// Stress along the bar at the middle, at the outermost fibre on the pulled side.
fn outermost(points: &[SurfacePoint], motion: &Motion, half: f64) -> f64 {
    let chosen: Vec<(f64, f64)> = points
        .iter()
        .filter(|p| {
            let q = motion.back(p.at);
            q[2].abs() < 0.8 && q[1] < -0.97 * half
        })
        .map(|p| {
            // Along the bar the stress follows the moment, over the height the distance from the middle.
            let q = motion.back(p.at);
            (p.principal()[0] * (half / -q[1]) * 8.0 / (8.0 - q[2]), p.area)
        })
        .collect();
    let area: f64 = chosen.iter().map(|c| c.1).sum();
    chosen.iter().map(|c| c.0 * c.1).sum::<f64>() / area
}

/// A bar of elliptical section, half-axes 1.5 and 2, ends at z = -8 and 8; sizes are lower bounds of the distance.
struct Elliptical;

impl Solid for Elliptical {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let across = 1.5 * ((p[0] / 1.5).hypot(p[1] / 2.0) - 1.0);
        across.max(p[2].abs() - 8.0)
    }
    fn bound(&self) -> Aabb {
        Aabb { low: [-1.5, -2.0, -8.0], high: [1.5, 2.0, 8.0] }
    }
}

#[test]
fn an_elliptical_bar_in_bending() {
    let expected = rows::output("B10");
    let (points, motion) = bent(solid(Elliptical), None, 0.5);
    let found = outermost(&points, &motion, 2.0);
    report(
        "elliptical section in bending, B10",
        "analytic_checks.csv",
        expected,
        found,
        0.01,
        "cell of a third of the short half-axis",
    );
    // Beam theory is exact for the stress along the bar away from the ends; 1 % of a fine mesh as the row says.
    assert!((found / expected - 1.0).abs() < 0.01, "{found}");
}

/// Half of a bar in three-point bending (E 95 GPa, Poisson ratio 0.23, 14 mm between supports, 4 mm wide, 100 N): the load and its reaction act as shear over both ends, so
/// that nothing is dented; how far the ends part across the bar. Timoshenko's beam with Cowper's coefficient tells the mean deflection of a section: sections bend across as well (by the Poisson ratio), and the
/// middle of this one lags behind the mean by nu (b^2 - h^2) kappa / 24.
fn deflection(height: f64, cell: f64) -> f64 {
    let bar = block([3.5, 0.0, 0.0], [7.0, 4.0, height]);
    let end = |x: f64| block([x, 0.0, 0.0], [1e-4, 9.0, 9.0]);
    let rest = springs(block([0.0, 0.0, 0.0], [1e-4, 9.0, 9.0]), 0.0, 1.0);
    let shear = |x: f64, f: f64| load(end(x), Push::Force([0.0, 0.0, f]));
    let m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("bar", bar, 95_000.0, 0.23)],
        vec![slide(end(0.0)), rest],
        vec![shear(0.0, -50.0), shear(7.0, 50.0)],
    );
    let s = solve(m);
    // Four by four places of Gauss over the section: exact for the cubics of bending and shear.
    let points = [(-0.430568155797026, 0.173927422568727), (-0.169990521792428, 0.326072577431273)];
    let points = points.iter().flat_map(|(x, w)| [(*x, *w), (-x, *w)]).collect::<Vec<_>>();
    let mean = |x: f64| -> f64 {
        let all = points.iter().flat_map(|a| points.iter().map(move |b| (a, b)));
        all.map(|(a, b)| a.1 * b.1 * s.nearest(0, [x, 4.0 * a.0, height * b.0]).unwrap().displacement[2]).sum()
    };
    let middle = |x: f64| s.nearest(0, [x, 0.0, 0.0]).unwrap().displacement[2];
    println!("middle of the section {:.6}", middle(6.999) - middle(0.001));
    mean(6.999) - mean(0.001)
}

#[test]
fn three_point_bending_of_a_slender_and_a_stubby_bar() {
    // Rows B03 (0.5 %) and B04 (2 %).
    for (id, height, cell, limit) in [("B03", 1.2, 0.6, 0.005), ("B04", 4.0, 1.0, 0.02)] {
        let (expected, found) = (rows::output(id), deflection(height, cell));
        report(
            &format!("deflection in three-point bending, {id}"),
            "analytic_checks.csv",
            expected,
            found,
            limit,
            "two or four cells over the height, ends in shear",
        );
        assert!((found / expected - 1.0).abs() < limit, "{id}: {found} for {expected}");
    }
}

/// 52 times as long as thick: what resists its bending is a ten millionth of what stretches its cells, and must not be lost in what coarser levels round.
#[test]
fn a_slender_bar_bends_as_a_beam_and_is_not_taken_for_a_free_body() {
    let (young, poisson, length, side) = (210e3, 0.3, 120.0, 2.3);
    let end = |x: f64| block([0.1 + x, 0.0, 0.0], [1e-4, 5.0, 5.0]);
    let bar = body("bar", block([0.1, 0.03, 0.35], [length, side, side]), young, poisson);
    let push = load(end(0.5 * length), Push::Force([0.0, 0.0, -1.0]));
    let m = model(0.5, [0.013, 0.021, 0.034], vec![bar], vec![clamp(end(-0.5 * length))], vec![push]);
    let s = Prepared::new(m, &NoProgress).unwrap().solve(1e-6, &NoProgress).unwrap().remove(0);
    let found = -s.nearest(0, [0.1 + 0.5 * length, 0.03, 0.35]).unwrap().displacement[2];
    // Bending and shear (6/5): elementary beam theory.
    let bending = 4.0 * length.powi(3) / (young * side.powi(4));
    let expected = bending + 1.2 * length * 2.0 * (1.0 + poisson) / (young * side * side);
    assert!((found / expected - 1.0).abs() < 0.01, "{found} for {expected}");
}
