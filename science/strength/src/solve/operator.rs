//! The stiffness of all bodies on quadratic nodes: whole cells, cut cells, ghost faces and joints, applied without matrices.
//!
//! Work is laid out in slabs of cell layers along z. A slab writes one layer beyond its own, so even slabs run first and odd ones after: every sum has
//! one order, whatever the number of threads. Vectors hold unknown (node n, component c) at 3 n + c.

use super::diagonal::{add_blocks, diagonal_of, gradients, inverse};
use super::ghost;
use super::joint::{Joint, Law, Point, product as joint_product};
use super::kernel::{Table, Weights, cut_table, product, whole_table, whole_weights};
use super::lattice::{Cell, Lattice};
use crate::multigrid::{LinearOperator, Real};
use rayon::prelude::*;
use simd::{Simd, WithSimd};
use std::collections::HashSet;
use std::ops::Range;

/// Cells of a block: whole numbers of vectors on every machine.
const LANES: usize = 16;
/// Cells a slab should hold at least.
const SLAB: usize = 256;

/// Cells of one body in one slab, filled up to whole blocks by repeating the last one.
struct Batch {
    field: usize,
    nodes: Vec<[u32; 27]>,
    /// Cells that are not filling.
    count: usize,
    /// Weights by block and point (125 rows a block); empty for whole cells.
    rough: Vec<[f32; LANES]>,
    exact: Vec<[f64; LANES]>,
}

/// A number type with its own copy of the weights.
trait Weighed: Real {
    fn rows(batch: &Batch) -> &[[Self; LANES]];
}

impl Weighed for f32 {
    fn rows(batch: &Batch) -> &[[Self; LANES]] {
        &batch.rough
    }
}

impl Weighed for f64 {
    fn rows(batch: &Batch) -> &[[Self; LANES]] {
        &batch.exact
    }
}

/// A ghost face: its nodes and its factor.
struct Face {
    nodes: [[u32; 9]; 5],
    factor: f64,
}

struct Slab {
    nodes: Range<usize>,
    whole: Vec<Batch>,
    cut: Vec<Batch>,
    faces: Vec<Face>,
    joints: Vec<([[u32; 27]; 2], u32, Range<usize>)>,
}

/// The stiffness.
pub(crate) struct Fine {
    pub nodes: usize,
    edge: f64,
    lame: Vec<(f64, f64)>,
    laws: Vec<Law>,
    points: Vec<Point>,
    slabs: [Vec<Slab>; 2],
    /// Nodes whose displacement is given exactly.
    pub fixed: Vec<u32>,
}

/// A ghost face by its cells: field, lower and upper cell, axis; and how many times the usual penalty it has.
pub(crate) type FaceOf = (usize, usize, usize, usize, f64);

/// Cells with less material than this share that are held or joined need more of the penalty: what a hold gives away must be less than what it adds (`joint`).
const THIN: f64 = 0.25;
const FIRMER: f64 = 4.0;

/// Ghost faces: every face of a cut cell towards another active one that it touches.
pub(crate) fn faces(lattice: &Lattice, edge: f64, joints: &[Joint], joint_fields: &[[usize; 2]]) -> Vec<FaceOf> {
    let held: HashSet<(usize, u32)> =
        joints.iter().zip(joint_fields).flat_map(|(j, f)| [(f[0], j.cells[0]), (f[1], j.cells[1])]).collect();
    let mut out = vec![];
    for (n, field) in lattice.fields.iter().enumerate() {
        let is_thin = |a: usize| held.contains(&(n, a as u32)) && field.cells[a].share(edge) < THIN;
        for (a, cell) in field.cells.iter().enumerate() {
            for axis in 0..3 {
                let mut beside = cell.at;
                beside[axis] += 1;
                for b in field.parts_at(beside).filter(|b| field.links.are_linked(a, *b)) {
                    if cell.weights.is_some() || field.cells[b].weights.is_some() {
                        out.push((n, a, b, axis, if is_thin(a) || is_thin(b) { FIRMER } else { 1.0 }));
                    }
                }
            }
        }
    }
    out
}

