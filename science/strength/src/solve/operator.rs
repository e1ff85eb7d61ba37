//! The stiffness of all bodies on quadratic nodes: whole cells, cut cells, ghost faces and joints, applied without matrices, laid out in slabs (`slabs`).
//! Vectors hold unknown (node n, component c) at 3 n + c.

use super::batch::{Batch, LANES};
use super::coarse::Parts;
use super::diagonal::{add_blocks, diagonal_of, gradients, inverse};
use super::ghost;
use super::joint::{Law, Point};
use super::joint_product::product as joint_product;
use super::kernel::{self, Table, whole_weights};
use super::slabs::{Slab, slabs};
use super::whole::Symmetric;
use crate::multigrid::{LinearOperator, Real};
use rayon::prelude::*;
use simd::{Simd, WithSimd};

/// A number type with its own copy of weights and matrices.
trait Weighed: Real {
    fn rows(batch: &Batch) -> &[[Self; LANES]];
    fn whole(fine: &Fine) -> &[Symmetric<Self>];
}

impl Weighed for f32 {
    fn rows(batch: &Batch) -> &[[Self; LANES]] {
        &batch.rough
    }
    fn whole(fine: &Fine) -> &[Symmetric<Self>] {
        &fine.rough
    }
}

impl Weighed for f64 {
    fn rows(batch: &Batch) -> &[[Self; LANES]] {
        &batch.exact
    }
    fn whole(fine: &Fine) -> &[Symmetric<Self>] {
        &fine.exact
    }
}

/// The stiffness.
pub(crate) struct Fine {
    pub nodes: usize,
    pub(super) edge: f64,
    pub(super) lame: Vec<(f64, f64)>,
    pub(super) laws: Vec<Law>,
    pub(super) points: Vec<Point>,
    pub(super) slabs: [Vec<Slab>; 2],
    /// Whole cells of every body.
    rough: Vec<Symmetric<f32>>,
    exact: Vec<Symmetric<f64>>,
    /// Nodes whose displacement is given exactly.
    pub fixed: Vec<u32>,
}

impl Fine {
    pub(crate) fn new(p: &Parts) -> Self {
        Self {
            nodes: p.lattice.places.len(),
            edge: p.edge,
            lame: p.lame.to_vec(),
            laws: p.laws.to_vec(),
            points: p.points.to_vec(),
            slabs: slabs(p),
            rough: p.lame.iter().map(|l| Symmetric::new(p.edge, *l)).collect(),
            exact: p.lame.iter().map(|l| Symmetric::new(p.edge, *l)).collect(),
            fixed: p.fixed.to_vec(),
        }
    }

    /// y = A x; rows of fixed nodes are zero.
    #[allow(private_bounds, reason = "f32 and f64 only")]
    pub(crate) fn product<T: Weighed>(&self, x: &[T], y: &mut [T]) {
        self.product_of_all(x, y);
        for &n in &self.fixed {
            y[3 * n as usize..][..3].fill(T::default());
        }
    }

    /// y = A x, rows of fixed nodes as well.
    #[allow(private_bounds, reason = "f32 and f64 only")]
    pub(crate) fn product_of_all<T: Weighed>(&self, x: &[T], y: &mut [T]) {
        y.par_chunks_mut(1 << 14).for_each(|c| c.fill(T::default()));
        for parity in &self.slabs {
            let mut rest = &mut *y;
            let mut done = 0;
            let mut work = Vec::with_capacity(parity.len());
            for slab in parity {
                let (_, tail) = rest.split_at_mut(3 * slab.nodes.start - done);
                let (own, tail) = tail.split_at_mut(3 * slab.nodes.len());
                (rest, done) = (tail, 3 * slab.nodes.end);
                work.push((slab, own));
            }
            work.into_par_iter().for_each(|(slab, y)| simd::Arch::new().dispatch(Apply { fine: self, slab, x, y }));
        }
    }

