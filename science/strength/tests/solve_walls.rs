//! A wall along which a body slides bears nothing along itself, however thick the region that picks it: rims of the faces beside it are not held.
#![allow(clippy::unwrap_used)]

mod bodies;
use bodies::*;
use strength::solve::Push;

/// A cube of 2 mm against a wall at x = 0, on springs of 10 N/mm3, pressed with 100 N: it sinks by 100/(10 x 4) = 2.5 mm and, by its own give, 0.00025 mm. `thick` is what the region takes in on each side.
fn sinks(thick: f64, origin: f64) -> f64 {
    let cube = block([1.0, 0.0, 1.0], [2.0, 2.0, 2.0]);
    let face = |z: f64| block([1.0, 0.0, z], [3.0, 3.0, 1e-3]);
    let wall = slide(block([0.0; 3], [2.0 * thick, 60.0, 60.0]));
    let m = model(
        0.4,
        [origin, 0.021, 0.034],
        vec![body("cube", cube, 200e3, 0.25)],
        vec![wall, springs(face(0.0), 10.0, 1.0)],
        vec![load(face(2.0), Push::Force([0.0, 0.0, -100.0]))],
    );
    solve(m).greatest_displacement()
}

#[test]
fn rims_beside_a_wall_are_not_held() {
    for thick in [1e-9, 1e-3, 0.02] {
        for origin in [0.0137, -0.396, 0.2] {
            let found = sinks(thick, origin);
            assert!((found / 2.50025 - 1.0).abs() < 1e-3, "{thick} mm, lattice from {origin}: sinks by {found} mm");
        }
    }
}

/// Half a bore is no flat wall: all of it is held, and a ring pressed onto it from the side stays (without the bore its springs would give 10/21 mm).
#[test]
fn a_curved_wall_is_held_as_a_whole() {
    use shape::{Cylinder, Difference};
    let outer = Cylinder::new([0.0; 3], 3.0, 2.0, 0.0).unwrap();
    let bore = Cylinder::new([0.0; 3], 1.5, 4.0, 0.0).unwrap();
    let ring = solid(Difference::new(outer, bore));
    let m = model(
        0.4,
        [0.013, 0.021, 0.034],
        vec![body("ring", ring, 200e3, 0.25)],
        vec![slide(block([0.0; 3], [3.1, 3.1, 1.9])), springs(block([0.0, 0.0, -1.0], [8.0, 8.0, 1e-3]), 10.0, 1.0)],
        vec![load(block([3.0, 0.0, 0.0], [0.5, 1.0, 1.0]), Push::Force([-10.0, 0.0, 0.0]))],
    );
    let found = solve(m).greatest_displacement();
    assert!(found < 0.01, "{found} mm");
}
