//! Cavities, holes and thick shells by the solver: rows S01 to S12 of `reference/analytic_checks.csv`.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;
mod rows;
use answer::NoProgress;
use bodies::*;
use shape::{Ball, Cylinder, Difference, Solid};
use std::sync::Arc;
use strength::solve::{LoadCase, Model, Prepared, Push, Solution, SurfacePoint};

const SOURCE: &str = "analytic_checks.csv";

fn pull(region: Arc<dyn Solid>) -> strength::solve::Load {
    load(region, Push::Pressure(-100.0))
}

/// Reported, and gated unless it is known to be missed.
fn checked(id: &str, what: &str, found: f64, limit: f64, how: &str) {
    assert!(told(id, what, found, limit, how), "{id}: {found} for {}", rows::output(id));
}

fn told(id: &str, what: &str, found: f64, limit: f64, how: &str) -> bool {
    let expected = rows::output(id);
    // Small stresses are judged by the stress applied.
    let unit = expected.abs().max(1.0);
    report_share(&format!("{what}, {id}"), SOURCE, expected, found, unit, limit, how);
    (found - expected).abs() < limit * unit
}

/// Stress extrapolated to a place: a + b d + c e fitted over the points that count, d and e their distances by two measures.
fn at_place(
    points: &[SurfacePoint],
    counts: impl Fn(&SurfacePoint) -> bool,
    off: impl Fn(&SurfacePoint) -> f64,
    value: impl Fn(&SurfacePoint) -> f64,
) -> f64 {
    let mut s = [0.0f64; 5];
    for p in points.iter().filter(|p| counts(p)) {
        let (d, v) = (off(p), value(p));
        s = [s[0] + p.area, s[1] + p.area * d, s[2] + p.area * d * d, s[3] + p.area * v, s[4] + p.area * v * d];
    }
    assert!(s[0] > 0.0, "no surface there");
    (s[3] * s[2] - s[4] * s[1]) / (s[0] * s[2] - s[1] * s[1])
}

/// An eighth of a cube of side 2a around a ball of radius 1, pulled along z, along x and y, and all ways; walls through the middle slide.
fn cavity(cell: f64) -> Vec<Solution> {
    let a = 6.0;
    let half = 0.5 * a;
    let eighth = solid(Difference::new(block([half; 3], [a; 3]), Ball::new([0.0; 3], 1.0).unwrap()));
    let wall = |axis: usize, at: f64| {
        let (mut c, mut s) = ([half; 3], [2.0 * a; 3]);
        c[axis] = at;
        s[axis] = 1e-4;
        block(c, s)
    };
    let mut m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("cube", eighth, 200e3, 0.3)],
        (0..3).map(|i| slide(wall(i, 0.0))).collect(),
        vec![],
    );
    let pulled = |axes: &[usize]| LoadCase {
        name: format!("{axes:?}"),
        loads: axes.iter().map(|i| pull(wall(*i, a))).collect(),
        given: 1.0,
    };
    m.cases = vec![pulled(&[2]), pulled(&[0, 1]), pulled(&[0, 1, 2])];
    Prepared::new(m, &NoProgress).unwrap().solve(1e-8, &NoProgress).unwrap()
}

fn bore(p: &SurfacePoint) -> bool {
    p.at.iter().map(|x| x * x).sum::<f64>() < 1.05 && p.at.iter().all(|x| *x > 0.01)
}

/// Rows S01 to S05 in this order.
fn cavity_rows(cell: f64) -> [f64; 5] {
    let points: Vec<Vec<SurfacePoint>> = cavity(cell).iter().map(|s| s.surface(0)).collect();
    // On the bore stresses follow the square of the height (Goodier's solution), so a line in z^2 is exact.
    let height = |p: &SurfacePoint| p.at[2] * p.at[2];
    let radius = |p: &SurfacePoint| p.at[0].powi(2) + p.at[1].powi(2);
    let equator = |p: &SurfacePoint| bore(p) && p.at[2] < 0.4;
    let pole = |p: &SurfacePoint| bore(p) && p.at[2] > 0.9;
    let around = |p: &SurfacePoint| {
        let (x, y) = (p.at[0], p.at[1]);
        let [xx, yy, _, xy, ..] = p.stress;
        (xx * y * y + yy * x * x - 2.0 * xy * x * y) / (x * x + y * y)
    };
    let across = |p: &SurfacePoint| 0.5 * (p.stress[0] + p.stress[1]);
    [
        at_place(&points[0], equator, height, |p| p.stress[2]),
        at_place(&points[0], pole, radius, across),
        at_place(&points[0], equator, height, around),
        at_place(&points[1], pole, radius, across),
        mean(&points[2], bore, |p| 0.5 * (p.principal()[0] + p.principal()[1])),
    ]
    .map(|s| s / 100.0)
}

const CAVITY: [(&str, &str); 5] = [
    ("S01", "cavity in tension, equator"),
    ("S02", "cavity in tension, pole"),
    ("S03", "cavity in tension, around the equator"),
    ("S04", "cavity pulled two ways, on the free axis"),
    ("S05", "cavity pulled all ways"),
];

