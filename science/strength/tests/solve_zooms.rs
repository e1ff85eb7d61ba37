//! Zooms against Goodier's cavity and an error told by smaller cells: the error found and the one estimated agree.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;
mod rows;
use answer::NoProgress;
use bodies::*;
use shape::{Ball, Difference};
use strength::solve::{Push, Solution, Zoom};

fn cavity(cell: f64) -> Solution {
    let eighth = solid(Difference::new(block([3.0; 3], [6.0; 3]), Ball::new([0.0; 3], 1.0).unwrap()));
    let wall = |axis: usize, at: f64| {
        let (mut c, mut s) = ([3.0; 3], [12.0; 3]);
        c[axis] = at;
        s[axis] = 1e-4;
        block(c, s)
    };
    solve(model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("cube", eighth, 200e3, 0.3)],
        (0..3).map(|i| slide(wall(i, 0.0))).collect(),
        vec![load(wall(2, 6.0), Push::Pressure(-100.0))],
    ))
}

/// s_W over the bore as a share of the pull.
fn equivalent(s: &Solution) -> f64 {
    let bore = solid(
        shape::Intersection::new(
            Ball::new([0.0; 3], 1.1).unwrap(),
            shape::Block::new([2.001; 3], [4.0; 3], 0.0).unwrap(),
        )
        .unwrap(),
    );
    s.group(&group(bore)).unwrap().spectrum.unwrap().equivalent_stress(10.0) / 100.0
}

/// s_W of Goodier's solution over an eighth of the bore, unit pull: stresses follow the square of the height (rows S01 to S03).
fn exact() -> f64 {
    let [along, around] = ["S01", "S03"].map(rows::output);
    let pole = rows::output("S02");
    // From the equator (t = 0) to the pole (t = 1): along the meridian and around it, both linear in t = z^2.
    let n = 20_000;
    let sum: f64 = (0..n)
        .map(|k| {
            let z = (f64::from(k) + 0.5) / f64::from(n);
            let t = z * z;
            let of = |a: f64| (a + (pole - a) * t).max(0.0).powi(10);
            of(along) + of(around)
        })
        .sum::<f64>()
        / f64::from(n);
    (0.5 * std::f64::consts::PI * sum).powf(0.1)
}

#[test]
fn a_zoom_mends_what_coarse_cells_miss() {
    let expected = exact();
    let coarse = cavity(0.8);
    let zoom = |cell: f64| {
        let z = Zoom { name: "bore".into(), centre: [0.0; 3], size: [5.0; 3], cell };
        equivalent(&Solution::zoom(std::slice::from_ref(&coarse), &z, 1e-8, &NoProgress).unwrap()[0])
    };
    let (before, after, half) = (equivalent(&coarse), zoom(1.0 / 3.0), zoom(1.0 / 6.0));
    report(
        "cavity, s_W over the bore, cells of 0.8 radii",
        "Goodier 1933, rows S01 to S03",
        expected,
        before,
        0.03,
        "no zoom",
    );
    report(
        "cavity, s_W over the bore, zoom of a third of the radius",
        "Goodier 1933, rows S01 to S03",
        expected,
        after,
        0.03,
        "driven by cells of 0.8 radii",
    );
    report(
        "cavity, s_W over the bore, zoom of a sixth of the radius",
        "Goodier 1933, rows S01 to S03",
        expected,
        half,
        0.03,
        "driven by cells of 0.8 radii",
    );
    // The finite cube adds about half a per cent.
    assert!(
        (after / expected - 1.0).abs() < 0.03 && (half / expected - 1.0).abs() < 0.02,
        "{before} {after} {half} for {expected}"
    );
}

#[test]
fn the_change_with_smaller_cells_tells_the_size_of_the_error() {
    let expected = exact();
    let (here, finer) = (equivalent(&cavity(0.6)), equivalent(&cavity(0.6 / 1.4)));
    let (error, told) = (here / expected - 1.0, finer / here - 1.0);
    let covers = if told.abs() >= error.abs() { "hit" } else { "miss" };
    println!(
        "validation | the error told by smaller cells is at least the error of s_W over a cavity | Goodier 1933, rows S01 to S03 | {:.2} % or more | {:.2} % | {covers} | cells of 0.6 radii and 1/1.4 of it",
        100.0 * error.abs(),
        100.0 * told.abs()
    );
    // An estimate, not a bound: within a factor of three of the error, or both below 1 %.
    assert!((told.abs() < 0.01 && error.abs() < 0.015) || (told.abs() > error.abs() / 3.0), "{error} {told}");
}
