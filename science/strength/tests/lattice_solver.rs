//! What a user of the lattice solver is promised: exact bars, superposition, the same bytes on any number of threads, and refusals by name.

#![allow(clippy::unwrap_used)]

use std::ops::ControlFlow;

use answer::{NoProgress, Progress};
use proptest::prelude::*;
use strength::multigrid::{
    CellMatrix, Effort, FixedNode, Patch, PatchMatrix, SolveError, TrilinearField, TrilinearSolver, TrilinearSystem,
    packed,
};

fn isotropic(young: f64, nu: f64) -> CellMatrix {
    CellMatrix::Uniform { lambda: young * nu / ((1.0 + nu) * (1.0 - 2.0 * nu)), mu: young / (2.0 * (1.0 + nu)) }
}

fn block(size: [i32; 3], low: [i32; 3], matrix: &CellMatrix) -> TrilinearField {
    let mut cells = Vec::new();
    for z in 0..size[2] {
        for y in 0..size[1] {
            for x in 0..size[0] {
                cells.push(([low[0] + x, low[1] + y, low[2] + z], matrix.clone()));
            }
        }
    }
    TrilinearField { cells }
}

/// Plane x = `x` of a w x w section: held along x; one edge node holds y and z, another z, so that nothing else is restrained.
fn rollers(field: u32, x: i32, w: i32) -> Vec<FixedNode> {
    let mut all = Vec::new();
    for z in 0..=w {
        for y in 0..=w {
            all.push(FixedNode {
                field,
                node: [x, y, z],
                components: [true, y == 0 && z == 0, z == 0 && (y == 0 || y == w)],
            });
        }
    }
    all
}

/// Consistent nodal forces of a uniform traction of 1 along x on a plane of a w x w section.
fn pull(solver: &TrilinearSolver, field: u32, x: i32, w: i32, h: f64) -> Vec<f64> {
    let mut load = vec![0.0; solver.hierarchy().unknowns()];
    let edge = |v: i32| if v == 0 || v == w { 0.5 } else { 1.0 };
    for z in 0..=w {
        for y in 0..=w {
            load[3 * solver.node(field, [x, y, z]).unwrap()] = h * h * edge(y) * edge(z);
        }
    }
    load
}

#[test]
fn a_pulled_bar_stretches_by_hooke() {
    let (young, nu, h) = (200.0, 0.3, 0.25);
    let system = TrilinearSystem {
        spacing: h,
        fields: vec![block([40, 9, 9], [0; 3], &isotropic(young, nu))],
        patches: Vec::new(),
        fixed: rollers(0, 0, 9),
    };
    let mut solver = TrilinearSolver::new(&system).unwrap();
    let load = pull(&solver, 0, 40, 9, h);
    let effort = Effort { tolerance: 1e-11, iterations: 100 };
    let (u, _) = solver.solve(&load, effort, &NoProgress).unwrap();
    for (x, y, z) in [(40, 0, 0), (17, 4, 9), (1, 9, 9), (23, 9, 2)] {
        let n = 3 * solver.node(0, [x, y, z]).unwrap();
        let at = [x, y, z].map(|v| f64::from(v) * h);
        let expected = [at[0] / young, -nu * at[1] / young, -nu * at[2] / young];
        for c in 0..3 {
            // Uniform strain lies in the space, so only the tolerance of the iteration is left.
            assert!(
                (u[n + c] - expected[c]).abs() < 1e-9 * 10.0 / young * 100.0,
                "{:?} {c}: {} {}",
                at,
                u[n + c],
                expected[c]
            );
        }
    }
}

