//! Patches of the next coarser level: S' = P^T S P on the coarse nodes around a patch's own, those of the same nodes summed.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::coarsen::{Held, parents};
use super::nodes::{Nodes, RowTable};
use super::system::{CellMatrix, Patch, PatchMatrix, TrilinearSystem, packed, packed_len};

/// Nodes of a patch, in order.
type PatchNodes = Vec<(u32, [i32; 3])>;
/// Packed matrices of the patches on the same nodes; true for full ones.
type Sums = BTreeMap<(PatchNodes, bool), Vec<f64>>;

/// Patches on the coarse nodes, those of the same nodes and form summed: (nodes, is full) to packed matrix.
pub(super) fn coarse_patches(system: &TrilinearSystem, nodes: &Nodes, held: &Held) -> Sums {
    let products: Vec<((PatchNodes, bool), Vec<f64>)> =
        system.patches.par_iter().with_min_len(64).map(|patch| coarse_patch(patch, nodes, held)).collect();
    let mut sums: Sums = BTreeMap::new();
    for (key, matrix) in products {
        match sums.entry(key) {
            std::collections::btree_map::Entry::Vacant(v) => {
                v.insert(matrix);
            }
            std::collections::btree_map::Entry::Occupied(mut o) => {
                o.get_mut().iter_mut().zip(&matrix).for_each(|(s, m)| *s += m);
            }
        }
    }
    sums
}

fn coarse_patch(patch: &Patch, nodes: &Nodes, held: &Held) -> ((PatchNodes, bool), Vec<f64>) {
    let mask = |(field, at): &(u32, [i32; 3])| nodes.find(*field, *at).and_then(|n| held.get(n)).copied().unwrap_or(0);
    let masks: Vec<u8> = patch.nodes.iter().map(mask).collect();
    let full = matches!(patch.matrix, PatchMatrix::Full(_)) || masks.iter().any(|m| *m != 0 && *m != 7);
    let above: Vec<Vec<([i32; 3], f64)>> = patch.nodes.iter().map(|(_, at)| parents(*at)).collect();
    let from = || patch.nodes.iter().map(|(field, _)| *field).zip(&above);
    let mut coarse: PatchNodes = from().flat_map(|(field, list)| list.iter().map(move |(p, _)| (field, *p))).collect();
    coarse.sort_unstable();
    coarse.dedup();
    let d = if full { 3 } else { 1 };
    let width = coarse.len() * d;
    // First coarse unknown and weight of each parent of each node.
    let place: Vec<Vec<(usize, f64)>> = from()
        .map(|(field, list)| list.iter().map(|(p, w)| (d * coarse.partition_point(|c| *c < (field, *p)), *w)).collect())
        .collect();
    let fine = free_matrix(patch, &masks, d);
    // S P, row by row of the fine patch, then P^T of that.
    let mut half = vec![0.0; patch.nodes.len() * d * width];
    for (row, half) in fine.chunks_exact(patch.nodes.len() * d).zip(half.chunks_exact_mut(width)) {
        for (values, columns) in row.chunks_exact(d).zip(&place) {
            for (at, w) in columns {
                half[*at..at + d].iter_mut().zip(values).for_each(|(h, v)| *h += w * v);
            }
        }
    }
    let mut sum = vec![0.0; packed_len(width)];
    for (list, rows) in place.iter().zip(half.chunks_exact(d * width)) {
        for (at, w) in list {
            for (row, half) in (*at..).zip(rows.chunks_exact(width)) {
                let out = &mut sum[packed(row, 0)..=packed(row, row)];
                out.iter_mut().zip(half).for_each(|(s, h)| *s += w * h);
            }
        }
    }
    ((coarse, full), sum)
}

/// All entries of a patch with `d` unknowns a node, row by row; zero where a held one takes part.
fn free_matrix(patch: &Patch, masks: &[u8], d: usize) -> Vec<f64> {
    let width = patch.nodes.len() * d;
    let free = |k: usize| if d == 3 { masks[k / 3] >> (k % 3) & 1 == 0 } else { masks[k] == 0 };
    let mut all = vec![0.0; width * width];
    for i in (0..width).filter(|i| free(*i)) {
        for j in (0..=i).filter(|j| free(*j)) {
            let value = patch.entry(i / d, i % d, j / d, j % d);
            all[i * width + j] = value;
            all[j * width + i] = value;
        }
    }
    all
}

/// Adds patches that lie within one cell that has a matrix of its own to that cell; the others stay patches.
pub(super) fn take_in(patches: Sums, coarse: &mut TrilinearSystem) {
    let tables: Vec<RowTable> =
        coarse.fields.iter().map(|f| RowTable::new(f.cells.iter().map(|(at, _)| [at[1], at[2]]), 0)).collect();
    for ((nodes, full), matrix) in patches {
        if let Some(own) = lone_cell(&nodes, &tables, coarse) {
            let (low, own) = own;
            let corner = |i: usize| (0..3).map(|d| ((nodes[i].1[d] - low[d]) as usize) << d).sum::<usize>();
            let d = if full { 3 } else { 1 };
            for i in 0..nodes.len() * d {
                for j in 0..=i {
                    let value = matrix[packed(i, j)];
                    let (p, q) = (corner(i / d), corner(j / d));
                    if full {
                        own[packed(3 * p + i % 3, 3 * q + j % 3)] += value;
                    } else {
                        for a in 0..3 {
                            own[packed(3 * p + a, 3 * q + a)] += value;
                        }
                    }
                }
            }
            continue;
        }
        let matrix = if full { PatchMatrix::Full(matrix) } else { PatchMatrix::Scalar(matrix) };
        coarse.patches.push(Patch { nodes, matrix });
    }
}

/// Lowest corner and matrix of the cell that holds all nodes and has a matrix of its own.
fn lone_cell<'a>(
    nodes: &PatchNodes,
    tables: &[RowTable],
    coarse: &'a mut TrilinearSystem,
) -> Option<([i32; 3], &'a mut Box<[f64; 300]>)> {
    let field = nodes.first()?.0;
    let mut low = nodes[0].1;
    let mut high = low;
    for (f, at) in nodes {
        if *f != field {
            return None;
        }
        for d in 0..3 {
            low[d] = low[d].min(at[d]);
            high[d] = high[d].max(at[d]);
        }
    }
    if (0..3).any(|d| high[d] - low[d] != 1) {
        return None;
    }
    let row = tables[field as usize].row(low[1], low[2]);
    let cells = &mut coarse.fields[field as usize].cells[row];
    let at = cells.binary_search_by_key(&low[0], |(at, _)| at[0]).ok()?;
    match &mut cells[at].1 {
        CellMatrix::Own(own) => Some((low, own)),
        CellMatrix::Uniform { .. } => None,
    }
}
