//! The part of the stiffness that is not made of equal cubes, assembled as 3 x 3 blocks by node row.
//!
//! Holds cells with a matrix of their own and patches; the direct solve asks for the uniform cells as well.

use std::ops::Range;

use rayon::prelude::*;

use super::element::Cubes;
use super::error::SolveError;
use super::nodes::Nodes;
use super::real::Real;
use super::system::{CellMatrix, TrilinearSystem, packed};

/// Block rows of the nodes that have any, in the order of nodes.
#[derive(Debug, Clone, Default)]
pub(crate) struct BlockRows<V> {
    /// Node of each row.
    pub node: Vec<u32>,
    /// Where each row's blocks begin; one more than rows.
    pub first: Vec<usize>,
    /// Column node of each block.
    pub column: Vec<u32>,
    /// Blocks, row by row.
    pub block: Vec<[V; 9]>,
}

/// One member of the sum: a cell or a patch, with the numbers of its nodes.
struct Member<'a> {
    nodes: Range<usize>,
    entries: Entries<'a>,
}

enum Entries<'a> {
    Uniform(usize),
    Own(&'a [f64; 300]),
    Patch(usize),
}

impl<V: Real> BlockRows<V> {
    /// Sum of cells with their own matrix and patches, and of uniform cells if `uniform`.
    pub(crate) fn assemble(system: &TrilinearSystem, nodes: &Nodes, uniform: bool) -> Result<Self, SolveError> {
        let mut members = Vec::new();
        let mut corner = Vec::new();
        let mut cubes = Cubes::new(system.spacing);
        for (number, field) in system.fields.iter().enumerate() {
            for (at, matrix) in &field.cells {
                let entries = match matrix {
                    CellMatrix::Own(own) => Entries::Own(own),
                    CellMatrix::Uniform { .. } if !uniform => continue,
                    CellMatrix::Uniform { lambda, mu } => Entries::Uniform(cubes.number(*lambda, *mu)),
                };
                let begin = corner.len();
                for k in 0..8 {
                    let place = [at[0] + (k & 1), at[1] + (k >> 1 & 1), at[2] + (k >> 2)];
                    corner.push(find(nodes, "cell", number as u32, place)?);
                }
                members.push(Member { nodes: begin..corner.len(), entries });
            }
        }
        for (number, patch) in system.patches.iter().enumerate() {
            let begin = corner.len();
            for (field, at) in &patch.nodes {
                corner.push(find(nodes, "patch", *field, *at)?);
            }
            members.push(Member { nodes: begin..corner.len(), entries: Entries::Patch(number) });
        }
        Ok(sum_rows(&members, &corner, nodes.count, |member, i, j, block| match &member.entries {
            Entries::Uniform(known) => add_block(block, |a, b| cubes.entry(*known, 3 * i + a, 3 * j + b)),
            Entries::Own(own) => add_block(block, |a, b| own[packed(3 * i + a, 3 * j + b)]),
            Entries::Patch(number) => add_block(block, |a, b| system.patches[*number].entry(i, a, j, b)),
        }))
    }

    /// Rows whose node lies in `nodes`.
    pub(crate) fn rows_of(&self, nodes: &Range<usize>) -> Range<usize> {
        self.node.partition_point(|n| (*n as usize) < nodes.start)
            ..self.node.partition_point(|n| (*n as usize) < nodes.end)
    }

    /// Product of one row with `x` (component by component, `count` nodes each).
    #[inline(always)]
    pub(crate) fn row_product<T: Real>(&self, row: usize, x: [&[T]; 3]) -> [T; 3] {
        let range = self.first[row]..self.first[row + 1];
        let mut total = [T::default(); 3];
        for (column, block) in self.column[range.clone()].iter().zip(&self.block[range]) {
            let at = *column as usize;
            let u = [x[0][at], x[1][at], x[2][at]];
            for a in 0..3 {
                total[a] += T::of(block[3 * a].wide()) * u[0]
                    + T::of(block[3 * a + 1].wide()) * u[1]
                    + T::of(block[3 * a + 2].wide()) * u[2];
            }
        }
        total
    }