    /// Inverses of the 3 x 3 diagonal blocks (xx, yy, zz, xy, yz, zx), nothing at fixed nodes.
    pub(crate) fn inverses(&self) -> Vec<[f32; 6]> {
        let mut d = vec![[0.0; 9]; self.nodes];
        let weights = whole_weights().map(|w| w * self.edge.powi(3));
        let [even, odd] = &self.slabs;
        for slab in even.iter().chain(odd) {
            for b in &slab.whole {
                let blocks = diagonal_of(&weights, &gradients::<3>(self.edge), self.lame[b.field]);
                b.cells.own().iter().for_each(|nodes| add_blocks(&mut d, nodes, &blocks));
            }
            for b in &slab.cut {
                let g = gradients::<5>(self.edge);
                let all: Vec<[[f64; 9]; 27]> = (0..b.cells.count)
                    .into_par_iter()
                    .map(|k| diagonal_of(&b.weights(k).collect::<Vec<_>>(), &g, self.lame[b.field]))
                    .collect();
                b.cells.nodes.iter().zip(&all).for_each(|(nodes, blocks)| add_blocks(&mut d, nodes, blocks));
            }
            for (nodes, factor) in slab.faces.nodes.iter().zip(&slab.factors) {
                for (k, n) in nodes.iter().enumerate() {
                    let v = factor * ghost::entry([k / 9, k % 9], [k / 9, k % 9]);
                    [0, 4, 8].into_iter().for_each(|i| d[*n as usize][i] += v);
                }
            }
            for (nodes, law, points) in &slab.joints {
                let law = &self.laws[*law as usize];
                let mut blocks = [[0.0; 9]; 54];
                self.points[points.clone()].iter().for_each(|p| law.diagonal(p, &mut blocks));
                let sides = if law.sides[1].is_some() { 54 } else { 27 };
                for (n, b) in nodes.iter().flatten().zip(&blocks[..sides]) {
                    d[*n as usize].iter_mut().zip(b).for_each(|(d, b)| *d += b);
                }
            }
        }
        let mut out: Vec<[f32; 6]> = d.iter().map(inverse).collect();
        self.fixed.iter().for_each(|n| out[*n as usize] = [0.0; 6]);
        out
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        let slab = |s: &Slab| {
            let batches: usize = s.whole.iter().chain(&s.cut).map(Batch::bytes).sum();
            batches + s.faces.nodes.len() * 188 + s.joints.len() * 240
        };
        self.slabs.iter().flatten().map(slab).sum::<usize>() + self.points.len() * size_of::<Point>()
    }
}

impl LinearOperator for Fine {
    fn unknowns(&self) -> usize {
        3 * self.nodes
    }
    fn apply(&self, x: &[f64], y: &mut [f64]) {
        self.product(x, y);
    }
}

/// The work of one slab; `y` begins at its first node.
struct Apply<'a, T> {
    fine: &'a Fine,
    slab: &'a Slab,
    x: &'a [T],
    y: &'a mut [T],
}

impl<T: Weighed> WithSimd for Apply<'_, T> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) {
        let Self { fine, slab, x, y } = self;
        let base = slab.nodes.start;
        for b in &slab.whole {
            T::whole(fine)[b.field].add(simd, &b.cells, x, base, y);
        }
        let table: Table<T> = Table::new(fine.edge);
        for b in &slab.cut {
            let (l, m) = fine.lame[b.field];
            kernel::add(simd, &table, [T::of(l), T::of(m)], &b.cells, T::rows(b), x, base, y);
        }
        ghost::add(simd, &slab.faces, &slab.factors, x, base, y);
        for (nodes, law, points) in &slab.joints {
            let law = &fine.laws[*law as usize];
            let sides = if law.sides[1].is_some() { 2 } else { 1 };
            let (mut u, mut v) = ([[T::default(); 81]; 2], [[T::default(); 81]; 2]);
            for (u, nodes) in u.iter_mut().zip(nodes).take(sides) {
                for (u, n) in u.chunks_exact_mut(3).zip(nodes) {
                    u.copy_from_slice(&x[3 * *n as usize..][..3]);
                }
            }
            joint_product(simd, law, &fine.points[points.clone()], &u, &mut v);
            for (v, nodes) in v.iter().zip(nodes).take(sides) {
                for (v, n) in v.chunks_exact(3).zip(nodes) {
                    let to = &mut y[3 * (*n as usize - base)..][..3];
                    (0..3).for_each(|c| to[c] += v[c]);
                }
            }
        }
    }
}