impl Fine {
    pub(crate) fn new(
        lattice: &Lattice,
        edge: f64,
        lame: Vec<(f64, f64)>,
        (laws, points): (Vec<Law>, Vec<Point>),
        (joints, joint_fields): (&[Joint], &[[usize; 2]]),
        ghosts: &[FaceOf],
    ) -> Self {
        let layers = || lattice.fields.iter().flat_map(|f| &f.cells).map(|c| c.at[2]);
        let (low, high) = (layers().min().unwrap_or(0), layers().max().unwrap_or(0));
        let mut count = vec![0usize; (high - low + 1) as usize];
        layers().for_each(|z| count[(z - low) as usize] += 1);
        let total: usize = count.iter().sum();
        let least = SLAB.max(total / 48);
        // Slabs of two layers or more.
        let (mut ends, mut held, mut start) = (vec![], 0, low);
        for z in low..=high {
            held += count[(z - low) as usize];
            if z - start >= 1 && held >= least && high - z >= 2 {
                ends.push(z + 1);
                (held, start) = (0, z + 1);
            }
        }
        ends.push(high + 1);
        let slab_of = |z: i32| ends.partition_point(|e| *e <= z);
        let mut slabs: Vec<Slab> = ends
            .iter()
            .enumerate()
            .map(|(n, &end)| {
                let begin = if n == 0 { low } else { ends[n - 1] };
                let first = lattice.places.partition_point(|p| p.1[2] < 2 * begin);
                let last = lattice.places.partition_point(|p| p.1[2] <= 2 * end + 2);
                Slab { nodes: first..last, whole: vec![], cut: vec![], faces: vec![], joints: vec![] }
            })
            .collect();
        for (n, field) in lattice.fields.iter().enumerate() {
            for (k, slab) in slabs.iter_mut().enumerate() {
                let begin = field.cells.partition_point(|c| slab_of(c.at[2]) < k);
                let end = field.cells.partition_point(|c| slab_of(c.at[2]) <= k);
                let cells = &field.cells[begin..end];
                slab.whole.extend(batch(n, cells.iter().filter(|c| c.weights.is_none()).collect()));
                slab.cut.extend(batch(n, cells.iter().filter(|c| c.weights.is_some()).collect()));
            }
        }
        for &(n, a, b, axis, times) in ghosts {
            let field = &lattice.fields[n];
            let factor = times * (lame[n].0 + 2.0 * lame[n].1) * edge;
            let nodes = ghost::nodes(&field.cells[a].nodes, &field.cells[b].nodes, axis);
            slabs[slab_of(field.cells[a].at[2])].faces.push(Face { nodes, factor });
        }
        for (joint, fields) in joints.iter().zip(joint_fields) {
            let cell = |k: usize| &lattice.fields[fields[k]].cells[joint.cells[k] as usize];
            let two = laws[joint.law as usize].sides[1].is_some();
            let lowest = if two { cell(0).at[2].min(cell(1).at[2]) } else { cell(0).at[2] };
            let nodes = [cell(0).nodes, if two { cell(1).nodes } else { [0; 27] }];
            slabs[slab_of(lowest)].joints.push((nodes, joint.law, joint.points.clone()));
        }
        let (mut even, mut odd) = (vec![], vec![]);
        for (n, slab) in slabs.into_iter().enumerate() {
            if n % 2 == 0 { even.push(slab) } else { odd.push(slab) }
        }
        Self { nodes: lattice.places.len(), edge, lame, laws, points, slabs: [even, odd], fixed: vec![] }
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
        for slab in self.slabs.iter().flatten() {
            for b in &slab.whole {
                let blocks = diagonal_of(&weights, &gradients::<3>(self.edge), self.lame[b.field]);
                for nodes in &b.nodes[..b.count] {
                    add_blocks(&mut d, nodes, &blocks);
                }
            }
            for b in &slab.cut {
                let g = gradients::<5>(self.edge);
                let all: Vec<[[f64; 9]; 27]> = (0..b.count)
                    .into_par_iter()
                    .map(|k| {
                        let rows = &b.exact[125 * (k / LANES)..][..125];
                        let weights: Vec<f64> = rows.iter().map(|r| r[k % LANES]).collect();
                        diagonal_of(&weights, &g, self.lame[b.field])
                    })
                    .collect();
                b.nodes.iter().zip(&all).for_each(|(nodes, blocks)| add_blocks(&mut d, nodes, blocks));
            }
            let face = ghost::diagonal();
            for f in &slab.faces {
                for (n, v) in f.nodes.iter().flatten().zip(face.iter().flatten()) {
                    [0, 4, 8].into_iter().for_each(|i| d[*n as usize][i] += f.factor * v);
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
        let batch = |b: &Batch| b.nodes.len() * 108 + b.rough.len() * 64 + b.exact.len() * 128;
        let slab = |s: &Slab| {
            s.whole.iter().chain(&s.cut).map(batch).sum::<usize>() + s.faces.len() * 192 + s.joints.len() * 240
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

fn batch(field: usize, cells: Vec<&Cell>) -> Option<Batch> {
    let count = cells.len();
    let last = cells.last()?.nodes;
    let blocks = count.div_ceil(LANES);
    let mut nodes: Vec<[u32; 27]> = cells.iter().map(|c| c.nodes).collect();
    nodes.resize(blocks * LANES, last);
    let mut out = Batch { field, nodes, count, rough: vec![], exact: vec![] };
    if cells.iter().any(|c| c.weights.is_some()) {
        out.exact = vec![[0.0; LANES]; 125 * blocks];
        for (k, cell) in cells.iter().enumerate() {
            let rows = &mut out.exact[125 * (k / LANES)..][..125];
            for (row, w) in rows.iter_mut().zip(cell.weights.iter().flat_map(|w| w.iter())) {
                row[k % LANES] = *w;
            }
        }
        out.rough = out.exact.iter().map(|row| row.map(|w| w as f32)).collect();
    }
    Some(out)
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
        let base = 3 * slab.nodes.start;
        let whole: Table<T, 3> = whole_table(fine.edge);
        let cut: Table<T, 5> = cut_table(fine.edge);
        let even = Even(whole_weights().map(|w| T::of(w * fine.edge.powi(3))));
        for b in &slab.whole {
            let (l, m) = fine.lame[b.field];
            cells(simd, b, x, base, y, &whole, [T::of(l), T::of(m)], &even);
        }
        for b in &slab.cut {
            let (l, m) = fine.lame[b.field];
            cells(simd, b, x, base, y, &cut, [T::of(l), T::of(m)], &Own(T::rows(b)));
        }
        for f in &slab.faces {
            let mut u = [[T::default(); 27]; 5];
            for (u, nodes) in u.iter_mut().zip(&f.nodes) {
                for (k, n) in nodes.iter().enumerate() {
                    u[3 * k..3 * k + 3].copy_from_slice(&x[3 * *n as usize..][..3]);
                }
            }
            let mut v = [[T::default(); 27]; 5];
            ghost::product(&u, &mut v);
            let factor = T::of(f.factor);
            for (v, nodes) in v.iter().zip(&f.nodes) {
                for (k, n) in nodes.iter().enumerate() {
                    let to = &mut y[3 * *n as usize - base..][..3];
                    (0..3).for_each(|c| to[c] += factor * v[3 * k + c]);
                }
            }
        }
        for (nodes, law, points) in &slab.joints {
            let law = &fine.laws[*law as usize];
            let sides = if law.sides[1].is_some() { 2 } else { 1 };
            let mut u = [[T::default(); 81]; 2];
            for k in 0..sides {
                for (i, n) in nodes[k].iter().enumerate() {
                    u[k][3 * i..3 * i + 3].copy_from_slice(&x[3 * *n as usize..][..3]);
                }
            }
            let mut v = [[T::default(); 81]; 2];
            let [first, second] = &mut v;
            joint_product(simd, law, &fine.points[points.clone()], [&u[0], &u[1]], [first, second]);
            for k in 0..sides {
                for (i, n) in nodes[k].iter().enumerate() {
                    let to = &mut y[3 * *n as usize - base..][..3];
                    (0..3).for_each(|c| to[c] += v[k][3 * i + c]);
                }
            }
        }
    }
}

/// Where the weights of a group of cells come from.
trait Source<T: Real> {
    /// Weights of the cells of a vector from cell `first` of the batch on.
    type Of<'a, S: Simd>: Weights<S, T>
    where
        Self: 'a;
    /// As above.
    fn of<S: Simd>(&self, first: usize) -> Self::Of<'_, S>;
}

/// The same in all cells.
struct Even<T>([T; 27]);

/// Rows by block and point.
struct Own<'a, T>(&'a [[T; LANES]]);

/// Rows of a block from a lane on.
struct Lanes<'a, T> {
    rows: &'a [[T; LANES]],
    lane: usize,
}

impl<S: Simd, T: Real> Weights<S, T> for &Even<T> {
    #[inline(always)]
    fn at(&self, simd: S, point: usize) -> T::Vector<S> {
        T::splat(simd, self.0[point])
    }
}

impl<S: Simd, T: Real> Weights<S, T> for Lanes<'_, T> {
    #[inline(always)]
    fn at(&self, _: S, point: usize) -> T::Vector<S> {
        T::load::<S>(&self.rows[point][self.lane..])
    }
}

impl<T: Real> Source<T> for Even<T> {
    type Of<'a, S: Simd> = &'a Self;
    #[inline(always)]
    fn of<S: Simd>(&self, _: usize) -> &Self {
        self
    }
}

impl<T: Real> Source<T> for Own<'_, T> {
    type Of<'a, S: Simd>
        = Lanes<'a, T>
    where
        Self: 'a;
    #[inline(always)]
    fn of<S: Simd>(&self, first: usize) -> Lanes<'_, T> {
        Lanes { rows: &self.0[125 * (first / LANES)..][..125], lane: first % LANES }
    }
}

