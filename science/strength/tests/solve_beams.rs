//! Beams by the solver against beam theory (row B10 of `reference/analytic_checks.csv`).
#![allow(clippy::unwrap_used)]

mod bodies;
mod rows;
use bodies::*;
use shape::{Aabb, Cylinder, Motion, Placed, Solid};
use std::sync::Arc;
use strength::solve::{Push, SurfacePoint};

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
