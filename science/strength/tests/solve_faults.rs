//! What cannot be solved is refused, naming the part; many cases share one set-up; the same bytes at any number of threads.
#![allow(clippy::unwrap_used)]

mod bodies;
use answer::NoProgress;
use bodies::*;
use shape::{Ball, Cylinder, Difference};
use strength::solve::{Bond, Interface, LoadCase, Model, ModelError, Prepared, Push};

fn lump() -> Model {
    let lump =
        solid(Difference::new(Ball::new([0.0; 3], 1.0).unwrap(), Cylinder::new([0.0; 3], 0.4, 4.0, 0.0).unwrap()));
    let low = block([0.0, 0.0, -1.0], [3.0, 3.0, 0.5]);
    let high = block([0.0, 0.0, 1.0], [3.0, 3.0, 0.5]);
    model(
        0.3,
        [0.0; 3],
        vec![body("lump", lump, 1000.0, 0.3)],
        vec![clamp(low)],
        vec![load(high, Push::Force([1.0, 2.0, -3.0]))],
    )
}

#[test]
fn cases_superpose_on_one_set_up() {
    let mut m = lump();
    let region = m.cases[0].loads[0].region.clone();
    let of =
        |f: [f64; 3]| LoadCase { name: "one".into(), loads: vec![load(region.clone(), Push::Force(f))], given: 1.0 };
    m.cases = vec![of([1.0, 0.0, 0.0]), of([0.0, 2.0, -3.0]), of([1.0, 2.0, -3.0])];
    let all = Prepared::new(m, &NoProgress).unwrap().solve(1e-10, &NoProgress).unwrap();
    let at = |k: usize| all[k].at(0, [0.6, 0.1, 0.2]).unwrap().displacement;
    for c in 0..3 {
        assert!((at(0)[c] + at(1)[c] - at(2)[c]).abs() < 1e-7 * at(2)[c].abs().max(1e-6));
    }
}

#[test]
fn the_same_bytes_at_any_number_of_threads() {
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| solve(lump()).at(0, [0.6, 0.1, 0.2]).unwrap())
    };
    let one = run(1);
    assert_eq!(one, run(2));
    assert_eq!(one, run(3));
}

#[test]
fn parts_that_cannot_be_are_named() {
    let refused = |m: Model| match Prepared::new(m, &NoProgress) {
        Err(e) => e.to_string(),
        Ok(p) => p.solve(1e-8, &NoProgress).err().map_or("accepted".into(), |e| e.to_string()),
    };
    let mut m = lump();
    m.bodies[0].material.young = -5.0;
    assert!(refused(m).contains("lump: Young's modulus is -5"));
    let mut m = lump();
    m.bodies.clear();
    assert!(refused(m).contains("the model has no bodies"));
    let mut m = lump();
    m.supports.clear();
    assert!(refused(m).contains("body lump is not held"));
    let mut m = lump();
    m.cases[0].loads[0].region = block([9.0; 3], [1.0; 3]);
    assert!(refused(m).contains("load lies nowhere on the surface"));
    let mut m = lump();
    m.bodies.push(body("far", block([5.0; 3], [1.0; 3]), 1000.0, 0.3));
    m.interfaces.push(Interface { name: "glue".into(), bodies: [0, 1], bond: Bond::Firm, reach: 1e-3 });
    assert!(refused(m).contains("interface glue: lump and far touch nowhere"));
    let mut m = lump();
    m.bodies.push(body("far", block([5.0; 3], [1.0; 3]), 1000.0, 0.3));
    assert!(refused(m).contains("body far is not held"));
    let p = Prepared::new(lump(), &NoProgress).unwrap();
    let stiff = p.solve(1e-30, &NoProgress);
    assert!(matches!(stiff, Err(ModelError::Solve(_))), "a residual that cannot be reached is an error");
}