/// Gathers, applies and scatters the cells of a batch, a vector of them at a time.
#[allow(clippy::too_many_arguments, reason = "one step of one loop; a struct would be built for it alone")]
#[inline(always)]
fn cells<S: Simd, T: Real, const Q: usize>(
    simd: S,
    batch: &Batch,
    x: &[T],
    base: usize,
    y: &mut [T],
    table: &Table<T, Q>,
    lame: [T; 2],
    weights: &impl Source<T>,
) {
    let width = T::count::<S>();
    let zero = T::splat(simd, T::default());
    let (mut u, mut out) = ([zero; 81], [zero; 81]);
    let mut first = 0;
    while first < batch.count {
        let nodes = &batch.nodes[first..first + width];
        for i in 0..27 {
            let mut rows = [[T::default(); LANES]; 3];
            for (l, n) in nodes.iter().enumerate() {
                let from = &x[3 * n[i] as usize..][..3];
                rows[0][l] = from[0];
                rows[1][l] = from[1];
                rows[2][l] = from[2];
            }
            u[3 * i] = T::load::<S>(&rows[0]);
            u[3 * i + 1] = T::load::<S>(&rows[1]);
            u[3 * i + 2] = T::load::<S>(&rows[2]);
        }
        product(simd, table, lame, &weights.of::<S>(first), &u, &mut out);
        let real = (batch.count - first).min(width);
        for i in 0..27 {
            let mut rows = [[T::default(); LANES]; 3];
            T::store::<S>(out[3 * i], &mut rows[0]);
            T::store::<S>(out[3 * i + 1], &mut rows[1]);
            T::store::<S>(out[3 * i + 2], &mut rows[2]);
            for (l, n) in nodes[..real].iter().enumerate() {
                let to = &mut y[3 * n[i] as usize - base..][..3];
                to[0] += rows[0][l];
                to[1] += rows[1][l];
                to[2] += rows[2][l];
            }
        }
        first += width;
    }
}
