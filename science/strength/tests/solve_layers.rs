//! Layers by the solver: two bonded strips cooled (Timoshenko 1925, rows T01 to T05), and a thin layer between two blocks from loose to firm.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;
mod rows;
use answer::NoProgress;
use bodies::*;
use shape::{Ball, Difference, Motion, Placed};
use strength::solve::{Bond, Interface, Model, Prepared, Push, Solution, Support};

fn join(bond: Bond) -> Interface {
    Interface { name: "bond".into(), bodies: [0, 1], bond, reach: 1e-3 }
}

fn first(m: Model) -> Solution {
    Prepared::new(m, &NoProgress).unwrap().solve(1e-8, &NoProgress).unwrap().remove(0)
}

#[test]
fn a_cooled_strip_bends_as_timoshenko_says() {
    // T01: 0.7 mm of 210 GPa under 1.5 mm of 65 GPa, cooled by 550 K; a narrow strip, Poisson ratios 0 so that width plays no part.
    let (core, upper) = (block([0.0, 0.0, 0.35], [16.0, 1.0, 0.7]), block([0.0, 0.0, 1.45], [16.0, 1.0, 1.5]));
    let mut bodies = vec![body("core", core, 210e3, 0.0), body("upper", upper, 65e3, 0.0)];
    bodies[0].initial_strain = 10.5e-6 * -550.0;
    bodies[1].initial_strain = 9.5e-6 * -550.0;
    let hold = springs(block([0.0, 0.0, 0.0], [0.6, 3.0, 1e-4]), 1e6, 1e6);
    // Two cells through the thinner layer.
    let mut m = model(0.35, [0.013, 0.021, 0.034], bodies, vec![hold], vec![]);
    m.interfaces.push(join(Bond::Firm));
    let s = first(m);
    let height = |x: f64| s.nearest(0, [x, 0.0, 0.35]).unwrap().displacement[2];
    // On one side of the place that is held, and away from the end.
    let found = (height(6.0) - 2.0 * height(4.0) + height(2.0)).abs() / 4.0;
    let expected = rows::output("T01").abs();
    report(
        "curvature of a cooled two-layer strip, T01",
        "analytic_checks.csv",
        expected,
        found,
        0.01,
        "cell 0.35 mm, Poisson ratio 0; 0.5 mm, less than two cells through the thinner layer, gives -1.1 %",
    );
    // 1 % as the row says.
    assert!((found / expected - 1.0).abs() < 0.01, "{found}");
    for (id, number, z, limit) in
        [("T02", 1, 2.1999, 0.02), ("T03", 1, 0.7001, 0.02), ("T04", 0, 0.6999, 0.02), ("T05", 0, 0.0001, 0.02)]
    {
        let stress = s.at(number, [4.1, 0.1, z]).unwrap().stress[0];
        let expected = rows::output(id);
        report(
            &format!("stress in a cooled strip, {id}"),
            "analytic_checks.csv",
            expected,
            stress,
            0.02,
            "at the face",
        );
        // 2 % as the rows say.
        assert!((stress / expected - 1.0).abs() < limit, "{id}: {stress} for {expected}");
    }
}

#[test]
fn a_cooled_plate_bends_both_ways() {
    // T06: as T01 but a plate, Poisson ratios 0.30 and 0.22; a quarter of 16 by 16 mm, so that the middle is far from the free edges.
    let (core, upper) = (block([4.0, 4.0, 0.35], [8.0, 8.0, 0.7]), block([4.0, 4.0, 1.45], [8.0, 8.0, 1.5]));
    let mut bodies = vec![body("core", core, 210e3, 0.30), body("upper", upper, 65e3, 0.22)];
    bodies[0].initial_strain = 10.5e-6 * -550.0;
    bodies[1].initial_strain = 9.5e-6 * -550.0;
    let wall = |body: usize, axis: usize| {
        let mut size = [40.0; 3];
        size[axis] = 1e-4;
        Support { body, ..slide(block([0.0; 3], size)) }
    };
    let mut holds: Vec<Support> = (0..4).map(|k| wall(k / 2, k % 2)).collect();
    holds.push(springs(block([0.0, 0.0, 0.0], [1.0, 1.0, 1e-4]), 1e4, 0.0));
    let mut m = model(0.35, [0.013, 0.021, 0.034], bodies, holds, vec![]);
    m.interfaces.push(join(Bond::Firm));
    let s = first(m);
    let expected = rows::output("T06");
    let at = |x: f64, y: f64| s.at(1, [x, y, 2.1999]).unwrap().stress;
    // Equal both ways, away from the walls of symmetry and from the edges.
    let found = 0.5 * (at(1.6, 1.6)[0] + at(1.6, 1.6)[1]);
    report(
        "stress at the face of a cooled plate, T06",
        "analytic_checks.csv",
        expected,
        found,
        0.02,
        "cell 0.35 mm, plate of 16 by 16 by 2.2 mm",
    );
    // 2 % as the row says.
    assert!((found / expected - 1.0).abs() < 0.02, "{found} for {expected}");
}

