//! Iterations and cost over stiffness contrast and size: inclusions within one field, and two fields joined by an interface stiffness.
//!
//! `cargo bench -p strength --bench contrast -- [N ...]` (N x N x N cells; default 31 66). Apart: eight balls of radius 0.09..0.17 of the edge
//! that do not touch. Touching: twelve balls of 0.08..0.2, several of which overlap or touch by a corner. Joined: two fields, the upper one `contrast` times the lower, joined across a plane between
//! cells by a stiffness of E/t, G/t with t a tenth of a cell. Bottom clamped, shear and pressure on top, relative residual 1e-8.

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use std::time::Instant;

use answer::NoProgress;
use strength::multigrid::{
    CellMatrix, Effort, FixedNode, Patch, PatchMatrix, TrilinearField, TrilinearSolver, TrilinearSystem, packed,
};

fn material(stiff: f64) -> CellMatrix {
    CellMatrix::Uniform { lambda: 0.5769230769230769 * stiff, mu: 0.38461538461538464 * stiff }
}

fn bottom(n: i32) -> Vec<FixedNode> {
    (0..=n).flat_map(|y| (0..=n).map(move |x| FixedNode { field: 0, node: [x, y, 0], components: [true; 3] })).collect()
}

fn block(n: i32, zs: std::ops::Range<i32>, stiff: impl Fn([f64; 3]) -> f64) -> TrilinearField {
    let h = 1.0 / f64::from(n);
    let mut cells = Vec::new();
    for z in zs {
        for y in 0..n {
            for x in 0..n {
                let middle = [x, y, z].map(|v| (f64::from(v) + 0.5) * h);
                cells.push(([x, y, z], material(stiff(middle))));
            }
        }
    }
    TrilinearField { cells }
}

type Ball = ([f64; 3], f64);

fn apart() -> Vec<Ball> {
    let shift = |k: usize, step: f64| 0.06 * (2.0 * (0.5 + step * k as f64).fract() - 1.0);
    (0..8)
        .map(|k| {
            let middle = [k & 1, k >> 1 & 1, k >> 2].map(|side| 0.25 + 0.5 * side as f64);
            let [x, y, z] = middle;
            let radius = 0.09 + 0.08 * (0.3 + 0.381966 * k as f64).fract();
            ([x + shift(k, 0.618034), y + shift(k, 0.754878), z + shift(k, 0.569840)], radius)
        })
        .collect()
}

fn touching() -> Vec<Ball> {
    (0..12)
        .map(|k| {
            let k = f64::from(k);
            let place = [0.618034, 0.754878, 0.569840].map(|step| (0.5 + step * (k + 1.0)).fract());
            (place, 0.08 + 0.12 * (0.5 + 0.381966 * k).fract())
        })
        .collect()
}

fn inclusions(n: i32, contrast: f64, balls: &[Ball]) -> TrilinearSystem {
    let stiff = |p: [f64; 3]| {
        let within = balls.iter().any(|(c, r)| (0..3).map(|d| (p[d] - c[d]).powi(2)).sum::<f64>() < r * r);
        if within { contrast } else { 1.0 }
    };
    TrilinearSystem {
        spacing: 1.0 / f64::from(n),
        fields: vec![block(n, 0..n, stiff)],
        patches: Vec::new(),
        fixed: bottom(n),
    }
}

/// Full matrix of an interface element of four node pairs, normal along z: integral of stiffness times the square of the jump.
fn interface(h: f64, normal: f64, shear: f64) -> Vec<f64> {
    let mass = |a: usize, b: usize| {
        let one = |p: usize, q: usize| if p == q { 1.0 / 3.0 } else { 1.0 / 6.0 };
        h * h * one(a & 1, b & 1) * one(a >> 1, b >> 1)
    };
    let mut matrix = vec![0.0f64; 300];
    for i in 0..24 {
        for j in 0..=i {
            let (p, q) = (i / 3, j / 3);
            if i % 3 == j % 3 {
                let side = if (p < 4) == (q < 4) { 1.0 } else { -1.0 };
                let stiff = if i % 3 == 2 { normal } else { shear };
                matrix[packed(i, j)] = side * stiff * mass(p % 4, q % 4);
            }
        }
    }
    matrix
}

fn joined(n: i32, contrast: f64) -> TrilinearSystem {
    let h = 1.0 / f64::from(n);
    let middle = n / 2 + 1;
    let fields = vec![block(n, 0..middle, |_| 1.0), block(n, middle..n, |_| contrast)];
    let layer = 0.1 * h;
    let matrix = interface(h, 1.0 / layer, 0.38 / layer);
    let mut patches = Vec::new();
    for y in 0..n {
        for x in 0..n {
            let nodes = (0..8).map(|k: i32| (k as u32 / 4, [x + (k & 1), y + (k >> 1 & 1), middle])).collect();
            patches.push(Patch { nodes, matrix: PatchMatrix::Full(matrix.clone()) });
        }
    }
    TrilinearSystem { spacing: h, fields, patches, fixed: bottom(n) }
}

fn main() {
    let sizes: Vec<i32> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![31, 66] } else { sizes };
    println!("threads {}", rayon::current_num_threads());
    println!("kind | N | unknowns | contrast | iterations | set up s | solve s | ns/unknown | MB");
    type Case = fn(i32, f64) -> TrilinearSystem;
    let kinds: [(&str, Case); 3] = [
        ("apart", |n, contrast| inclusions(n, contrast, &apart())),
        ("touching", |n, contrast| inclusions(n, contrast, &touching())),
        ("joined", joined),
    ];
    for (name, make) in kinds {
        for &n in &sizes {
            for contrast in [1.0, 20.0, 1e2, 1e3, 1e4, 1e-4] {
                let system = make(n, contrast);
                let begin = Instant::now();
                let mut solver = TrilinearSolver::new(&system).expect("a supported block");
                let set_up = begin.elapsed().as_secs_f64();
                let top = u32::from(name == "joined");
                let mut load = vec![0.0; solver.hierarchy().unknowns()];
                for y in 0..=n {
                    for x in 0..=n {
                        let node = solver.node(top, [x, y, n]).expect("a node of the top");
                        load[3 * node] = 1e-3;
                        load[3 * node + 2] = -1e-3;
                    }
                }
                let begin = Instant::now();
                let ended = solver.solve(&load, Effort { tolerance: 1e-8, iterations: 300 }, &NoProgress);
                let solve = begin.elapsed().as_secs_f64();
                let unknowns = solver.hierarchy().unknowns();
                let iterations = ended.map_or_else(|e| e.to_string(), |(_, e)| e.iterations.to_string());
                println!(
                    "{name} | {n} | {unknowns} | {contrast} | {iterations} | {set_up:.2} | {solve:.2} | {:.0} | {:.0}",
                    (set_up + solve) / unknowns as f64 * 1e9,
                    solver.hierarchy().bytes() as f64 * 1e-6
                );
            }
        }
    }
}