#[test]
fn two_bars_and_a_joint_stretch_as_springs_in_series() {
    let (h, w, first, second, normal, shear) = (0.5, 4, 100.0, 4000.0, 300.0, 120.0);
    let fields =
        vec![block([12, w, w], [0; 3], &isotropic(first, 0.0)), block([12, w, w], [12, 0, 0], &isotropic(second, 0.0))];
    let mut patches = Vec::new();
    for z in 0..w {
        for y in 0..w {
            let nodes = (0..8).map(|k: i32| (k as u32 / 4, [12, y + (k & 1), z + (k >> 1 & 1)])).collect();
            let mut matrix = vec![0.0f64; 300];
            for i in 0..24 {
                for j in (0..=i).filter(|j| j % 3 == i % 3) {
                    let (p, q) = (i / 3, j / 3);
                    let one = |s: usize| if p >> s & 1 == q >> s & 1 { 1.0 / 3.0 } else { 1.0 / 6.0 };
                    let side = if (p < 4) == (q < 4) { 1.0 } else { -1.0 };
                    let stiff = if i % 3 == 0 { normal } else { shear };
                    matrix[packed(i, j)] = side * stiff * h * h * one(0) * one(1);
                }
            }
            patches.push(Patch { nodes, matrix: PatchMatrix::Full(matrix) });
        }
    }
    let system = TrilinearSystem { spacing: h, fields, patches, fixed: rollers(0, 0, w) };
    let mut solver = TrilinearSolver::new(&system).unwrap();
    let load = pull(&solver, 1, 24, w, h);
    let (u, _) = solver.solve(&load, Effort { tolerance: 1e-11, iterations: 200 }, &NoProgress).unwrap();
    let end = u[3 * solver.node(1, [24, 2, 2]).unwrap()];
    let expected = 6.0 / first + 1.0 / normal + 6.0 / second;
    // Rounding of sums.
    assert!((end / expected - 1.0).abs() < 1e-6, "{end} {expected}");
}

fn clamped(size: [i32; 3]) -> TrilinearSystem {
    let fixed = (0..=size[1])
        .flat_map(|y| (0..=size[2]).map(move |z| FixedNode { field: 0, node: [0, y, z], components: [true; 3] }))
        .collect();
    TrilinearSystem {
        spacing: 0.2,
        fields: vec![block(size, [0; 3], &isotropic(1.0, 0.3))],
        patches: Vec::new(),
        fixed,
    }
}

fn wave(n: usize, seed: usize) -> Vec<f64> {
    (0..n).map(|k| ((k * 7919 + seed * 104729) % 1013) as f64 / 506.5 - 1.0).collect()
}

#[test]
fn load_cases_superpose_on_one_set_up() {
    let mut solver = TrilinearSolver::new(&clamped([18, 7, 6])).unwrap();
    let n = solver.hierarchy().unknowns();
    let (a, b) = (wave(n, 1), wave(n, 2));
    let both: Vec<f64> = a.iter().zip(&b).map(|(a, b)| a + 2.0 * b).collect();
    let effort = Effort { tolerance: 1e-10, iterations: 100 };
    let mut solve = |load: &[f64]| solver.solve(load, effort, &NoProgress).unwrap().0;
    let (ua, ub, u) = (solve(&a), solve(&b), solve(&both));
    let size = u.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    for k in 0..n {
        // Three times the tolerance of the iteration, times the condition of a short beam.
        assert!((ua[k] + 2.0 * ub[k] - u[k]).abs() < 1e-7 * size);
    }
}

#[test]
fn the_same_bytes_on_any_number_of_threads() {
    let system = clamped([60, 21, 22]);
    let run = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| {
            let mut solver = TrilinearSolver::new(&system).unwrap();
            let load = wave(solver.hierarchy().unknowns(), 5);
            solver.solve(&load, Effort::default(), &NoProgress).unwrap().0
        })
    };
    let one: Vec<u64> = run(1).into_iter().map(f64::to_bits).collect();
    for threads in [2, 3] {
        assert!(one == run(threads).into_iter().map(f64::to_bits).collect::<Vec<_>>(), "{threads} threads differ");
    }
}

struct Impatient;

