//! A ball-shaped cavity in tension by the solver (row S01).
#![allow(clippy::unwrap_used)]

mod bodies;
mod rows;
use bodies::*;
use shape::{Ball, Difference};
use strength::solve::{Push, Support};

/// A wall that may slide but not open: stiff springs across, none along.
fn slide(region: std::sync::Arc<dyn shape::Solid>) -> Support {
    springs(region, 1e7, 0.0)
}

/// An eighth of a cube of side 2a around a ball of radius 1, pulled along z; walls through the middle slide.
fn cavity(cell: f64) -> f64 {
    let a = 6.0;
    let half = 0.5 * a;
    let cube = block([half; 3], [a; 3]);
    let eighth = solid(Difference::new(cube, Ball::new([0.0; 3], 1.0).unwrap()));
    let wall = |axis: usize, at: f64| {
        let (mut c, mut s) = ([half; 3], [2.0 * a; 3]);
        c[axis] = at;
        s[axis] = 1e-4;
        block(c, s)
    };
    let m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("cube", eighth, 200e3, 0.3)],
        (0..3).map(|i| slide(wall(i, 0.0))).collect(),
        vec![load(wall(2, a), Push::Pressure(-100.0))],
    );
    let points = solve(m).surface(0);
    // The equator of the cavity, next to the wall z = 0.
    mean(
        &points,
        |p| {
            p.at.iter().map(|x| x * x).sum::<f64>() < 1.05
                && p.at[2] < 0.15
                && p.at[2] > 0.01
                && p.normal[2].abs() < 0.3
        },
        |p| p.stress[2],
    ) / 100.0
}

#[test]
fn a_cavity_in_tension() {
    let expected = rows::output("S01");
    let found = cavity(1.0 / 3.0);
    report(
        "ball-shaped cavity in tension, S01",
        "analytic_checks.csv",
        expected,
        found,
        0.03,
        "cell of a third of the radius, cube six radii half wide",
    );
    // The cube is finite (about 0.5 % more stress), the band reaches 0.15 radii up from the equator (1 % less): 3 % as promised.
    assert!((found / expected - 1.0).abs() < 0.03, "{found}");
}
