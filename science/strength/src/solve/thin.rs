//! Smoothing of thin cut cells: the nodes that no cell with much material holds are solved for together, cell by cell.
//!
//! The stiffness of such nodes is almost all ghost penalty, whose condition within one cell is far worse than that of block-Jacobi's 3 x 3 blocks can mend (the slowest
//! error lived there). A patch is the set of thin nodes of one cell; of an almost empty one, which hangs on penalties alone, more of its nodes and the thin ones
//! of almost empty cells beside it. Patches overlap. With R_p the choice of a patch's nodes, A_p = R_p A R_p^T and m the number
//! of patches of a node, the smoother is the sum over patches of m^-1/2 R_p^T A_p^-1 R_p m^-1/2, and block-Jacobi on all other nodes: additive
//! Schwarz, symmetric and positive (for cut cells de Prenter, Verhoosel, van Brummelen 2019, Comput Methods Appl Mech Eng 348:604-631, doi 10.1016/j.cma.2019.01.030).

use super::ghost;
use super::members::Members;
use super::operator::Fine;
use rayon::prelude::*;
use simd::{Simd, WithSimd};
use std::collections::{BTreeMap, BTreeSet};

/// Nodes whose cells all hold less material than this share are thin.
const THIN: f64 = 0.3;
/// The same for nodes of cells that are held or joined, where the hold outweighs more material, and in patches of almost empty cells.
const WEAK: f64 = 0.5;
/// Cells with less material than this share are almost empty.
const EMPTY: f64 = 0.02;

/// Place in a cell of the node in its middle.
const MIDDLE: usize = 13;

/// Some nodes solved for together.
struct Patch {
    nodes: Vec<u32>,
    /// Inverse of their stiffness, column by column, with the weights.
    inverse: Vec<f32>,
}

/// All patches.
pub(crate) struct Patches {
    all: Vec<Patch>,
    /// Nodes in patches, and the first of each one's places in what the patches give.
    nodes: Vec<u32>,
    first: Vec<u32>,
    places: Vec<u32>,
    /// What the patches give, one after the other.
    given: Vec<f32>,
}

impl Patches {
    pub(crate) fn new(fine: &Fine) -> Self {
        let sets = Shares::new(fine).sets(fine);
        let mut is_wanted = vec![false; fine.nodes];
        sets.iter().flatten().for_each(|n| is_wanted[*n as usize] = true);
        let members = Members::new(fine, |n| is_wanted[n as usize]);
        let solved = |nodes: Vec<u32>| {
            let mut matrix = members.matrix(&nodes);
            let is_positive = invert(&mut matrix, 3 * nodes.len());
            is_positive.then(|| Patch { nodes, inverse: matrix.iter().map(|x| *x as f32).collect() })
        };
        let mut all: Vec<Patch> = sets.into_par_iter().filter_map(solved).collect();
        drop(members);
        let mut places: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
        let mut length = 0;
        for n in all.iter().flat_map(|p| &p.nodes) {
            places.entry(*n).or_default().push(length);
            length += 3;
        }
        for patch in &mut all {
            let share = |n: &u32| [1.0 / (places.get(n).map_or(1, Vec::len) as f32).sqrt(); 3];
            let shares: Vec<f32> = patch.nodes.iter().flat_map(share).collect();
            for (column, a) in patch.inverse.chunks_exact_mut(shares.len()).zip(&shares) {
                column.iter_mut().zip(&shares).for_each(|(x, b)| *x *= a * b);
            }
        }
        let mut first = vec![0];
        first.extend(places.values().scan(0, |sum, p| {
            *sum += p.len() as u32;
            Some(*sum)
        }));
        let nodes = places.keys().copied().collect();
        Self { all, nodes, first, places: places.into_values().flatten().collect(), given: vec![0.0; length as usize] }
    }

    /// Nodes in patches.
    pub(crate) fn nodes(&self) -> &[u32] {
        &self.nodes
    }

    /// Multiplies all inverses.
    pub(crate) fn scale(&mut self, by: f32) {
        self.all.iter_mut().flat_map(|p| &mut p.inverse).for_each(|x| *x *= by);
    }

    /// Hands the correction of every node in a patch to `take` (node, correction).
    pub(crate) fn apply(&mut self, r: &[f32], mut take: impl FnMut(usize, [f32; 3])) {
        let mut rest = &mut self.given[..];
        let mut work = Vec::with_capacity(self.all.len());
        for patch in &self.all {
            let (own, tail) = rest.split_at_mut(3 * patch.nodes.len());
            rest = tail;
            work.push((patch, own));
        }
        let arch = simd::Arch::new();
        work.into_par_iter().with_min_len(16).for_each(|(patch, given)| {
            arch.dispatch(Multiply { patch, r, out: given });
        });
        for (k, node) in self.nodes.iter().enumerate() {
            let mut sum = [0.0; 3];
            for at in &self.places[self.first[k] as usize..self.first[k + 1] as usize] {
                let v = &self.given[*at as usize..][..3];
                (0..3).for_each(|c| sum[c] += v[c]);
            }
            take(*node as usize, sum);
        }
    }
}

/// out = inverse r. A struct and no closure, which would be compiled without the machine's vectors.
struct Multiply<'a> {
    patch: &'a Patch,
    r: &'a [f32],
    out: &'a mut [f32],
}