#[test]
fn a_layer_gives_what_its_stiffness_says_from_loose_to_firm() {
    // Two blocks of 1 mm on each other, pulled by 10 MPa: each stretches by s/E, the layer by s/k.
    let (young, stress) = (1000.0, 10.0);
    for stiffness in [1e-1, 1e1, 1e3, 1e5, 1e7, f64::INFINITY] {
        let bond = if stiffness.is_finite() {
            Bond::Layer { normal: stiffness, tangential: 0.4 * stiffness }
        } else {
            Bond::Firm
        };
        let bodies = vec![
            body("low", block([0.5, 0.5, 0.5], [1.0; 3]), young, 0.0),
            body("high", block([0.5, 0.5, 1.5], [1.0; 3]), 10.0 * young, 0.0),
        ];
        let mut top = load(block([0.5, 0.5, 2.0], [3.0, 3.0, 1e-4]), Push::Pressure(-stress));
        top.body = 1;
        let mut m =
            model(0.4, [0.013, 0.021, 0.034], bodies, vec![clamp(block([0.5, 0.5, 0.0], [3.0, 3.0, 1e-4]))], vec![top]);
        m.interfaces.push(join(bond));
        let s = first(m);
        let found = s.nearest(1, [0.5, 0.5, 1.99]).unwrap().displacement[2];
        let expected = stress / young
            + 0.99 * stress / (10.0 * young)
            + if stiffness.is_finite() { stress / stiffness } else { 0.0 };
        // The field is linear in each block, so only the residual is left.
        assert!((found / expected - 1.0).abs() < 1e-5, "{stiffness}: {found} for {expected}");
        for p in s.interface(0) {
            assert!((p.traction[2] - stress).abs() < 1e-3 * stress, "{stiffness}: {:?}", p.traction);
        }
    }
}

#[test]
fn iterations_stay_few_where_bodies_are_joined_across_the_lattice() {
    let motion = Motion::turn([1.0, 2.0, 0.5], 0.4, [0.0; 3]).unwrap();
    for contrast in [1.0, 20.0, 1e4] {
        let ball = Ball::new([0.05, 0.02, -0.04], 0.6).unwrap();
        let around = solid(Difference::new(block([0.0; 3], [2.0; 3]), ball));
        let parts = [(around, 1.0), (solid(ball), contrast)];
        let bodies =
            parts.into_iter().map(|(part, stiff)| body("part", solid(Placed::new(part, motion)), 1e3 * stiff, 0.3));
        let bottom = clamp(solid(Placed::new(block([0.0, 0.0, -1.0], [9.0, 9.0, 1e-4]), motion)));
        let top = solid(Placed::new(block([0.0, 0.0, 1.0], [9.0, 9.0, 1e-4]), motion));
        let push = load(top, Push::Force(motion.turned([0.3, 0.0, -1.0])));
        let mut m = model(0.15, [0.013, 0.021, 0.034], bodies.collect(), vec![bottom], vec![push]);
        m.interfaces.push(join(Bond::Firm));
        let steps = first(m).convergence.iterations;
        println!("joined ball, contrast {contrast}: {steps} iterations");
        assert!(steps <= 25, "contrast {contrast}: {steps}");
    }
}
