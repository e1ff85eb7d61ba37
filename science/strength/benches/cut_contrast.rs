//! Iterations on cut cells over contrast and size. Usage: cut_contrast [ball|stack] [CONTRAST,...] CELL ... (both and 1 to 1e4 where not named).
//!
//! Ball: a turned block of 2 mm with a ball of 0.6 mm of `contrast` times its modulus in it, joined firmly. Stack: a turned block of 2 x 2 x 1 mm, joined by a thin layer (a
//! tenth of the softer modulus a millimetre, 0.05 mm) to a dome of `contrast` times its modulus. Clamped below, 1 N down and across on top, relative residual 1e-8.

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use answer::NoProgress;
use shape::{Ball, Block, Difference, Intersection, Motion, Placed, Solid};
use std::sync::Arc;
use std::time::Instant;
use strength::solve::{Body, Bond, Given, Interface, Load, LoadCase, Material, Model, Prepared, Push, Support};

type Part = Arc<dyn Solid>;

fn block(centre: [f64; 3], size: [f64; 3]) -> Block {
    Block::new(centre, size, 0.0).expect("a block")
}

/// Bodies from the softest up, the bond, and where the last is pushed.
fn ball() -> ([Part; 2], Bond, Part, usize) {
    let ball = Ball::new([0.05, 0.02, -0.04], 0.6).expect("a ball");
    let whole = Difference::new(block([0.0; 3], [2.0; 3]), ball);
    ([Arc::new(whole), Arc::new(ball)], Bond::Firm, Arc::new(block([0.0, 0.0, 1.0], [9.0, 9.0, 1e-4])), 0)
}

fn stack() -> ([Part; 2], Bond, Part, usize) {
    let low = block([0.0, 0.0, -0.5], [2.0, 2.0, 1.0]);
    let above = block([0.0, 0.0, 1.0], [4.0, 4.0, 2.0]);
    let dome = Intersection::new(Ball::new([0.0, 0.0, -0.5], 1.3).expect("a ball"), above).expect("they meet");
    let top = Block::new([0.0, 0.0, 1.0], [9.0, 9.0, 0.9], 0.0).expect("a block");
    let bond = Bond::Layer { normal: 100.0 / 0.05, tangential: 38.0 / 0.05 };
    ([Arc::new(low), Arc::new(dome)], bond, Arc::new(top), 1)
}

fn model(make: fn() -> ([Part; 2], Bond, Part, usize), contrast: f64, cell: f64) -> Model {
    let motion = Motion::turn([1.0, 2.0, 0.5], 0.4, [0.0; 3]).expect("a turn");
    let place = |s: Part| -> Part { Arc::new(Placed::new(s, motion)) };
    let (parts, bond, top, pushed) = make();
    let bottom = place(Arc::new(block([0.0, 0.0, -1.0], [9.0, 9.0, 1e-4])));
    let bodies = parts.into_iter().zip([1.0, contrast]).map(|(solid, stiff)| Body {
        name: "body".into(),
        solid: place(solid),
        material: Material { young: 1000.0 * stiff, poisson: 0.3 },
        initial_strain: 0.0,
    });
    let given = Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] };
    let push = Push::Force(motion.turned([0.3, 0.0, -1.0]));
    let load = Load { name: "load".into(), body: pushed, region: place(top), push };
    Model {
        cell,
        origin: [0.013, 0.021, 0.034],
        bodies: bodies.collect(),
        interfaces: vec![Interface { name: "bond".into(), bodies: [0, 1], bond, reach: 1e-3 }],
        supports: vec![Support { name: "bottom".into(), body: 0, region: bottom, given }],
        cases: vec![LoadCase { name: "load".into(), loads: vec![load], given: 1.0 }],
    }
}

fn main() {
    let named: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    let cells: Vec<f64> = named.iter().filter_map(|a| a.parse().ok()).collect();
    let list = named.iter().find(|a| a.contains(','));
    let contrasts: Vec<f64> =
        list.map_or(vec![1.0, 20.0, 1e2, 1e3, 1e4], |l| l.split(',').filter_map(|x| x.parse().ok()).collect());
    let cells = if cells.is_empty() { vec![0.15, 0.1] } else { cells };
    println!("body | cell | unknowns | contrast | iterations | set up s | solve s | us/unknown");
    for (name, make) in [("ball", ball as fn() -> _), ("stack", stack)] {
        if named.iter().any(|a| a == "ball" || a == "stack") && !named.iter().any(|a| a == name) {
            continue;
        }
        for &cell in &cells {
            for &contrast in &contrasts {
                let start = Instant::now();
                let prepared = Prepared::new(model(make, contrast, cell), &NoProgress).expect("a model");
                let set_up = start.elapsed().as_secs_f64();
                let steps = match prepared.solve(1e-8, &NoProgress) {
                    Ok(all) => all[0].convergence.iterations.to_string(),
                    Err(e) => e.to_string(),
                };
                let all = start.elapsed().as_secs_f64();
                let unknowns = prepared.unknowns();
                println!(
                    "{name} | {cell} | {unknowns} | {contrast:.0} | {steps} | {set_up:.2} | {:.2} | {:.2}",
                    all - set_up,
                    1e6 * all / unknowns as f64
                );
            }
        }
    }
}