impl WithSimd for Multiply<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { patch, r, out } = self;
        out.fill(0.0);
        let side = out.len();
        for (n, columns) in patch.nodes.iter().zip(patch.inverse.chunks_exact(3 * side)) {
            let x = &r[3 * *n as usize..][..3];
            let (first, two) = columns.split_at(side);
            let (second, third) = two.split_at(side);
            for (((out, a), b), c) in out.iter_mut().zip(first).zip(second).zip(third) {
                *out += a * x[0] + b * x[1] + c * x[2];
            }
        }
    }
}

/// Where there is little material.
struct Shares {
    /// Greatest share of material of the cells of every node; held nodes count as whole.
    of_nodes: Vec<f64>,
    /// Nodes below this share are thin.
    limits: Vec<f64>,
    /// Share and nodes of every cut cell, by the node in its middle.
    cells: BTreeMap<u32, (f64, [u32; 27])>,
}

impl Shares {
    fn new(fine: &Fine) -> Self {
        let (mut of_nodes, mut limits) = (vec![0.0f64; fine.nodes], vec![THIN; fine.nodes]);
        let mut cells = BTreeMap::new();
        for slab in fine.slabs.iter().flatten() {
            for n in slab.whole.iter().flat_map(|b| b.cells.own()).flatten() {
                of_nodes[*n as usize] = 1.0;
            }
            for b in &slab.cut {
                for (k, nodes) in b.cells.own().iter().enumerate() {
                    let share = b.weights(k).sum::<f64>() / fine.edge.powi(3);
                    nodes.iter().for_each(|n| of_nodes[*n as usize] = of_nodes[*n as usize].max(share));
                    cells.insert(nodes[MIDDLE], (share, *nodes));
                }
            }
            for (nodes, law, _) in &slab.joints {
                let sides = fine.laws[*law as usize].sides.iter().flatten().count();
                nodes.iter().take(sides).flatten().for_each(|n| limits[*n as usize] = WEAK);
            }
        }
        fine.fixed.iter().for_each(|n| of_nodes[*n as usize] = 1.0);
        Self { of_nodes, limits, cells }
    }

    fn is_thin(&self, node: u32) -> bool {
        self.of_nodes[node as usize] < self.limits[node as usize]
    }

    fn is_empty(&self, middle: u32) -> bool {
        self.cells.get(&middle).is_some_and(|(share, _)| *share < EMPTY)
    }

    /// Nodes of the patches, in ascending order; each set once.
    fn sets(&self, fine: &Fine) -> BTreeSet<Vec<u32>> {
        let mut sets: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
        for (middle, (_, nodes)) in &self.cells {
            let all = self.is_empty(*middle);
            let is_in = |n: &u32| self.is_thin(*n) || (all && self.of_nodes[*n as usize] < WEAK);
            sets.insert(*middle, nodes.iter().copied().filter(is_in).collect());
        }
        for face in fine.slabs.iter().flatten().flat_map(|s| s.faces.own()) {
            let cells = ghost::MIDDLES.map(|k| face[k]);
            if cells.iter().all(|middle| self.is_empty(*middle)) {
                let thin: Vec<u32> = face.iter().copied().filter(|n| self.is_thin(*n)).collect();
                for middle in cells {
                    sets.entry(middle).or_default().extend(&thin);
                }
            }
        }
        sets.into_values().filter(|set| !set.is_empty()).map(|set| set.into_iter().collect()).collect()
    }
}

/// Inverse of a symmetric matrix in place, row by row; whether all pivots are positive.
fn invert(matrix: &mut [f64], side: usize) -> bool {
    simd::Arch::new().dispatch(Invert { matrix, side })
}

struct Invert<'a> {
    matrix: &'a mut [f64],
    side: usize,
}

impl WithSimd for Invert<'_> {
    type Output = bool;

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) -> bool {
        let Self { matrix, side } = self;
        let mut row = vec![0.0; side];
        for k in 0..side {
            let pivot = matrix[k * side + k];
            if pivot.is_nan() || pivot <= 0.0 {
                return false;
            }
            row.copy_from_slice(&matrix[k * side..][..side]);
            row.iter_mut().for_each(|x| *x /= pivot);
            row[k] = 1.0 / pivot;
            for i in 0..side {
                let other = &mut matrix[i * side..][..side];
                if i == k {
                    other.copy_from_slice(&row);
                    continue;
                }
                let factor = other[k];
                other[k] = 0.0;
                for (x, r) in other.iter_mut().zip(&row) {
                    *x -= factor * r;
                }
            }
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inverse_gives_back_the_identity_and_a_matrix_that_is_not_positive_is_refused() {
        let side = 7;
        let half: Vec<f64> = (0..side * side).map(|k| (k * k * 37 + 11 * k) as f64 % 101.0 - 50.0).collect();
        let entry = |i: usize, j: usize| (0..side).map(|k| half[i * side + k] * half[j * side + k]).sum::<f64>();
        let matrix: Vec<f64> = (0..side * side).map(|k| entry(k / side, k % side)).collect();
        let mut inverse = matrix.clone();
        assert!(invert(&mut inverse, side));
        for i in 0..side {
            for j in 0..side {
                let one: f64 = (0..side).map(|k| matrix[i * side + k] * inverse[k * side + j]).sum();
                assert!((one - f64::from(u8::from(i == j))).abs() < 1e-6, "{i} {j}: {one}");
            }
        }
        let mut bad = matrix;
        bad[3 * side + 3] = -1.0;
        assert!(!invert(&mut bad, side));
    }
}
