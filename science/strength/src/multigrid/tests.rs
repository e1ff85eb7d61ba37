//! What the mathematics promises of operator, coarsening and cycle.

use super::blocks::BlockRows;
use super::coarsen::{coarsen, held};
use super::nodes::Nodes;
use super::operator::LevelOperator;
use super::system::{CellMatrix, Patch, PatchMatrix, TrilinearField, TrilinearSystem, packed};
use super::transfer::Transfer;
use super::{FixedNode, Hierarchy, SolveError, cube_stiffness};

/// A block with a notch, so that rows have several runs; every fifth cell may have a matrix of its own, scaled.
fn notched(size: [i32; 3], own: bool) -> TrilinearSystem {
    let mut cells = Vec::new();
    for z in -1..size[2] - 1 {
        for y in 0..size[1] {
            for x in -3..size[0] - 3 {
                if (0..2).contains(&x) && z > size[2] / 2 {
                    continue;
                }
                let (lambda, mu) = if x < 1 { (0.6, 0.4) } else { (6.0, 4.0) };
                let number = x + 7 * y + 13 * z;
                let matrix = if own && number.rem_euclid(5) == 0 {
                    let k = cube_stiffness(lambda, mu, 0.5);
                    let mut packed_k = Box::new([0.0f64; 300]);
                    for i in 0..24 {
                        for j in 0..=i {
                            packed_k[packed(i, j)] = 0.3 * k[i * 24 + j];
                        }
                    }
                    CellMatrix::Own(packed_k)
                } else {
                    CellMatrix::Uniform { lambda, mu }
                };
                cells.push(([x, y, z], matrix));
            }
        }
    }
    TrilinearSystem { spacing: 0.5, fields: vec![TrilinearField { cells }], ..TrilinearSystem::default() }
}

/// A second field beside the first, joined by springs in all components.
fn joined() -> TrilinearSystem {
    let mut system = notched([9, 4, 5], true);
    let mut second = notched([5, 4, 5], false);
    for (at, _) in &mut second.fields[0].cells {
        at[0] += 9;
    }
    system.fields.append(&mut second.fields);
    for y in 0..=4 {
        for z in -1..=2 {
            system.patches.push(Patch {
                nodes: vec![(0, [6, y, z]), (1, [6, y, z])],
                matrix: PatchMatrix::Scalar(vec![5.0, -5.0, 5.0]),
            });
        }
    }
    system
}

