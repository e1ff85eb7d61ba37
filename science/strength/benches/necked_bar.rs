//! The necked bar of `peers/notched_bar.py` by cut cells: s_W, time by phase, memory. Usage: necked_bar [cell ...].

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use answer::NoProgress;
use shape::{Block, Cylinder, Difference, Solid, Torus};
use std::sync::Arc;
use std::time::Instant;
use strength::solve::{Body, Given, Group, Load, LoadCase, Material, Model, Prepared, Push, Support};

fn model(cell: f64) -> Model {
    let bar = Cylinder::new([0.0; 3], 3.0, 18.0, 0.0).expect("a cylinder");
    let groove = Torus::new([0.0; 3], 3.4, 1.2).expect("a torus");
    let end =
        |z: f64| -> Arc<dyn Solid> { Arc::new(Block::new([0.0, 0.0, z], [9.0, 9.0, 0.02], 0.0).expect("a block")) };
    let material = Material { young: 200e3, poisson: 0.3 };
    let body =
        Body { name: "bar".into(), solid: Arc::new(Difference::new(bar, groove)), material, initial_strain: 0.0 };
    let given = Given::Displacement { offset: [0.0; 3], gradient: [[0.0; 3]; 3] };
    let load = Load { name: "end".into(), body: 0, region: end(9.0), push: Push::Force([100.0, 0.0, 0.0]) };
    Model {
        cell,
        origin: [0.011, 0.023, 0.037],
        bodies: vec![body],
        interfaces: vec![],
        supports: vec![Support { name: "wall".into(), body: 0, region: end(-9.0), given }],
        cases: vec![LoadCase { name: "end".into(), loads: vec![load], given: 1.0 }],
    }
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
    for cell in cells {
        let start = Instant::now();
        let prepared = Prepared::new(model(cell), &NoProgress).expect("a model");
        let set_up = start.elapsed().as_secs_f64();
        let s = prepared.solve(1e-8, &NoProgress).expect("a solution").remove(0);
        let solved = start.elapsed().as_secs_f64();
        let region = Arc::new(Block::new([0.0; 3], [9.0, 9.0, 2.0], 0.0).expect("a block"));
        let group = Group { name: "neck".into(), body: 0, region, excluded: None, margin: 1.0 };
        let stress = s.group(&group).expect("a group");
        let equivalent = stress.spectrum.expect("tension").equivalent_stress(10.0);
        println!(
            "ours cell={cell} unknowns={} s_W={equivalent:.4} peak={:.3} iterations={} set_up={set_up:.2} wall={solved:.2} peak_mb={:.0}",
            prepared.unknowns(),
            stress.peak.1,
            s.convergence.iterations,
            peak_memory()
        );
    }
}
