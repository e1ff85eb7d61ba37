//! Zooms that give back: nothing changes where they know nothing better, forces and moments balance, and a detail below the cells of the whole comes to the solution in fine cells.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod bodies;

use answer::NoProgress;
use bodies::*;
use shape::{Block, Cylinder, Difference, Motion, Placed, Solid};
use std::sync::Arc;
use strength::solve::{Composite, Model, Prepared, Push, Solution, Zoom};

fn both(m: Model, zooms: &[Zoom]) -> (Solution, Composite) {
    let prepared = Prepared::new(m, &NoProgress).unwrap();
    let alone = prepared.solve(1e-10, &NoProgress).unwrap().remove(0);
    (alone, prepared.composite(zooms, 1e-10, &NoProgress).unwrap())
}

fn at(centre: [f64; 3], size: [f64; 3], cell: f64) -> Zoom {
    Zoom { name: "box".into(), centre, size, cell }
}

/// A bar of 8 x 2 x 2 mm from x = 0, clamped there, pulled and bent at the other end, less what is cut out; turned about its end.
fn bar(cell: f64, origin: [f64; 3], out: Arc<dyn Solid>, turned: Motion) -> Model {
    let place = |s: Arc<dyn Solid>| solid(Placed::new(s, turned));
    let whole = solid(Difference::new(Block::new([4.0, 1.0, 1.0], [8.0, 2.0, 2.0], 0.0).unwrap(), out));
    let end = |x: f64| place(block([x, 1.0, 1.0], [1e-4, 4.0, 4.0]));
    let force = turned.turned([3.0, 1.0, -2.0]);
    model(
        cell,
        origin,
        vec![body("bar", place(whole), 1000.0, 0.3)],
        vec![clamp(end(0.0))],
        vec![load(end(8.0), Push::Force(force))],
    )
}

fn straight() -> Motion {
    Motion::turn([0.0, 0.0, 1.0], 0.0, [0.0; 3]).unwrap()
}

fn hole() -> Arc<dyn Solid> {
    let lying = Motion::turn([1.0, 0.0, 0.0], std::f64::consts::FRAC_PI_2, [4.0, 1.0, 1.0]).unwrap();
    solid(Placed::new(Cylinder::new([0.0; 3], 0.3, 4.0, 0.0).unwrap(), lying))
}

fn told(what: &str, c: &Composite) {
    let rounds: Vec<String> = c.rounds[0].iter().map(|r| format!("{r:.1e}")).collect();
    println!("{what}: changes {}; left over {:.1e}", rounds.join(" "), c.left_over);
}

#[test]
fn a_zoom_in_the_cells_of_the_whole_changes_nothing() {
    let turned = Motion::turn([0.3, 1.0, 0.5], 0.7, [0.1, 0.2, 0.3]).unwrap();
    let m = bar(0.5, [0.013, 0.021, 0.034], hole(), turned);
    let (alone, c) = both(m, &[at(turned.apply([4.0, 1.0, 1.0]), [3.0; 3], 0.5)]);
    told("the same cells", &c);
    assert_eq!(c.rounds[0].len(), 1);
    // Cells are cut all along the walls of the box; the residual of the solves is 1e-8.
    assert!(c.rounds[0][0] < 1e-5, "{:?}", c.rounds);
    assert!((c.whole[0].work() / alone.work() - 1.0).abs() < 1e-8);
}

#[test]
fn what_is_handed_up_is_in_balance_with_the_loads() {
    let turned = Motion::turn([0.3, 1.0, 0.5], 0.7, [0.1, 0.2, 0.3]).unwrap();
    let mut m = bar(0.5, [0.013, 0.021, 0.034], hole(), turned);
    m.bodies[0].initial_strain = 1e-4;
    m.cases[0].loads.push(load(solid(m.bodies[0].solid.clone()), Push::PerVolume([0.0, -0.2, 0.1])));
    let centre = turned.apply([4.0, 1.0, 1.0]);
    let (alone, c) = both(m, &[at(centre, [3.0; 3], 0.25), at(centre, [1.5; 3], 0.125)]);
    told("turned", &c);
    assert!(c.left_over < 1e-8, "{}", c.left_over);
    // Softer by the hole that the cells of the whole are too stiff for, by little.
    let gain = c.whole[0].work() / alone.work() - 1.0;
    assert!((0.0..0.01).contains(&gain), "{gain}");
}

/// A slot across the bar, open towards y = 0, narrower than the cells of the whole.
fn slot(width: f64) -> Arc<dyn Solid> {
    block([4.1, 0.0, 1.0], [width, 2.0, 4.0])
}

#[test]
fn a_slot_below_the_cells_of_the_whole_comes_to_the_fine_solution() {
    let m = |cell: f64| bar(cell, [0.013, 0.021, 0.034], slot(0.1), straight());
    let fine = solve(m(0.125)).work();
    let mut off = vec![];
    for edge in [1.0, 3.0] {
        let (alone, c) = both(m(0.5), &[at([4.1, 0.5, 1.0], [edge, 4.0, 4.0], 0.125)]);
        told(&format!("slot, box of {edge}"), &c);
        println!("work {} alone, {} with the zoom, {fine} in fine cells", alone.work(), c.whole[0].work());
        off.push((c.whole[0].work() - fine).abs() / (alone.work() - fine).abs());
    }
    // What is left is that of the other cells of the whole.
    assert!(off[0] < 0.1 && off[1] < off[0], "{off:?}");
}

#[test]
fn a_box_around_everything_is_the_fine_solution() {
    let m = |cell: f64| bar(cell, [0.013, 0.021, 0.034], slot(0.1), straight());
    let fine = solve(m(0.25)).work();
    let (_, c) = both(m(0.5), &[at([4.0, 1.0, 1.0], [10.0; 3], 0.25)]);
    let found = c.zooms[0][0].work();
    assert!((found / fine - 1.0).abs() < 1e-7, "{found} for {fine}");
}
