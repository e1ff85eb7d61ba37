//! What the mathematics promises: rigid and linear fields exactly, geometry to the fourth power, a bar in tension.

#![allow(clippy::unwrap_used)]

use answer::NoProgress;
use shape::{Ball, Block, HalfSpace, Intersection, Motion, Placed, Solid};
use std::sync::Arc;
use strength::solve::*;

fn model(solid: Arc<dyn Solid>, cell: f64, origin: [f64; 3]) -> Model {
    let material = Material { young: 1000.0, poisson: 0.3 };
    let body = Body { name: "body".into(), solid, material, initial_strain: 0.0 };
    Model { cell, origin, bodies: vec![body], interfaces: vec![], supports: vec![], cases: vec![case(vec![])] }
}

fn case(loads: Vec<Load>) -> LoadCase {
    LoadCase { name: "case".into(), loads, given: 1.0 }
}

fn everywhere() -> Arc<dyn Solid> {
    Arc::new(Ball::new([0.0; 3], 1e3).unwrap())
}

fn wedge() -> Arc<dyn Solid> {
    let block = Block::new([0.1, 0.0, 0.2], [2.1, 1.7, 1.3], 0.0).unwrap();
    let motion = Motion::turn([0.3, 0.5, 0.7], 0.6, [0.05, 0.02, -0.03]).unwrap();
    let cut = HalfSpace::new([0.3, 0.3, 0.3], [0.5, 0.7, 0.4]).unwrap();
    Arc::new(Intersection::new(Placed::new(block, motion), cut).unwrap())
}

const FIELD: Given = Given::Displacement {
    offset: [0.01, -0.02, 0.03],
    gradient: [[0.01, 0.02, -0.01], [0.005, -0.02, 0.013], [0.004, 0.007, 0.03]],
};

/// Greatest error of the displacement over the surface, relative to its size there.
fn patch(solid: Arc<dyn Solid>, cell: f64) -> f64 {
    let mut m = model(solid, cell, [0.013, 0.021, 0.034]);
    m.supports.push(Support { name: "all".into(), body: 0, region: everywhere(), given: FIELD });
    let p = Prepared::new(m, &NoProgress).unwrap();
    let s = p.solve(1e-13, &NoProgress).unwrap().remove(0);
    let Given::Displacement { offset, gradient } = FIELD else { unreachable!() };
    let (mut worst, mut size) = (0.0f64, 0.0f64);
    for point in s.surface(0) {
        let Some(Local { displacement: u, .. }) = s.at(0, point.at) else { continue };
        for a in 0..3 {
            let exact = offset[a] + (0..3).map(|b| gradient[a][b] * point.at[b]).sum::<f64>();
            worst = worst.max((u[a] - exact).abs());
            size = size.max(exact.abs());
        }
    }
    worst / size
}

#[test]
fn a_linear_field_is_kept_where_sharp_edges_cross_cells() {
    // A turned block cut by a plane, eight sharp edges inside cells: exact but for rounding.
    let worst = patch(wedge(), 0.4);
    assert!(worst < 1e-10, "{worst}");
}

#[test]
fn a_linear_field_is_kept_in_a_ball() {
    // Quadratic facets with three points each: the rule, not the shape, is what is left.
    let worst = patch(Arc::new(Ball::new([0.01, 0.02, 0.03], 1.0).unwrap()), 0.4);
    assert!(worst < 1e-3, "{worst}");
}

#[test]
fn volume_and_area_of_a_ball_converge() {
    let mut errors = vec![];
    for cell in [0.5, 0.25] {
        let ball = Arc::new(Ball::new([0.01, 0.02, 0.03], 1.0).unwrap());
        let m = Prepared::new(model(ball, cell, [0.0; 3]), &NoProgress).unwrap().measures()[0];
        let pi = std::f64::consts::PI;
        errors.push(((m.volume / (4.0 / 3.0 * pi) - 1.0).abs(), (m.area / (4.0 * pi) - 1.0).abs()));
    }
    // Two cells a radius are within 0.01 %; halving the cell gains a factor of 8 at least, as quadratic facets promise.
    assert!(errors[0].0 < 1e-4 && errors[0].1 < 1e-4, "{errors:?}");
    assert!(errors[1].0 < errors[0].0 / 8.0 && errors[1].1 < errors[0].1 / 8.0, "{errors:?}");
}

#[test]
fn a_bar_in_tension_is_uniform() {
    let bar = Arc::new(Block::new([0.0; 3], [4.0, 1.0, 1.0], 0.0).unwrap());
    let mut m = model(bar, 0.3, [0.017, 0.011, 0.023]);
    let end = |x: f64| -> Arc<dyn Solid> { Arc::new(Block::new([x, 0.0, 0.0], [1e-4, 3.0, 3.0], 0.0).unwrap()) };
    let given = Given::Foundation { normal: 1e4, tangential: 1e-2 };
    m.supports.push(Support { name: "left".into(), body: 0, region: end(-2.0), given });
    m.cases[0].loads.push(Load {
        name: "right".into(),
        body: 0,
        region: end(2.0),
        push: Push::Force([10.0, 0.0, 0.0]),
    });
    let p = Prepared::new(m, &NoProgress).unwrap();
    let s = p.solve(1e-10, &NoProgress).unwrap().remove(0);
    let middle = Block::new([0.0; 3], [1.0, 3.0, 3.0], 0.0).unwrap();
    let group = Group { name: "middle".into(), body: 0, region: Arc::new(middle), excluded: None, margin: 1.0 };
    let GroupStress { spectrum, left_out, .. } = s.group(&group).unwrap();
    let spectrum = spectrum.unwrap();
    // 10 N on 1 mm2 over about 4 mm2 of side (whole facets near the ends of the region): s_W = 10 A^(1/m).
    let area: f64 = s.surface(0).iter().filter(|p| middle.distance(p.at) < 0.0).map(|p| p.area).sum();
    let found = spectrum.equivalent_stress(10.0) / area.powf(0.1);
    // Whole facets at the ends of the region, and the springs at the far end are all that is not uniform.
    assert!((found / 10.0 - 1.0).abs() < 2e-3 && left_out == 0.0, "{found}");
}

#[test]
fn faults_name_the_part() {
    let ball = || Arc::new(Ball::new([0.0; 3], 1.0).unwrap());
    let mut m = model(ball(), 0.4, [0.0; 3]);
    m.bodies[0].material.poisson = 0.5;
    assert!(matches!(Prepared::new(m, &NoProgress), Err(ModelError::OutOfRange { part, .. }) if part == "body"));
    let mut m = model(ball(), 0.4, [0.0; 3]);
    let away = Arc::new(Ball::new([9.0; 3], 1.0).unwrap());
    m.cases[0].loads.push(Load { name: "far".into(), body: 0, region: away, push: Push::Force([1.0; 3]) });
    assert!(matches!(Prepared::new(m, &NoProgress), Err(ModelError::Off(part)) if part == "far"));
    let p = Prepared::new(model(ball(), 0.4, [0.0; 3]), &NoProgress).unwrap();
    assert!(matches!(p.solve(1e-8, &NoProgress), Err(ModelError::Unsupported(part)) if part == "body"));
}
