//! Members of the stiffness (cut cells, ghost faces, joints) as matrices between some of their nodes.

use super::diagonal::gradients;
use super::ghost;
use super::joint::{Law, Point};
use super::operator::Fine;
use rayon::prelude::*;
use simd::{Simd, WithSimd};
use std::collections::{BTreeMap, BTreeSet};

/// Members with nodes that are wanted.
pub(crate) struct Members {
    all: Vec<Member>,
    by_node: BTreeMap<u32, Vec<usize>>,
}

/// Wanted nodes of a member and the blocks between them.
struct Member {
    nodes: Vec<u32>,
    blocks: Blocks,
}

enum Blocks {
    /// Row by row, columns up to the row.
    Lower(Vec<[f64; 9]>),
    /// A ghost face: its factor, and place on the face of every node.
    Face(f64, Vec<[usize; 2]>),
}

impl Member {
    /// Block between two of its nodes.
    fn block(&self, i: usize, j: usize) -> [f64; 9] {
        match &self.blocks {
            Blocks::Lower(all) if i >= j => all[i * (i + 1) / 2 + j],
            Blocks::Lower(all) => {
                let m = all[j * (j + 1) / 2 + i];
                [m[0], m[3], m[6], m[1], m[4], m[7], m[2], m[5], m[8]]
            }
            Blocks::Face(factor, places) => {
                let v = factor * ghost::entry(places[i], places[j]);
                [v, 0.0, 0.0, 0.0, v, 0.0, 0.0, 0.0, v]
            }
        }
    }
}

impl Members {
    /// All members with nodes that `wanted` tells, which stand in no whole cell.
    pub(crate) fn new(fine: &Fine, wanted: impl Fn(u32) -> bool + Sync) -> Self {
        let slopes = gradients::<5>(fine.edge);
        let mut all = vec![];
        for slab in fine.slabs.iter().flatten() {
            for b in &slab.cut {
                let own = b.cells.own().par_iter().enumerate().filter_map(|(k, nodes)| {
                    let local = chosen(nodes, &wanted)?;
                    let blocks = cell(&b.weights(k).collect::<Vec<_>>(), &slopes, fine.lame[b.field], &local);
                    Some(Member { nodes: local.iter().map(|i| nodes[*i]).collect(), blocks: Blocks::Lower(blocks) })
                });
                all.par_extend(own);
            }
            all.extend(slab.faces.own().iter().zip(&slab.factors).filter_map(|(nodes, factor)| {
                let local = chosen(nodes, &wanted)?;
                let places = local.iter().map(|i| [i / 9, i % 9]).collect();
                Some(Member { nodes: local.iter().map(|i| nodes[*i]).collect(), blocks: Blocks::Face(*factor, places) })
            }));
            all.par_extend(slab.joints.par_iter().flat_map_iter(|(nodes, law, points)| {
                let law = &fine.laws[*law as usize];
                let sides = nodes.iter().enumerate().take(law.sides.iter().flatten().count());
                sides.filter_map(|(k, nodes)| {
                    let local = chosen(nodes, &wanted)?;
                    let blocks = joint(law, k, &fine.points[points.clone()], &local);
                    Some(Member { nodes: local.iter().map(|i| nodes[*i]).collect(), blocks: Blocks::Lower(blocks) })
                })
            }));
        }
        let mut by_node: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
        for (k, member) in all.iter().enumerate() {
            member.nodes.iter().for_each(|n| by_node.entry(*n).or_default().push(k));
        }
        Self { all, by_node }
    }

    /// Stiffness between nodes of one body (ascending), row by row.
    pub(crate) fn matrix(&self, nodes: &[u32]) -> Vec<f64> {
        let side = 3 * nodes.len();
        let mut out = vec![0.0; side * side];
        let members: BTreeSet<usize> = nodes.iter().filter_map(|n| self.by_node.get(n)).flatten().copied().collect();
        for member in members.iter().map(|k| &self.all[*k]) {
            let all = member.nodes.iter().enumerate();
            let both: Vec<(usize, usize)> = all.filter_map(|(i, n)| Some((nodes.binary_search(n).ok()?, i))).collect();
            for (row, i) in &both {
                for (column, j) in &both {
                    for (k, v) in member.block(*i, *j).into_iter().enumerate() {
                        out[(3 * row + k / 3) * side + 3 * column + k % 3] += v;
                    }
                }
            }
        }
        out
    }
}

