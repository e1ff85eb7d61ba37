//! Cantilever of eight-node bricks against three general packages.
//!
//! Box 4 x 1 x 1, 4N x N x N bricks, E = 1, nu = 0.3, clamped at x = 0, uniform shear traction 1e-3 in -z on x = 4. Mean deflection of the end
//! face: nodal mean by CalculiX 2.20 and scikit-fem 12 (N = 8, 15, 28), surface integral by PETSc through dolfinx 0.5.2 and by deal.II 9.4.1.
//! The packages agree among themselves to all digits printed.

#![allow(clippy::unwrap_used)]

use answer::NoProgress;
use strength::multigrid::{CellMatrix, Effort, FixedNode, TrilinearField, TrilinearSolver, TrilinearSystem};

fn cantilever(n: i32) -> (TrilinearSystem, Vec<([i32; 3], f64)>) {
    let (e, nu) = (1.0, 0.3);
    let (lambda, mu) = (e * nu / ((1.0 + nu) * (1.0 - 2.0 * nu)), e / (2.0 * (1.0 + nu)));
    let mut cells = Vec::new();
    for z in 0..n {
        for y in 0..n {
            for x in 0..4 * n {
                cells.push(([x, y, z], CellMatrix::Uniform { lambda, mu }));
            }
        }
    }
    let mut fixed = Vec::new();
    let mut load = Vec::new();
    let h = 1.0 / f64::from(n);
    for z in 0..=n {
        for y in 0..=n {
            fixed.push(FixedNode { field: 0, node: [0, y, z], components: [true; 3] });
            let edge = |v: i32| if v == 0 || v == n { 0.5 } else { 1.0 };
            load.push(([4 * n, y, z], -1e-3 * h * h * edge(y) * edge(z)));
        }
    }
    let system = TrilinearSystem { spacing: h, fields: vec![TrilinearField { cells }], patches: Vec::new(), fixed };
    (system, load)
}

/// Nodal mean, face integral, iterations.
fn tip(n: i32) -> (f64, f64, usize) {
    let (system, load) = cantilever(n);
    let mut solver = TrilinearSolver::new(&system).unwrap();
    let mut right = vec![0.0; solver.hierarchy().unknowns()];
    for (at, force) in &load {
        right[3 * solver.node(0, *at).unwrap() + 2] = *force;
    }
    let (u, ended) = solver.solve(&right, Effort::default(), &NoProgress).unwrap();
    let at = |node: &[i32; 3]| u[3 * solver.node(0, *node).unwrap() + 2];
    let mean = load.iter().map(|(node, _)| at(node)).sum::<f64>() / load.len() as f64;
    let total: f64 = load.iter().map(|(_, f)| f).sum();
    let integral = load.iter().map(|(node, f)| at(node) * f).sum::<f64>() / total;
    (mean, integral, ended.iterations)
}

#[test]
fn deflections_are_those_of_general_packages() {
    // (N, nodal mean, face integral); printed to six or seven digits, so 1e-6 relative plus the tolerance of the iteration.
    for (n, nodal, integral) in
        [(8, Some(-0.2608661), None), (15, Some(-0.2630434), Some(-0.263032)), (16, None, Some(-0.263147))]
    {
        let (mean, face, iterations) = tip(n);
        println!("N = {n}: nodal mean {mean:.7e}, face integral {face:.7e}, {iterations} iterations");
        for (found, expected, digits) in [(mean, nodal, 2e-7), (face, integral, 3e-6)] {
            if let Some(expected) = expected {
                assert!((found / expected - 1.0f64).abs() < digits, "N = {n}: {found:.8e} {expected:e}");
            }
        }
        assert!(iterations <= 15, "{iterations}");
    }
}
