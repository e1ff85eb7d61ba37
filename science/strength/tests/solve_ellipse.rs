//! An elliptical hole in a wide plate pulled across its long axis (Inglis 1913, row S14): the end's radius is half the short half-axis, met by a zoom.
#![allow(clippy::unwrap_used)]

mod bodies;
mod rows;

use answer::NoProgress;
use bodies::*;
use shape::{Aabb, Difference, Solid};
use strength::solve::{Push, Solution, SurfacePoint, Zoom};

/// An elliptical bore along z, half-axes 2 along x and 1 along y; distance to first order.
struct Bore;

impl Solid for Bore {
    fn distance(&self, [x, y, _]: [f64; 3]) -> f64 {
        let k = (x / 2.0).hypot(y);
        let slope = (x / 4.0).hypot(y);
        if slope < 1e-9 { -1.0 } else { k * (k - 1.0) / slope }
    }
    fn bound(&self) -> Aabb {
        Aabb { low: [-2.0, -1.0, -9.0], high: [2.0, 1.0, 9.0] }
    }
}

#[test]
fn an_elliptical_hole_in_a_wide_plate() {
    // A quarter of a plate 48 wide and long, 0.6667 thick, that slides between two walls: the factor of plane problems does not hang on thickness.
    let plate = solid(Difference::new(block([12.0, 12.0, 0.0], [24.0, 24.0, 0.6667]), Bore));
    let face = |z: f64| slide(block([12.0, 12.0, z], [60.0, 60.0, 1e-4]));
    let m = model(
        0.4,
        [0.013, 0.021, 0.034],
        vec![body("plate", plate, 200e3, 0.3)],
        vec![
            slide(block([0.0, 12.0, 0.0], [1e-4, 60.0, 3.0])),
            slide(block([12.0, 0.0, 0.0], [60.0, 1e-4, 3.0])),
            face(-0.33335),
            face(0.33335),
        ],
        vec![load(block([12.0, 24.0, 0.0], [60.0, 1e-4, 3.0]), Push::Pressure(-100.0))],
    );
    let zoom = Zoom { name: "end".into(), centre: [2.0, 0.0, 0.0], size: [5.0, 5.0, 0.8], cell: 0.5 / 3.0 };
    let found = Solution::zoom(&[solve(m)], &zoom, 1e-8, &NoProgress).unwrap().remove(0);
    // Along the bore, at (2 cos t, sin t): (1 - m^2 - 2 m + 2 cos 2t) / (1 - 2 m cos 2t + m^2) of the pull, m = (a - b)/(a + b) = 1/3 (Inglis; 5 at t = 0).
    let along = |y: f64| {
        let c = 1.0 - 2.0 * y * y;
        (2.0 / 9.0 + 2.0 * c) / (10.0 / 9.0 - 2.0 / 3.0 * c)
    };
    let end = |p: &SurfacePoint| p.at[0] < 2.05 && p.at[1] < 0.3 && p.at[2].abs() < 0.3 && p.normal[2].abs() < 0.3;
    let peak = 5.0 * mean(&found.surface(0), end, |p| p.principal()[0] / 100.0 / along(p.at[1]));
    let expected = rows::output("S14");
    report(
        "elliptical hole in a wide plate, S14",
        "analytic_checks.csv",
        expected,
        peak,
        0.03,
        "zoom of a third of the end's radius; plate 12 times as wide as the hole",
    );
    // 3 % as the row says; the finite width adds under 1 % of it.
    assert!((peak / expected - 1.0).abs() < 0.03, "{peak} for {expected}");
}