#[test]
fn a_cavity_pulled_one_way_two_ways_and_all_ways() {
    let found = cavity_rows(1.0 / 3.0);
    for ((id, what), found) in CAVITY.iter().zip(found) {
        told(id, what, found, 0.03, "cell of a third of the radius, cube six radii half wide");
    }
    // The concentration itself, and the even pull; the pole's small stresses need smaller cells (below).
    for n in [0, 4] {
        let expected = rows::output(CAVITY[n].0);
        assert!((found[n] / expected - 1.0).abs() < 0.03, "{}: {} for {expected}", CAVITY[n].0, found[n]);
    }
}

#[test]
#[ignore = "a minute"]
fn a_cavity_in_cells_of_a_fifth_of_the_radius() {
    for ((id, what), found) in CAVITY.iter().zip(cavity_rows(0.2)) {
        told(id, what, found, 0.03, "cell of a fifth of the radius");
    }
}

/// An eighth of a ball of radius `outer` with a bore, under inner pressure 10; s_W over the bore as a share of Lame's, and its surface.
fn thick_sphere(inner: f64, outer: f64, cell: f64) -> (f64, Vec<SurfacePoint>) {
    let hollow = Difference::new(Ball::new([0.0; 3], outer).unwrap(), Ball::new([0.0; 3], inner).unwrap());
    let eighth =
        solid(shape::Intersection::new(hollow, shape::Block::new([outer; 3], [2.0 * outer; 3], 0.0).unwrap()).unwrap());
    let wall = |axis: usize| {
        let (mut c, mut s) = ([outer; 3], [4.0 * outer; 3]);
        c[axis] = 0.0;
        s[axis] = 1e-4;
        block(c, s)
    };
    let bore = solid(
        shape::Intersection::new(
            Ball::new([0.0; 3], 0.5 * (inner + outer)).unwrap(),
            shape::Block::new([outer + 1e-6; 3], [2.0 * outer; 3], 0.0).unwrap(),
        )
        .unwrap(),
    );
    let m = model(
        cell,
        [0.013, 0.021, 0.034],
        vec![body("shell", eighth, 200e3, 0.3)],
        (0..3).map(|i| slide(wall(i))).collect(),
        vec![load(bore.clone(), Push::Pressure(10.0))],
    );
    let s = solve(m);
    let points = s.surface(0);
    let area: f64 = points.iter().filter(|p| bore.distance(p.at) < 0.0).map(|p| p.area).sum();
    // Two equal principal stresses over the bore: s_W = sigma (2 A)^(1/m).
    let stress = s.group(&group(bore)).unwrap();
    (stress.spectrum.unwrap().equivalent_stress(10.0) / (2.0 * area).powf(0.1), points)
}

/// Lame: hoop stress of a thick sphere under inner pressure 10.
fn lame(a: f64, b: f64, r: f64) -> f64 {
    10.0 * a.powi(3) * (b.powi(3) + 2.0 * r.powi(3)) / (2.0 * r.powi(3) * (b.powi(3) - a.powi(3)))
}

#[test]
fn a_thick_sphere_converges_and_a_thin_shell_is_not_stiff() {
    let expected = rows::output("S06");
    let mut errors = vec![];
    for cell in [1.0, 0.667, 0.444] {
        let (found, points) = thick_sphere(2.0, 4.0, cell);
        errors.push(found / expected - 1.0);
        if errors.len() == 3 {
            report(
                "thick sphere, s_W at the bore, S06",
                SOURCE,
                expected,
                found,
                0.03,
                "cell of 0.22 of the bore's radius",
            );
            let outside =
                |p: &SurfacePoint| p.at.iter().map(|x| x * x).sum::<f64>() > 15.0 && p.at.iter().all(|x| *x > 0.01);
            let hoop = mean(&points, outside, |p| 0.5 * (p.principal()[0] + p.principal()[1]));
            checked("S07", "thick sphere, outer surface", hoop, 0.03, "the same cells");
        }
    }
    // Falls from level to level, within 3 % on the third; quadratic elements promise the square of the cell for stress (1.5 leaves room for the place
    // of the cuts).
    assert!(
        errors[0].abs() > errors[1].abs() && errors[1].abs() > errors[2].abs() && errors[2].abs() < 0.03,
        "{errors:?}"
    );
    let order = (errors[0] / errors[2]).abs().ln() / (1.0f64 / 0.444).ln();
    let word = if order >= 2.0 { "hit" } else { "miss" };
    println!(
        "validation | order of convergence of s_W over three coarse levels | quadratic elements: 2 or more in stress | 2 | {order:.2} | {word} | thick sphere, cells of 1/2, 1/3, 2/9 of the radius; errors {errors:.4?}"
    );
    assert!(order > 1.5, "order {order}: {errors:?}");
    // A shell of 0.3 on a radius of 5, in cells twice as wide as the wall is thick and in cells as wide.
    let expected = lame(5.0, 5.3, 5.0);
    let mut off = vec![];
    for cell in [0.6, 0.3] {
        let (found, _) = thick_sphere(5.0, 5.3, cell);
        report(
            "thin shell under pressure, s_W inside",
            "Lame, as S06",
            expected,
            found,
            0.03,
            &format!("radius 5, wall 0.3, cell {cell}"),
        );
        off.push((found / expected - 1.0).abs());
    }
    // A shell that locked would be far too stiff; the default cell is within the 3 % promised.
    assert!(off[0] < 0.06 && off[1] < 0.03, "{off:?}");
}

