//! The system on the lattice of twice the spacing, by exact Galerkin products: A' = P^T A P, cell by cell and patch by patch.
//!
//! A coarse cell's matrix is the sum of P^T K P over its (up to eight) active fine cells; since trilinear functions of the coarse lattice are
//! trilinear on the fine one, eight equal uniform cells give a uniform cell of the same material. A patch becomes a patch of the coarse nodes
//! around its own; patches of the same nodes are summed. A coarse unknown is held when the fine one on its place is; held fine unknowns that
//! are not carried by held coarse ones alone are left out of P, and the cells around them get matrices of their own.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::coarse_patches::{coarse_patches, take_in};
use super::element::cube_stiffness;
use super::nodes::{Nodes, RowTable};
use super::system::{CellMatrix, FixedNode, TrilinearField, TrilinearSystem, packed};
use super::transfer::parents_along;

/// Which components of each node are held, as bits; empty when none is.
pub(crate) type Held = Vec<u8>;

/// Held components of every node of a level; `None` when a held node does not exist.
pub(crate) fn held(fixed: &[FixedNode], nodes: &Nodes) -> Result<Held, FixedNode> {
    if fixed.is_empty() {
        return Ok(Vec::new());
    }
    let mut held = vec![0u8; nodes.count];
    for node in fixed {
        let at = nodes.find(node.field, node.node).ok_or(*node)?;
        for (c, is_held) in node.components.iter().enumerate() {
            held[at] |= u8::from(*is_held) << c;
        }
    }
    Ok(held)
}

/// A coarse cell and the fine cells in it (by number, `u32::MAX` where there is none).
type Family = ([i32; 3], [u32; 8]);

/// The next coarser system of `system`, whose nodes and held components are given.
pub(crate) fn coarsen(system: &TrilinearSystem, nodes: &Nodes, held: &Held) -> TrilinearSystem {
    let families: Vec<Vec<Family>> = system.fields.iter().map(families).collect();
    let shapes: Vec<TrilinearField> = families
        .iter()
        .map(|f| TrilinearField {
            cells: f.iter().map(|(at, _)| (*at, CellMatrix::Uniform { lambda: 0.0, mu: 1.0 })).collect(),
        })
        .collect();
    let coarse_nodes = Nodes::new(&shapes);
    drop(shapes);
    let fixed = coarse_fixed(system, &coarse_nodes);
    let touched = touched_cells(system, nodes, held, &coarse_nodes, &fixed);
    let parts = ChildProducts::new(system.spacing);
    let fields = families
        .into_iter()
        .enumerate()
        .map(|(number, families)| {
            let fine = &system.fields[number].cells;
            let cells = families
                .into_par_iter()
                .with_min_len(256)
                .map(|(at, children)| {
                    let number = number as u32;
                    let cut = touched.contains(&(number, at));
                    let matrix = match (uniform(fine, &children), cut) {
                        (Some(matrix), false) => matrix,
                        _ => CellMatrix::Own(own(fine, &children, &parts, |corner| {
                            if cut { nodes.find(number, corner).map_or(0, |n| held[n]) } else { 0 }
                        })),
                    };
                    (at, matrix)
                })
                .collect();
            TrilinearField { cells }
        })
        .collect();
    let mut coarse = TrilinearSystem { spacing: 2.0 * system.spacing, fields, patches: Vec::new(), fixed };
    take_in(coarse_patches(system, nodes, held), &mut coarse);
    coarse
}

/// Coarse cells of a field in the order z, y, x.
fn families(field: &TrilinearField) -> Vec<Family> {
    let cells = &field.cells;
    let table = RowTable::new(cells.iter().map(|(at, _)| [at[1], at[2]]), 0);
    let [ys, zs] = table.extent();
    let half = |range: &std::ops::Range<i32>| range.start.div_euclid(2)..(range.end + 1).div_euclid(2);
    half(&zs)
        .into_par_iter()
        .flat_map_iter(|z| {
            let mut plane: Vec<Family> = Vec::new();
            for y in half(&ys) {
                let mut row = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(dy, dz)| table.row(2 * y + dy, 2 * z + dz));
                loop {
                    let next = row.iter().filter(|r| r.start < r.end).map(|r| cells[r.start].0[0].div_euclid(2)).min();
                    let Some(x) = next else { break };
                    let mut children = [u32::MAX; 8];
                    for (q, range) in row.iter_mut().enumerate() {
                        while range.start < range.end && cells[range.start].0[0].div_euclid(2) == x {
                            let side = cells[range.start].0[0].rem_euclid(2) as usize;
                            children[side + 2 * q] = range.start as u32;
                            range.start += 1;
                        }
                    }
                    plane.push(([x, y, z], children));
                }
            }
            plane
        })
        .collect()
}

/// The common material of eight uniform children.
fn uniform(fine: &[([i32; 3], CellMatrix)], children: &[u32; 8]) -> Option<CellMatrix> {
    let first = &fine.get(children[0] as usize)?.1;
    let same = |c: &u32| fine.get(*c as usize).is_some_and(|(_, m)| m == first);
    (matches!(first, CellMatrix::Uniform { .. }) && children[1..].iter().all(same)).then(|| first.clone())
}

/// Coarse unknowns on the place of held fine ones.
fn coarse_fixed(system: &TrilinearSystem, coarse: &Nodes) -> Vec<FixedNode> {
    system
        .fixed
        .iter()
        .filter(|f| f.node.iter().all(|v| v.rem_euclid(2) == 0))
        .map(|f| FixedNode { node: f.node.map(|v| v.div_euclid(2)), ..*f })
        .filter(|f| coarse.find(f.field, f.node).is_some())
        .collect()
}

