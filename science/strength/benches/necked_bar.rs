//! The necked bar and the dome of `peers/notched_bar.py` by cut cells: s_W, time by phase, memory. Usage: necked_bar [dome] [cell ...] [to=RESIDUAL] (1e-8).

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use answer::NoProgress;
use shape::{Ball, Block, Cylinder, Difference, Intersection, Solid, Torus};
use std::sync::Arc;
use std::time::Instant;
use strength::solve::{Body, Given, Group, Load, LoadCase, Material, Model, Prepared, Push, Support};

fn model(cell: f64, solid: Arc<dyn Solid>, held: Arc<dyn Solid>, loaded: Arc<dyn Solid>, force: [f64; 3]) -> Model {
    let material = Material { young: 200e3, poisson: 0.3 };
    let given = Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] };
    let load = Load { name: "force".into(), body: 0, region: loaded, push: Push::Force(force) };
    Model {
        cell,
        origin: [0.011, 0.023, 0.037],
        bodies: vec![Body { name: "body".into(), solid, material, initial_strain: 0.0 }],
        interfaces: vec![],
        supports: vec![Support { name: "wall".into(), body: 0, region: held, given }],
        cases: vec![LoadCase { name: "force".into(), loads: vec![load], given: 1.0 }],
    }
}

fn block(z: f64, height: f64) -> Arc<dyn Solid> {
    Arc::new(Block::new([0.0, 0.0, z], [12.0, 12.0, height], 0.0).expect("a block"))
}

fn bar(cell: f64) -> (Model, Arc<dyn Solid>) {
    let bar = Cylinder::new([0.0; 3], 3.0, 18.0, 0.0).expect("a cylinder");
    let groove = Torus::new([0.0; 3], 3.4, 1.2).expect("a torus");
    let body = Arc::new(Difference::new(bar, groove));
    (model(cell, body, block(-9.0, 0.02), block(9.0, 0.02), [100.0, 0.0, 0.0]), block(0.0, 2.0))
}

fn dome(cell: f64) -> (Model, Arc<dyn Solid>) {
    let ball = |r: f64| Ball::new([0.0; 3], r).expect("a ball");
    let above = Block::new([0.0, 0.0, 5.0], [20.0, 20.0, 10.0], 0.0).expect("a block");
    let body = Arc::new(Intersection::new(Difference::new(ball(5.0), ball(4.0)), above).expect("they meet"));
    let upper = |z: f64| Block::new([0.0, 0.0, z + 5.0], [20.0, 20.0, 10.0], 0.0).expect("a block");
    let outside = Arc::new(Difference::new(upper(1e-3), ball(4.5)));
    let inside = Arc::new(Intersection::new(upper(1.0), ball(4.5)).expect("they meet"));
    (model(cell, body, block(0.0, 0.002), outside, [60.0, 0.0, -80.0]), inside)
}

fn peak_memory() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line =
        status.lines().find(|l| l.starts_with("VmHWM")).and_then(|l| l.split_whitespace().nth(1)?.parse::<f64>().ok());
    line.unwrap_or(f64::NAN) / 1024.0
}

fn main() {
    let mut cells: Vec<f64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    if cells.is_empty() {
        cells = vec![0.6, 0.4];
    }
    let is_dome = std::env::args().any(|a| a == "dome");
    let to = std::env::args().find_map(|a| a.strip_prefix("to=")?.parse().ok()).unwrap_or(1e-8);
    for cell in cells {
        let start = Instant::now();
        let (model, region) = if is_dome { dome(cell) } else { bar(cell) };
        let prepared = Prepared::new(model, &NoProgress).expect("a model");
        let set_up = start.elapsed().as_secs_f64();
        let s = prepared.solve(to, &NoProgress).expect("a solution").remove(0);
        let solved = start.elapsed().as_secs_f64();
        let group = Group { name: "free".into(), body: 0, region, excluded: None, margin: 0.0 };
        let stress = s.group(&group).expect("a group");
        let equivalent = stress.spectrum.expect("tension").equivalent_stress(10.0);
        println!(
            "ours {} cell={cell} unknowns={} s_W={equivalent:.4} peak={:.3} iterations={} set_up={set_up:.2} wall={solved:.2} peak_mb={:.0}",
            if is_dome { "dome" } else { "bar" },
            prepared.unknowns(),
            stress.peak.1,
            s.convergence.iterations,
            peak_memory()
        );
    }
}