impl Progress for Impatient {
    fn step(&self, done: usize, _total: usize) -> ControlFlow<()> {
        if done > 20 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

#[test]
fn what_is_wrong_is_refused_by_name() {
    let good = clamped([26, 7, 7]);
    let mut solver = TrilinearSolver::new(&good).unwrap();
    let n = solver.hierarchy().unknowns();
    let effort = Effort::default();
    assert!(matches!(solver.solve(&wave(n, 1), effort, &Impatient), Err(SolveError::Interrupted(_))));
    let few = Effort { tolerance: 1e-8, iterations: 1 };
    assert!(matches!(solver.solve(&wave(n, 1), few, &NoProgress), Err(SolveError::NotConverged { iterations: 1, .. })));
    let mut broken = wave(n, 1);
    broken[7] = f64::NAN;
    let last = solver.solve(&broken, effort, &NoProgress);
    assert!(matches!(last, Err(SolveError::NotFinite { .. })), "{last:?}");
    assert!(matches!(solver.solve(&broken[1..], effort, &NoProgress), Err(SolveError::Length { .. })));

    let refused = |change: &dyn Fn(&mut TrilinearSystem)| {
        let mut system = good.clone();
        change(&mut system);
        TrilinearSolver::new(&system).map(|_| ()).unwrap_err()
    };
    assert_eq!(refused(&|s| s.fields.clear()), SolveError::Empty);
    assert_eq!(refused(&|s| s.fixed.clear()), SolveError::Unsupported { fields: vec![0] });
    let hinge = refused(&|s| s.fixed.retain(|f| f.node[1] == 0 && f.node[2] == 2));
    assert_eq!(hinge, SolveError::Unsupported { fields: vec![0] });
    let inverted = refused(&|s| s.fields[0].cells[3].1 = isotropic(-1.0, 0.3));
    assert!(matches!(inverted, SolveError::OutOfRange { field: 0, quantity: "shear modulus", .. }));
    let incompressible = refused(&|s| s.fields[0].cells[3].1 = isotropic(1.0, 0.5));
    assert!(matches!(incompressible, SolveError::OutOfRange { .. }));
    assert!(matches!(refused(&|s| s.fields[0].cells.swap(1, 2)), SolveError::Order { field: 0, .. }));
    let off = FixedNode { field: 0, node: [99, 0, 0], components: [true; 3] };
    assert!(matches!(refused(&|s| s.fixed.push(off)), SolveError::NoSuchNode { at: [99, 0, 0], .. }));
    let spring = Patch { nodes: vec![(0, [26, 0, 0]), (1, [0; 3])], matrix: PatchMatrix::Scalar(vec![1.0, -1.0, 1.0]) };
    assert!(matches!(refused(&|s| s.patches.push(spring.clone())), SolveError::NoSuchNode { field: 1, .. }));
    let short = Patch { nodes: vec![(0, [26, 0, 0])], matrix: PatchMatrix::Full(vec![1.0]) };
    assert!(matches!(
        refused(&|s| s.patches.push(short.clone())),
        SolveError::PatchLength { found: 1, expected: 6, .. }
    ));
}

#[test]
fn iterations_stay_few_at_the_contrast_of_common_materials() {
    let mut system = clamped([24, 14, 14]);
    for (at, matrix) in &mut system.fields[0].cells {
        let far = (at[0] - 12).pow(2) + (at[1] - 6).pow(2) + (at[2] - 7).pow(2);
        if far < 20 {
            *matrix = isotropic(20.0, 0.25);
        }
    }
    let mut solver = TrilinearSolver::new(&system).unwrap();
    let load = wave(solver.hierarchy().unknowns(), 3);
    let (_, ended) = solver.solve(&load, Effort::default(), &NoProgress).unwrap();
    // The aim at a contrast of 20.
    assert!(ended.iterations <= 25, "{}", ended.iterations);
}

/// Stiff pieces that touch turn against one another at little energy, whatever their contrast.
#[test]
fn iterations_stay_few_where_stiff_pieces_touch() {
    let mut system = clamped([32, 20, 20]);
    let balls = [([8.0, 8.0, 9.0], 6.0), ([17.5, 12.0, 11.0], 4.5), ([25.0, 9.0, 10.0], 4.0)];
    for (at, matrix) in &mut system.fields[0].cells {
        let off = |c: &[f64; 3]| (0..3).map(|d| (f64::from(at[d]) + 0.5 - c[d]).powi(2)).sum::<f64>();
        if balls.iter().any(|(c, r)| off(c) < r * r) {
            *matrix = isotropic(1e4, 0.25);
        }
    }
    let mut solver = TrilinearSolver::new(&system).unwrap();
    let load = wave(solver.hierarchy().unknowns(), 3);
    let (_, ended) = solver.solve(&load, Effort::default(), &NoProgress).unwrap();
    println!("three touching pieces: {} iterations", ended.iterations);
    // As balls that do not touch take at 20.
    assert!(ended.iterations <= 25, "{}", ended.iterations);
}

/// A soft crumb of one cell, tied by a face: in a coarse cell of its own it has motions that hardly strain it, and is not free for that.
#[test]
fn a_crumb_alone_in_its_coarse_cells_is_held_by_what_joins_it() {
    for at in [[21, 5, 5], [28, 3, 12], [35, 12, 9]] {
        let mut system = clamped([64, 17, 17]);
        system.fields.push(block([1; 3], at, &isotropic(1e-3, 0.3)));
        for corner in 0..4 {
            let node = [at[0], at[1] + (corner & 1), at[2] + (corner >> 1)];
            let matrix = PatchMatrix::Scalar(vec![1.0, -1.0, 1.0]);
            system.patches.push(Patch { nodes: vec![(0, node), (1, node)], matrix });
        }
        let mut solver = TrilinearSolver::new(&system).unwrap_or_else(|e| panic!("{at:?}: {e}"));
        let load = wave(solver.hierarchy().unknowns(), 1);
        let (_, ended) = solver.solve(&load, Effort::default(), &NoProgress).unwrap();
        assert!(ended.iterations <= 45, "{at:?}: {}", ended.iterations);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any set of cells is solved to its tolerance, or what is not held is named; never a panic, never a wrong answer.
    #[test]
    fn any_cells_are_solved_or_named(keep in prop::collection::vec(0u8..10, 9 * 8 * 9), stiff in 1.0f64..1e3) {
        let mut system = clamped([9, 8, 9]);
        let mut number = 0;
        system.fields[0].cells.retain(|_| { number += 1; keep[number - 1] > 1 });
        for (k, (_, matrix)) in system.fields[0].cells.iter_mut().enumerate() {
            if keep[k] == 5 { *matrix = isotropic(stiff, 0.2); }
        }
        let cells = system.fields[0].cells.clone();
        let has = |n: [i32; 3]| cells.iter().any(|(at, _)| (0..3).all(|d| at[d] == n[d] || at[d] + 1 == n[d]));
        system.fixed.retain(|f| has(f.node));
        match TrilinearSolver::new(&system) {
            Err(SolveError::Unsupported { fields }) => prop_assert_eq!(fields, vec![0]),
            Err(other) => prop_assert!(false, "{}", other),
            Ok(mut solver) => {
                let mut load = wave(solver.hierarchy().unknowns(), 1);
                for f in &system.fixed {
                    let n = 3 * solver.node(0, f.node).unwrap();
                    load[n..n + 3].fill(0.0);
                }
                match solver.solve(&load, Effort { tolerance: 1e-6, iterations: 200 }, &NoProgress) {
                    Ok((u, _)) => {
                        let back = solver.product(&u).unwrap();
                        let off: f64 = back.iter().zip(&load).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt();
                        let size: f64 = load.iter().map(|b| b * b).sum::<f64>().sqrt();
                        prop_assert!(off <= 1.1e-6 * size, "{} {}", off, size);
                    }
                    Err(SolveError::NotConverged { .. } | SolveError::Indefinite { .. }) => {}
                    Err(other) => prop_assert!(false, "{}", other),
                }
            }
        }
    }
}