#[test]
fn a_hole_in_a_wide_plate() {
    // A quarter of a plate 24 wide and long, hole of radius 1, thickness 2/3; W = 12 d: finite width adds about 1 %.
    let quarter = block([6.0, 6.0, 0.0], [12.0, 12.0, 0.6667]);
    let plate = solid(Difference::new(quarter, Cylinder::new([0.0; 3], 1.0, 3.0, 0.0).unwrap()));
    let right = || block([12.0, 6.0, 0.0], [1e-4, 24.0, 3.0]);
    let top = || block([6.0, 12.0, 0.0], [24.0, 1e-4, 3.0]);
    let mut m: Model = model(
        1.0 / 3.0,
        [0.013, 0.021, 0.034],
        vec![body("plate", plate, 200e3, 0.3)],
        vec![
            slide(block([0.0, 6.0, 0.0], [1e-4, 24.0, 3.0])),
            slide(block([6.0, 0.0, 0.0], [24.0, 1e-4, 3.0])),
            springs(block([6.0, 6.0, -0.33335], [40.0, 40.0, 1e-4]), 1.0, 0.0),
        ],
        vec![pull(top())],
    );
    m.cases.push(LoadCase { name: "both".into(), loads: vec![pull(top()), pull(right())], given: 1.0 });
    let all = Prepared::new(m, &NoProgress).unwrap().solve(1e-8, &NoProgress).unwrap();
    let points: Vec<Vec<SurfacePoint>> = all.iter().map(|s| s.surface(0)).collect();
    let how = "cell of a third of the radius, plate 12 diameters wide";
    let ring = |p: &SurfacePoint| p.at[0].hypot(p.at[1]) < 1.02 && p.at[2].abs() < 0.33 && p.normal[2].abs() < 0.5;
    // On the hole the stress follows the square of the sine.
    let found = at_place(&points[0], |p| ring(p) && p.at[1] < 0.4, |p| p.at[1].powi(2), |p| p.principal()[0]);
    // Plate theory is for a plate without thickness and without edges: 12 diameters of width and a third of a diameter of thickness add per cents.
    let side = told("S09", "hole in a wide plate, side", found / 100.0, 0.03, how);
    assert!(side || found < 316.0, "{found}");
    let found = at_place(&points[0], |p| ring(p) && p.at[0] < 0.4, |p| p.at[0].powi(2), |p| p.principal()[2]);
    told("S11", "hole in a wide plate, end", found / 100.0, 0.03, how);
    let found = all[0].at(0, [1.5, 0.02, 0.0]).unwrap().stress[1];
    told("S10", "hole in a wide plate, half a radius away", found / 100.0, 0.03, how);
    told("S12", "hole in a plate pulled both ways", mean(&points[1], ring, |p| p.principal()[0]) / 100.0, 0.03, how);
}

#[test]
fn a_thick_cylinder_under_pressure() {
    // A quarter of a ring of length 1 that may stretch freely: plane stress, for which Lame's hoop stress is the same.
    let ring = Difference::new(
        Cylinder::new([0.0; 3], 4.0, 1.0, 0.0).unwrap(),
        Cylinder::new([0.0; 3], 2.0, 3.0, 0.0).unwrap(),
    );
    let quarter = solid(
        shape::Intersection::new(ring, shape::Block::new([4.0, 4.0, 0.0], [8.0, 8.0, 4.0], 0.0).unwrap()).unwrap(),
    );
    let m = model(
        0.6,
        [0.013, 0.021, 0.034],
        vec![body("ring", quarter, 200e3, 0.3)],
        vec![
            slide(block([0.0, 4.0, 0.0], [1e-4, 16.0, 3.0])),
            slide(block([4.0, 0.0, 0.0], [16.0, 1e-4, 3.0])),
            springs(block([4.0, 4.0, -0.5], [40.0, 40.0, 1e-4]), 1.0, 0.0),
        ],
        vec![load(
            solid(
                shape::Intersection::new(
                    Cylinder::new([0.0; 3], 3.0, 0.999, 0.0).unwrap(),
                    shape::Block::new([4.001, 4.001, 0.0], [8.0, 8.0, 4.0], 0.0).unwrap(),
                )
                .unwrap(),
            ),
            Push::Pressure(10.0),
        )],
    );
    let s = solve(m);
    let bore =
        |p: &SurfacePoint| p.at[0].hypot(p.at[1]) < 2.05 && p.normal[2].abs() < 0.3 && p.at[0] > 0.05 && p.at[1] > 0.05;
    let found = mean(&s.surface(0), bore, |p| p.principal()[0]);
    checked("S08", "thick cylinder under pressure, bore", found, 0.03, "cell of 0.3 of the bore's radius");
}
