//! What the mathematics promises: rigid and linear fields exactly, geometry to the fourth power, a bar in tension.

use super::*;
use answer::NoProgress;
use shape::{Ball, Block, HalfSpace, Intersection, Motion, Placed, Solid};
use std::sync::Arc;

fn model(solid: Arc<dyn Solid>, cell: f64, origin: [f64; 3]) -> Model {
    let material = Material { young: 1000.0, poisson: 0.3 };
    let body = Body { name: "body".into(), solid, material, initial_strain: 0.0 };
    Model { cell, origin, bodies: vec![body], interfaces: vec![], supports: vec![], loads: vec![] }
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
    let p = Prepared::new(m).unwrap();
    let s = p.solve(1e-13, &NoProgress).unwrap();
    let Given::Displacement { offset, gradient } = FIELD else { unreachable!() };
    let (mut worst, mut size) = (0.0f64, 0.0f64);
    for point in s.surface(0) {
        let Some(u) = s.displacement(0, point.at) else { continue };
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
    // A turned block cut by a plane, eight sharp edges inside cells. The layer that is moved onto the true faces beside an edge does not close up
    // exactly: 1.1e-3 of the displacement at 0.4 mm. With flat facets left as they are it is 1e-12, but then edges are zigzags that raise
    // the stress of a bar in tension by 8 %; so the faces are kept true.
    assert!(patch(wedge(), 0.4) < 2e-3);
}

#[test]
fn volume_and_area_of_a_ball_converge() {
    let mut errors = vec![];
    for cell in [0.5, 0.25] {
        let ball = Arc::new(Ball::new([0.01, 0.02, 0.03], 1.0).unwrap());
        let m = Prepared::new(model(ball, cell, [0.0; 3])).unwrap().measures()[0];
        let pi = std::f64::consts::PI;
        errors.push(((m.volume / (4.0 / 3.0 * pi) - 1.0).abs(), (m.area / (4.0 * pi) - 1.0).abs()));
    }
    // Two or three cells a radius: well under the 0.1 % asked of measures.
    assert!(errors[0].0 < 1e-3 && errors[1].0 < 1e-4 && errors[1].1 < 1e-3, "{errors:?}");
}

#[test]
fn a_bar_in_tension_is_uniform() {
    let bar = Arc::new(Block::new([0.0; 3], [4.0, 1.0, 1.0], 0.0).unwrap());
    let mut m = model(bar, 0.3, [0.017, 0.011, 0.023]);
    let end = |x: f64| -> Arc<dyn Solid> { Arc::new(Block::new([x, 0.0, 0.0], [0.02, 3.0, 3.0], 0.0).unwrap()) };
    let given = Given::Foundation { normal: 1e4, tangential: 1e-2 };
    m.supports.push(Support { name: "left".into(), body: 0, region: end(-2.0), given });
    m.loads.push(Load { name: "right".into(), body: 0, region: end(2.0), force: [10.0, 0.0, 0.0] });
    let p = Prepared::new(m).unwrap();
    let s = p.solve(1e-10, &NoProgress).unwrap();
    let middle = Block::new([0.0; 3], [1.0, 3.0, 3.0], 0.0).unwrap();
    let (spectrum, excluded) = s.spectrum("middle", 0, &middle, None).unwrap();
    // 10 N on 1 mm2 over about 4 mm2 of side (whole facets near the ends of the region): s_W = 10 A^(1/m).
    let area: f64 = s.surface(0).iter().filter(|p| middle.distance(p.at) < 0.0).map(|p| p.area).sum();
    let found = spectrum.equivalent_stress(10.0) / area.powf(0.1);
    // The edges cut tetrahedra into flats that miss the square section by under 1 %.
    assert!((found / 10.0 - 1.0).abs() < 0.01 && excluded == 0.0, "{found}");
}

#[test]
fn faults_name_the_part() {
    let ball = || Arc::new(Ball::new([0.0; 3], 1.0).unwrap());
    let mut m = model(ball(), 0.4, [0.0; 3]);
    m.bodies[0].material.poisson = 0.5;
    assert!(matches!(Prepared::new(m), Err(ModelError::OutOfRange { part, .. }) if part == "body"));
    let mut m = model(ball(), 0.4, [0.0; 3]);
    let away = Arc::new(Ball::new([9.0; 3], 1.0).unwrap());
    m.loads.push(Load { name: "far".into(), body: 0, region: away, force: [1.0; 3] });
    assert!(matches!(Prepared::new(m), Err(ModelError::Off(part)) if part == "far"));
    let p = Prepared::new(model(ball(), 0.4, [0.0; 3])).unwrap();
    assert!(matches!(p.solve(1e-8, &NoProgress), Err(ModelError::Unsupported(part)) if part == "body"));
}