/// Coarse cells around held fine unknowns that coarse unknowns which are not held would move.
fn touched_cells(
    system: &TrilinearSystem,
    nodes: &Nodes,
    held_fine: &Held,
    coarse: &Nodes,
    fixed: &[FixedNode],
) -> BTreeSet<(u32, [i32; 3])> {
    let mut touched = BTreeSet::new();
    let held_coarse = held(fixed, coarse).unwrap_or_default();
    for f in &system.fixed {
        let Some(mask) = nodes.find(f.field, f.node).map(|n| held_fine[n]) else { continue };
        let moved = parents(f.node).iter().any(|(at, _)| {
            let above = coarse.find(f.field, *at).and_then(|n| held_coarse.get(n)).copied().unwrap_or(0);
            mask & !above != 0
        });
        if !moved {
            continue;
        }
        for corner in 0..8 {
            let cell = std::array::from_fn(|d| (f.node[d] - (corner >> d & 1)).div_euclid(2));
            touched.insert((f.field, cell));
        }
    }
    touched
}

/// Coarse nodes a fine node takes from, with their weights.
pub(super) fn parents(at: [i32; 3]) -> Vec<([i32; 3], f64)> {
    let axis = at.map(parents_along);
    let mut all = Vec::with_capacity(8);
    for &z in &axis[2].0[..axis[2].1] {
        for &y in &axis[1].0[..axis[1].1] {
            for &x in &axis[0].0[..axis[0].1] {
                all.push(([x, y, z], f64::from(axis[0].2 * axis[1].2 * axis[2].2)));
            }
        }
    }
    all
}

/// Weight of coarse corner `above` at corner `corner` of child `child`.
fn weight(child: usize, corner: usize, above: usize) -> f64 {
    (0..3)
        .map(|d| {
            let place = (child >> d & 1) + (corner >> d & 1);
            let far = place as f64 / 2.0;
            if above >> d & 1 == 1 { far } else { 1.0 - far }
        })
        .product()
}

/// P^T K P of each child for a material of lambda = 1 or mu = 1, packed.
struct ChildProducts {
    spacing: f64,
    lambda: Vec<Vec<f64>>,
    mu: Vec<Vec<f64>>,
}

impl ChildProducts {
    fn new(spacing: f64) -> Self {
        let of = |lambda, mu| {
            let k = cube_stiffness(lambda, mu, spacing);
            (0..8)
                .map(|child| {
                    let mut sum = vec![0.0; 300];
                    add_product(&k, child, &mut sum);
                    sum
                })
                .collect()
        };
        Self { spacing, lambda: of(1.0, 0.0), mu: of(0.0, 1.0) }
    }
}

/// Adds P^T K P of a child's dense 24 x 24 matrix.
fn add_product(k: &[f64; 576], child: usize, sum: &mut [f64]) {
    let mut half = [0.0; 576];
    for above in 0..8 {
        for corner in 0..8 {
            let w = weight(child, corner, above);
            if w != 0.0 {
                for a in 0..3 {
                    let (to, from) = ((3 * above + a) * 24, (3 * corner + a) * 24);
                    for (h, v) in half[to..to + 24].iter_mut().zip(&k[from..from + 24]) {
                        *h += w * v;
                    }
                }
            }
        }
    }
    for above in 0..8 {
        for corner in 0..8 {
            let w = weight(child, corner, above);
            if w == 0.0 {
                continue;
            }
            for b in 0..3 {
                let column = 3 * above + b;
                for row in column..24 {
                    sum[packed(row, column)] += w * half[row * 24 + 3 * corner + b];
                }
            }
        }
    }
}

/// Sum of the products of the children; `held` tells the held components of a fine node.
fn own(
    fine: &[([i32; 3], CellMatrix)],
    children: &[u32; 8],
    parts: &ChildProducts,
    held: impl Fn([i32; 3]) -> u8,
) -> Box<[f64; 300]> {
    let mut sum = Box::new([0.0; 300]);
    for (child, number) in children.iter().enumerate() {
        let Some((at, matrix)) = fine.get(*number as usize) else { continue };
        let masks: [u8; 8] = std::array::from_fn(|c| {
            held([at[0] + (c as i32 & 1), at[1] + (c as i32 >> 1 & 1), at[2] + (c as i32 >> 2)])
        });
        if let (CellMatrix::Uniform { lambda, mu }, true) = (matrix, masks == [0; 8]) {
            for ((s, l), m) in sum.iter_mut().zip(&parts.lambda[child]).zip(&parts.mu[child]) {
                *s += lambda * l + mu * m;
            }
            continue;
        }
        let mut dense = match matrix {
            CellMatrix::Uniform { lambda, mu } => cube_stiffness(*lambda, *mu, parts.spacing),
            CellMatrix::Own(own) => {
                let mut dense = Box::new([0.0; 576]);
                for i in 0..24 {
                    for j in 0..=i {
                        let value = own[packed(i, j)];
                        dense[i * 24 + j] = value;
                        dense[j * 24 + i] = value;
                    }
                }
                dense
            }
        };
        for k in (0..24).filter(|k| masks[k / 3] >> (k % 3) & 1 == 1) {
            for j in 0..24 {
                dense[k * 24 + j] = 0.0;
                dense[j * 24 + k] = 0.0;
            }
        }
        add_product(&dense, child, &mut sum[..]);
    }
    sum
}
