//! Effective area of a bar on rollers, end to end: the bar solved, its surface binned, against the beam's closed form (rows W08, W09 of `reference/analytic_checks.csv`).
#![allow(clippy::unwrap_used)]

mod bodies;
mod rows;
use bodies::*;
use rows::output;
use strength::solve::Push;

/// Half of a bar 4 x 1.2 mm, x > 0 and y > 0, on a roller at `outer`/2, pressed at `inner`/2 (0: in the middle). Effective area of the whole for m = 10, sides and lower face.
fn effective_area(outer: f64, inner: f64, cell: f64) -> f64 {
    let (width, height) = (4.0, 1.2);
    let over = 1.0;
    let long = 0.5 * outer + over;
    let bar = block([0.5 * long, 0.25 * width, 0.0], [long, 0.5 * width, height]);
    let wall = |axis: usize| {
        let mut size = [60.0; 3];
        size[axis] = 1e-4;
        block([0.0; 3], size)
    };
    let roller = |x: f64, z: f64, half: f64| block([x, 0.0, z], [2.0 * half, 20.0, 1e-3]);
    let half = 0.3;
    // Soft enough that the patch turns with the bar: stiffer springs build it in.
    let held = springs(roller(0.5 * outer, -0.5 * height, half), 300.0, 0.0);
    let m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("bar", bar, 200e3, 0.25)],
        vec![slide(wall(0)), slide(wall(1)), held],
        vec![load(roller(0.5 * inner, 0.5 * height, half), Push::Force([0.0, 0.0, -25.0]))],
    );
    let s = solve(m);
    // 100 N on the whole bar: M = P (outer - inner)/4.
    let peak = 6.0 * (100.0 * (outer - inner) / 4.0) / (width * height * height);
    let outside = |x: f64, y: f64, z: f64| (z < -0.5 * height + 1e-6 || y > 0.5 * width - 1e-6) && x > 1e-6;
    let near_roller = |x: f64| (x - 0.5 * outer).abs() < 2.0 * half;
    let points = s.surface(0);
    let seen = points.iter().filter(|p| outside(p.at[0], p.at[1], p.at[2]) && !near_roller(p.at[0]));
    let sum: f64 = seen.map(|p| p.area * (p.principal()[0] / peak).max(0.0).powf(10.0)).sum();
    4.0 * sum
}

/// As s_W: the tenth root of the area. 2 % end to end is what is promised.
fn checked(row: &str, found: f64, how: &str) {
    let expected = output(row);
    report(&format!("effective area of a bar end to end, {row}"), "analytic_checks.csv", expected, found, 0.02, how);
    assert!(((found / expected).powf(0.1) - 1.0).abs() < 0.02, "{row}: {found} for {expected}");
}

#[test]
fn a_bar_under_four_points_has_the_effective_area_of_beam_theory() {
    checked("W09", effective_area(20.0, 10.0, 0.6), "m = 10, cells of half the height; gated on s_W, the tenth root");
}

#[test]
fn a_bar_under_three_points_has_the_effective_area_of_beam_theory() {
    checked(
        "W08",
        effective_area(14.0, 0.0, 0.6),
        "m = 10, cells of half the height; the roller's patch is 0.6 mm; gated on s_W, the tenth root",
    );
}