fn wave(n: usize) -> Vec<f64> {
    (0..n).map(|k| ((k * 7919 % 1013) as f64 / 506.5 - 1.0) + (0.01 * k as f64).sin()).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

fn operator(system: &TrilinearSystem) -> (Nodes, LevelOperator) {
    let nodes = Nodes::new(&system.fields);
    let operator = LevelOperator::new(system, &nodes, Vec::new()).unwrap();
    (nodes, operator)
}

#[test]
fn sweeps_equal_the_assembled_product() {
    // Several slabs, and none between two parts of a field; planes of several tiles.
    let wide = notched([150, 60, 3], true);
    let mut parted = notched([23, 9, 30], true);
    parted.fields[0].cells.retain(|(at, _)| !(10..14).contains(&at[2]));
    for system in
        [notched([23, 5, 6], false), notched([71, 3, 4], true), joined(), notched([20, 9, 40], false), parted, wide]
    {
        let (nodes, operator) = operator(&system);
        let assembled = BlockRows::<f64>::assemble(&system, &nodes, true).unwrap();
        let u = wave(3 * nodes.count);
        // Whatever stood there before.
        let mut y = vec![f64::NAN; u.len()];
        operator.apply(&u, &mut y);
        let x = super::parts::components(&u, nodes.count);
        let size = y.iter().fold(0.0f64, |a, b| a.max(b.abs()));
        assert!(y.iter().all(|v| v.is_finite()));
        for row in 0..assembled.node.len() {
            let expected = assembled.row_product(row, x);
            for (c, expected) in expected.into_iter().enumerate() {
                let found = y[c * nodes.count + assembled.node[row] as usize];
                // Both sum the same numbers in f64; own cells are the same f32 on both sides, so only the order of sums differs.
                assert!((found - expected).abs() < 1e-6 * size, "row {row} component {c}: {found} {expected}");
            }
        }
    }
}

#[test]
fn rigid_motions_cost_nothing_and_uniform_strain_is_in_balance_inside() {
    let system = notched([19, 6, 7], false);
    let (nodes, operator) = operator(&system);
    let n = nodes.count;
    let mut places = vec![[0.0; 3]; n];
    for run in &nodes.runs {
        for k in 0..run.len {
            places[(run.start + k) as usize] = [f64::from(run.x + k as i32), f64::from(run.y), f64::from(run.z)];
        }
    }
    let field = |f: &dyn Fn([f64; 3]) -> [f64; 3]| {
        let mut u = vec![0.0; 3 * n];
        for (k, p) in places.iter().enumerate() {
            for (c, v) in f(*p).into_iter().enumerate() {
                u[c * n + k] = v;
            }
        }
        u
    };
    let mut y = vec![0.0; 3 * n];
    let motions: [&dyn Fn([f64; 3]) -> [f64; 3]; 6] = [
        &|_| [1.0, 0.0, 0.0],
        &|_| [0.0, 1.0, 0.0],
        &|_| [0.0, 0.0, 1.0],
        &|p| [0.0, -p[2], p[1]],
        &|p| [p[2], 0.0, -p[0]],
        &|p| [-p[1], p[0], 0.0],
    ];
    for motion in motions {
        let u = field(motion);
        operator.apply(&u, &mut y);
        let size = u.iter().fold(0.0f64, |a, b| a.max(b.abs()));
        // Rounding of f64 sums of numbers up to the stiffness times the largest displacement.
        assert!(y.iter().all(|v| v.abs() < 1e-12 * 10.0 * size));
    }
    let u = field(&|p| [0.1 * p[0] + 0.02 * p[1], 0.03 * p[1] - 0.01 * p[2], 0.05 * p[0] - 0.2 * p[2]]);
    operator.apply(&u, &mut y);
    for (k, p) in places.iter().enumerate() {
        // Nodes with eight cells of one material around them: x below the change of material, away from notch and faces.
        let inside = p[0] > -3.0 && p[0] < 0.0 && p[1] > 0.0 && p[1] < 6.0 && p[2] > -1.0 && p[2] < 6.0;
        if inside {
            assert!((0..3).all(|c| y[c * n + k].abs() < 1e-12));
        }
    }
}

#[test]
fn coarse_energy_is_fine_energy_of_the_prolonged() {
    let mut held_system = joined();
    for y in 0..=4 {
        for z in -1..=4 {
            held_system.fixed.push(FixedNode { field: 0, node: [-3, y, z], components: [true, y % 2 == 0, true] });
        }
    }
    for system in [notched([24, 6, 8], false), joined(), held_system] {
        let nodes = Nodes::new(&system.fields);
        let mask = held(&system.fixed, &nodes).unwrap();
        let coarse = coarsen(&system, &nodes, &mask);
        let coarse_nodes = Nodes::new(&coarse.fields);
        let coarse_mask = held(&coarse.fixed, &coarse_nodes).unwrap();
        let transfer = Transfer::new(&nodes, &coarse_nodes);
        let fine_operator = LevelOperator::new(&system, &nodes, Vec::new()).unwrap();
        let coarse_operator = LevelOperator::new(&coarse, &coarse_nodes, Vec::new()).unwrap();
        let free = |u: &mut [f32], mask: &[u8], n: usize| {
            for (k, v) in u.iter_mut().enumerate() {
                if mask.get(k % n).is_some_and(|m| m >> (k / n) & 1 == 1) {
                    *v = 0.0;
                }
            }
        };
        let mut c: Vec<f32> = wave(3 * coarse_nodes.count).into_iter().map(|v| v as f32).collect();
        free(&mut c, &coarse_mask, coarse_nodes.count);
        let mut f = vec![0.0f32; 3 * nodes.count];
        transfer.prolong(&c, &mut f);
        free(&mut f, &mask, nodes.count);
        let wide = |v: &[f32]| v.iter().map(|v| f64::from(*v)).collect::<Vec<f64>>();
        let (c64, f64s) = (wide(&c), wide(&f));
        let (mut yc, mut yf) = (vec![0.0; c64.len()], vec![0.0; f64s.len()]);
        coarse_operator.apply(&c64, &mut yc);
        fine_operator.apply(&f64s, &mut yf);
        let (coarse_energy, fine_energy) = (dot(&c64, &yc), dot(&f64s, &yf));
        // f32 roundings of prolonged values and of own matrices.
        assert!((coarse_energy / fine_energy - 1.0).abs() < 1e-5, "{coarse_energy} {fine_energy}");
    }
}

#[test]
fn restriction_is_the_transpose_of_prolongation() {
    let system = joined();
    let nodes = Nodes::new(&system.fields);
    let coarse_nodes = Nodes::new(&coarsen(&system, &nodes, &Vec::new()).fields);
    let transfer = Transfer::new(&nodes, &coarse_nodes);
    let c: Vec<f32> = wave(3 * coarse_nodes.count).into_iter().map(|v| v as f32).collect();
    let f: Vec<f32> = wave(3 * nodes.count).into_iter().rev().map(|v| v as f32).collect();
    let (mut pc, mut rf) = (vec![0.0f32; f.len()], vec![0.0f32; c.len()]);
    transfer.prolong(&c, &mut pc);
    transfer.restrict(&f, &mut rf);
    let wide = |v: &[f32]| v.iter().map(|v| f64::from(*v)).collect::<Vec<f64>>();
    let (a, b) = (dot(&wide(&pc), &wide(&f)), dot(&wide(&c), &wide(&rf)));
    assert!((a - b).abs() < 1e-4 * a.abs().max(1.0), "{a} {b}");
}

#[test]
fn the_cycle_is_symmetric_and_positive() {
    let mut system = joined();
    for y in 0..=4 {
        for z in -1..=4 {
            system.fixed.push(FixedNode { field: 0, node: [-3, y, z], components: [true; 3] });
        }
    }
    // A second copy makes it large enough for two levels.
    let mut large = notched([60, 9, 8], true);
    large.fixed =
        (0..20).map(|k| FixedNode { field: 0, node: [-3, k % 10, 1 + k / 10], components: [true; 3] }).collect();
    // And a stiff piece, for which the levels below are visited several times.
    let mut stiff = large.clone();
    for (at, matrix) in &mut stiff.fields[0].cells {
        if (20..26).contains(&at[0]) && (2..6).contains(&at[1]) {
            *matrix = CellMatrix::Uniform { lambda: 600.0, mu: 400.0 };
        }
    }
    for system in [system, large, stiff] {
        let mut hierarchy = Hierarchy::new(&system).unwrap();
        let n = hierarchy.unknowns();
        let a: Vec<f32> = wave(n).into_iter().map(|v| v as f32).collect();
        let b: Vec<f32> = wave(n).into_iter().rev().map(|v| v as f32).collect();
        let (mut ma, mut mb) = (vec![0.0f32; n], vec![0.0f32; n]);
        hierarchy.cycle(&a, &mut ma);
        hierarchy.cycle(&b, &mut mb);
        let product = |a: &[f32], b: &[f32]| a.iter().zip(b).map(|(x, y)| f64::from(*x) * f64::from(*y)).sum::<f64>();
        let (left, right) = (product(&a, &mb), product(&b, &ma));
        let scale = (product(&a, &ma) * product(&b, &mb)).sqrt();
        // Roundings of f32 sweeps.
        assert!((left - right).abs() < 1e-5 * scale, "{left} {right} {scale}");
        assert!(product(&a, &ma) > 0.0 && product(&b, &mb) > 0.0);
    }
}

#[test]
fn a_free_body_is_named() {
    let mut system = notched([8, 4, 5], false);
    let mut second = notched([5, 4, 5], false);
    second.fields[0].cells.iter_mut().for_each(|(at, _)| at[0] += 30);
    system.fields.append(&mut second.fields);
    system.fixed = (0..=4).map(|y| FixedNode { field: 0, node: [-3, y, 0], components: [true; 3] }).collect();
    assert_eq!(Hierarchy::new(&system).map(|_| ()), Err(SolveError::Unsupported { fields: vec![1] }));
}
