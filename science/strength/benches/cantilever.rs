//! Uniform cantilever of eight-node bricks, end to end: set-up, solve, memory, cost an unknown, and the product alone.
//!
//! `cargo bench -p strength --bench cantilever -- [N ...]` (4N x N x N bricks; default 19 43 64). Box 4 x 1 x 1, E = 1, nu = 0.3, clamped,
//! shear traction 1e-3, relative residual 1e-8. The deflection is printed, so that a wrong answer shows. Each size three times, best printed.

// A bench prints, and stops at the first fault.
#![allow(clippy::expect_used, clippy::print_stdout)]

use std::time::Instant;

use answer::NoProgress;
use strength::multigrid::{CellMatrix, Effort, FixedNode, Real, TrilinearField, TrilinearSolver, TrilinearSystem};

fn system(n: i32) -> TrilinearSystem {
    let (e, nu) = (1.0, 0.3);
    let material = CellMatrix::Uniform { lambda: e * nu / ((1.0 + nu) * (1.0 - 2.0 * nu)), mu: e / (2.0 * (1.0 + nu)) };
    let row = |y: i32, z: i32| (0..4 * n).map(move |x| [x, y, z]);
    let cells = (0..n).flat_map(|z| (0..n).flat_map(move |y| row(y, z))).map(|at| (at, material.clone())).collect();
    let fixed = (0..=n)
        .flat_map(|z| (0..=n).map(move |y| FixedNode { field: 0, node: [0, y, z], components: [true; 3] }))
        .collect();
    TrilinearSystem { spacing: 1.0 / f64::from(n), fields: vec![TrilinearField { cells }], patches: Vec::new(), fixed }
}

/// Forces of the shear traction on the end face: node and force in z.
fn shear(n: i32) -> Vec<([i32; 3], f64)> {
    let edge = |v: i32| if v == 0 || v == n { 0.5 } else { 1.0 };
    let area = 1e-3 / f64::from(n).powi(2);
    (0..=n).flat_map(|z| (0..=n).map(move |y| ([4 * n, y, z], -area * edge(y) * edge(z)))).collect()
}

fn rate<T: Real>(solver: &TrilinearSolver) -> f64 {
    let n = solver.hierarchy().unknowns();
    let u: Vec<T> = (0..n).map(|k| T::of((k as f64 * 0.37).sin())).collect();
    let mut y = vec![T::of(0.0); n];
    let repeats = (40_000_000 / n).clamp(3, 60);
    let mut best = f64::INFINITY;
    for _ in 0..repeats {
        let begin = Instant::now();
        solver.stiffness().apply(&u, &mut y);
        best = best.min(begin.elapsed().as_secs_f64());
    }
    assert!(y.iter().any(|v| v.wide() != 0.0));
    n as f64 / best * 1e-6
}

fn main() {
    let sizes: Vec<i32> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    let sizes = if sizes.is_empty() { vec![19, 43, 64] } else { sizes };
    println!("threads {}", rayon::current_num_threads());
    for n in sizes {
        let mut best: Option<(f64, String)> = None;
        // ONCE: a single run without the product, as peers are timed.
        let once = std::env::var_os("ONCE").is_some();
        for _ in 0..if once { 1 } else { 3 } {
            let begin = Instant::now();
            let lattice = system(n);
            let described = begin.elapsed().as_secs_f64();
            let mut solver = TrilinearSolver::new(&lattice).expect("a supported cantilever");
            let set_up = begin.elapsed().as_secs_f64();
            let mut load = vec![0.0; solver.hierarchy().unknowns()];
            let forces = shear(n);
            for (node, force) in &forces {
                load[3 * solver.node(0, *node).expect("a node of the end face") + 2] = *force;
            }
            let (u, ended) = solver.solve(&load, Effort::default(), &NoProgress).expect("convergence");
            let total = begin.elapsed().as_secs_f64();
            let work: f64 = forces.iter().map(|(node, f)| u[3 * solver.node(0, *node).expect("a node") + 2] * f).sum();
            let unknowns = solver.hierarchy().unknowns();
            let line = format!(
                "N {n} unknowns {unknowns} total {total:.3} s (describe {described:.3}, set up {:.3}, solve {:.3}) {:.0} ns/unknown, {} iterations, residual {:.1e}, tip {:.6}, levels {} hold {:.0} MB = {:.0} B/unknown",
                set_up - described,
                total - set_up,
                total / unknowns as f64 * 1e9,
                ended.iterations,
                ended.reached(),
                work / 1e-3,
                solver.hierarchy().depth(),
                solver.hierarchy().bytes() as f64 * 1e-6,
                solver.hierarchy().bytes() as f64 / unknowns as f64,
            );
            if best.as_ref().is_none_or(|(t, _)| total < *t) {
                best = Some((total, line));
            }
        }
        if let Some((_, line)) = best {
            println!("{line}");
        }
        if once {
            continue;
        }
        let solver = TrilinearSolver::new(&system(n)).expect("a supported cantilever");
        println!("N {n} product: f64 {:.0} MDOF/s, f32 {:.0} MDOF/s", rate::<f64>(&solver), rate::<f32>(&solver));
    }
}