    /// Places, in a vector of `count` nodes, of unknowns that have no stiffness at all.
    pub(crate) fn idle(&self, count: usize) -> Vec<u32> {
        let mut idle = vec![true; 3 * count];
        for (row, &node) in self.node.iter().enumerate() {
            let range = self.first[row]..self.first[row + 1];
            if let Ok(k) = self.column[range.clone()].binary_search(&node) {
                let block = &self.block[range.start + k];
                (0..3).for_each(|c| idle[c * count + node as usize] = block[4 * c].wide() == 0.0);
            }
        }
        (0..3 * count as u32).filter(|at| idle[*at as usize]).collect()
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        self.node.len() * 4 + self.first.len() * 8 + self.column.len() * 4 + self.block.len() * size_of::<[V; 9]>()
    }
}

fn find(nodes: &Nodes, what: &'static str, field: u32, at: [i32; 3]) -> Result<u32, SolveError> {
    nodes.find(field, at).map(|n| n as u32).ok_or(SolveError::NoSuchNode { what, field, at })
}

#[inline(always)]
fn add_block(block: &mut [f64; 9], entry: impl Fn(usize, usize) -> f64) {
    for a in 0..3 {
        for b in 0..3 {
            block[3 * a + b] += entry(a, b);
        }
    }
}

/// Sums the members' blocks row by row; each row in the order of its members, so the same bytes at any thread count.
fn sum_rows<V: Real>(
    members: &[Member<'_>],
    corner: &[u32],
    count: usize,
    add: impl Fn(&Member<'_>, usize, usize, &mut [f64; 9]) + Sync,
) -> BlockRows<V> {
    let mut first = vec![0usize; count + 1];
    for &node in corner {
        first[node as usize + 1] += 1;
    }
    for k in 0..count {
        first[k + 1] += first[k];
    }
    let mut of_node = vec![(0u32, 0u32); corner.len()];
    let mut next = first.clone();
    for (number, member) in members.iter().enumerate() {
        for (local, &node) in corner[member.nodes.clone()].iter().enumerate() {
            of_node[next[node as usize]] = (number as u32, local as u32);
            next[node as usize] += 1;
        }
    }
    drop(next);
    let step = count.div_ceil(32).max(512);
    let parts: Vec<BlockRows<V>> = (0..count.div_ceil(step))
        .into_par_iter()
        .map(|part| {
            let mut slot = vec![u32::MAX; count];
            let mut rows = BlockRows { node: Vec::new(), first: vec![0], column: Vec::new(), block: Vec::new() };
            let mut columns: Vec<u32> = Vec::new();
            let mut sums: Vec<[f64; 9]> = Vec::new();
            for node in part * step..((part + 1) * step).min(count) {
                let mine = &of_node[first[node]..first[node + 1]];
                if mine.is_empty() {
                    continue;
                }
                columns.clear();
                sums.clear();
                for &(number, i) in mine {
                    let member = &members[number as usize];
                    for (j, &column) in corner[member.nodes.clone()].iter().enumerate() {
                        let at = &mut slot[column as usize];
                        if *at == u32::MAX {
                            *at = columns.len() as u32;
                            columns.push(column);
                            sums.push([0.0; 9]);
                        }
                        add(member, i as usize, j, &mut sums[*at as usize]);
                    }
                }
                rows.node.push(node as u32);
                let mut order: Vec<u32> = (0..columns.len() as u32).collect();
                order.sort_unstable_by_key(|k| columns[*k as usize]);
                for k in order {
                    rows.column.push(columns[k as usize]);
                    rows.block.push(sums[k as usize].map(V::of));
                }
                rows.first.push(rows.column.len());
                for column in &columns {
                    slot[*column as usize] = u32::MAX;
                }
            }
            rows
        })
        .collect();
    let mut all = BlockRows { node: Vec::new(), first: vec![0], column: Vec::new(), block: Vec::new() };
    for part in parts {
        let base = all.column.len();
        all.node.extend(part.node);
        all.first.extend(part.first[1..].iter().map(|f| f + base));
        all.column.extend(part.column);
        all.block.extend(part.block);
    }
    all
}
