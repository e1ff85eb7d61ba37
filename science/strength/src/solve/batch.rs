//! Groups of nodes taken a vector at a time: values gathered from a vector of unknowns and results added back.

use crate::multigrid::Real;
use simd::Simd;

/// Groups of a block: whole numbers of vectors on every machine.
pub(crate) const LANES: usize = 16;

/// Groups of N nodes, filled up to whole blocks by repeating the last one.
pub(crate) struct Groups<const N: usize> {
    pub nodes: Vec<[u32; N]>,
    /// Groups that are not filling.
    pub count: usize,
}

impl<const N: usize> Groups<N> {
    pub(crate) fn new(mut nodes: Vec<[u32; N]>) -> Self {
        let count = nodes.len();
        if let Some(last) = nodes.last().copied() {
            nodes.resize(count.next_multiple_of(LANES), last);
        }
        Self { nodes, count }
    }

    /// Those that are not filling.
    pub(crate) fn own(&self) -> &[[u32; N]] {
        &self.nodes[..self.count]
    }
}

/// Cells of one body in one slab.
pub(crate) struct Batch {
    pub field: usize,
    pub cells: Groups<27>,
    /// Weights by block and point (125 rows a block); empty for whole cells.
    pub rough: Vec<[f32; LANES]>,
    pub exact: Vec<[f64; LANES]>,
}

impl Batch {
    /// `None` without cells; weights of those that are cut.
    pub(crate) fn new(field: usize, cells: Vec<([u32; 27], Option<&[f64; 125]>)>) -> Option<Self> {
        let is_cut = cells.first()?.1.is_some();
        let groups = Groups::new(cells.iter().map(|c| c.0).collect());
        let mut exact = if is_cut { vec![[0.0; LANES]; 125 * groups.nodes.len() / LANES] } else { vec![] };
        for (k, weights) in cells.iter().enumerate().filter_map(|(k, c)| Some((k, c.1?))) {
            let rows = &mut exact[125 * (k / LANES)..][..125];
            rows.iter_mut().zip(weights).for_each(|(row, w)| row[k % LANES] = *w);
        }
        let rough = exact.iter().map(|row| row.map(|w| w as f32)).collect();
        Some(Self { field, cells: groups, rough, exact })
    }

    /// Weights of a cut cell.
    pub(crate) fn weights(&self, k: usize) -> impl Iterator<Item = f64> + '_ {
        self.exact[125 * (k / LANES)..][..125].iter().map(move |row| row[k % LANES])
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        self.cells.nodes.len() * 108 + self.rough.len() * 64 + self.exact.len() * 128
    }
}

/// Displacements of the nodes of as many groups as a vector holds, node by node, three components each.
#[inline(always)]
pub(crate) fn gather<S: Simd, T: Real, const N: usize>(nodes: &[[u32; N]], x: &[T], u: &mut [T::Vector<S>]) {
    let x = x.as_chunks::<3>().0;
    for (i, u) in u.chunks_exact_mut(3).enumerate().take(N) {
        let mut rows = [[T::default(); LANES]; 3];
        for (l, n) in nodes.iter().enumerate().take(LANES) {
            let from = x[n[i] as usize];
            rows[0][l] = from[0];
            rows[1][l] = from[1];
            rows[2][l] = from[2];
        }
        u[0] = T::load::<S>(&rows[0]);
        u[1] = T::load::<S>(&rows[1]);
        u[2] = T::load::<S>(&rows[2]);
    }
}

/// Adds forces to the nodes of groups; `y` begins at node `base`.
#[inline(always)]
pub(crate) fn scatter<S: Simd, T: Real, const N: usize>(
    nodes: &[[u32; N]],
    v: &[T::Vector<S>],
    base: usize,
    y: &mut [T],
) {
    let y = y.as_chunks_mut::<3>().0;
    for (i, v) in v.chunks_exact(3).enumerate().take(N) {
        let mut rows = [[T::default(); LANES]; 3];
        T::store::<S>(v[0], &mut rows[0]);
        T::store::<S>(v[1], &mut rows[1]);
        T::store::<S>(v[2], &mut rows[2]);
        for (l, n) in nodes.iter().enumerate().take(LANES) {
            let to = &mut y[n[i] as usize - base];
            to[0] += rows[0][l];
            to[1] += rows[1][l];
            to[2] += rows[2][l];
        }
    }
}