/// Places of wanted nodes; `None` without any.
fn chosen(nodes: &[u32], wanted: impl Fn(u32) -> bool) -> Option<Vec<usize>> {
    let local: Vec<usize> = (0..nodes.len()).filter(|i| wanted(nodes[*i])).collect();
    (!local.is_empty()).then_some(local)
}

/// sum += f_k x g_k over rows k of `side` numbers in `from` and `to`: the lower triangle and a little more. A struct and no closure, which would be compiled
/// without the machine's vectors.
struct Outer<'a> {
    sum: &'a mut [f64],
    from: &'a [f64],
    to: &'a [f64],
    side: usize,
}

impl WithSimd for Outer<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { sum, from, to, side } = self;
        for (f, g) in from.chunks_exact(side).zip(to.chunks_exact(side)) {
            for i in 0..side {
                let upto = (i + 3).min(side);
                let (row, f) = (&mut sum[i * side..][..upto], f[i]);
                for (sum, g) in row.iter_mut().zip(&g[..upto]) {
                    *sum += f * g;
                }
            }
        }
    }
}

/// Lower blocks from a function of two nodes.
fn lower(count: usize, block: impl Fn(usize, usize) -> [f64; 9]) -> Vec<[f64; 9]> {
    (0..count).flat_map(|i| (0..=i).map(move |j| (i, j))).map(|(i, j)| block(i, j)).collect()
}

/// Blocks of a cell's stiffness.
fn cell(weights: &[f64], slopes: &[[[f64; 3]; 27]], (lambda, mu): (f64, f64), local: &[usize]) -> Vec<[f64; 9]> {
    let side = 3 * local.len();
    let (mut from, mut to) = (Vec::with_capacity(125 * side), Vec::with_capacity(125 * side));
    for (w, slopes) in weights.iter().zip(slopes) {
        for g in local.iter().flat_map(|n| slopes[*n]) {
            from.push(w * g);
            to.push(g);
        }
    }
    let mut moment = vec![0.0; side * side];
    simd::Arch::new().dispatch(Outer { sum: &mut moment, from: &from, to: &to, side });
    lower(local.len(), |i, j| {
        let m = |a: usize, b: usize| moment[(3 * i + a) * side + 3 * j + b];
        let trace = mu * (m(0, 0) + m(1, 1) + m(2, 2));
        std::array::from_fn(|k| {
            let (a, b) = (k / 3, k % 3);
            lambda * m(a, b) + mu * m(b, a) + if a == b { trace } else { 0.0 }
        })
    })
}

/// Blocks of a joint's stiffness between nodes of one side.
fn joint(law: &Law, side_of: usize, points: &[Point], local: &[usize]) -> Vec<[f64; 9]> {
    let side = 3 * local.len();
    let mut sum = vec![0.0; side * side];
    let (mut from, mut to) = (vec![0.0; 6 * side], vec![0.0; 6 * side]);
    for p in points {
        let all = law.side_at(p, side_of);
        for (k, (jump, t)) in local.iter().flat_map(|n| &all[3 * n..3 * n + 3]).enumerate() {
            let (on_jump, on_pull) = law.dual(p.normal, *jump, *t);
            for c in 0..3 {
                (from[c * side + k], to[c * side + k]) = (p.area * on_jump[c], jump[c]);
                (from[(c + 3) * side + k], to[(c + 3) * side + k]) = (p.area * on_pull[c], t[c]);
            }
        }
        simd::Arch::new().dispatch(Outer { sum: &mut sum, from: &from, to: &to, side });
    }
    lower(local.len(), |i, j| std::array::from_fn(|k| sum[(3 * i + k / 3) * side + 3 * j + k % 3]))
}
