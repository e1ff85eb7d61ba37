//! y = A u on one level: equal cubes by sweeps along x, everything else by block rows, held unknowns left out.
//!
//! The uniform cells of a field are cut into slabs of whole z-planes. Slabs write one node plane beyond their own, so even slabs run
//! first and odd ones after: every sum has one order, whatever the number of threads. A slab goes through its planes some rows at a time, and clears its nodes just before it first
//! adds to them, while they are near.

use std::ops::Range;

use simd::{Simd, WithSimd};

use super::blocks::BlockRows;
use super::element::Core;
use super::error::SolveError;
use super::nodes::Nodes;
use super::parts;
use super::real::Real;
use super::sweep::{CoreOf, STRIP, Strip};
use super::system::{CellMatrix, TrilinearSystem};

/// Neighbouring cells of one row and one material.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CellRun {
    pub cells: u32,
    pub material: u32,
    /// First node of each of the four node rows, y + 2 z.
    pub rows: [u32; 4],
}

/// Cell runs that touch a range of nodes.
#[derive(Debug, Clone)]
struct Slab {
    nodes: Range<usize>,
    /// Those of them that it is the first to write to.
    own: Range<usize>,
    steps: Vec<Step>,
}

/// Some rows of cells of one plane, and the nodes that no step before it has touched.
#[derive(Debug, Clone)]
struct Step {
    runs: Range<usize>,
    below: Range<usize>,
    above: Range<usize>,
}

/// Nodes of a plane that are taken together, plane after plane: those of two planes, in displacements and forces, stay in a core's own cache.
const TILE: i32 = 4_096;
/// Slabs of a large level: half of them can be worked on at once, and the fewer, the fewer planes are gone through twice.
const SLABS: usize = 24;

/// The stiffness of one level.
#[derive(Debug, Clone)]
pub struct LevelOperator {
    /// Number of nodes.
    pub(crate) count: usize,
    pub(crate) materials: Vec<(f64, f64)>,
    pub(crate) cores: Vec<Core>,
    pub(crate) runs: Vec<CellRun>,
    /// Even slabs, odd slabs.
    slabs: [Vec<Slab>; 2],
    /// Nodes of no slab.
    bare: Vec<Range<usize>>,
    pub(crate) blocks: BlockRows<f32>,
    /// Ranges of nodes for everything done node by node.
    pub(crate) chunks: Vec<Range<usize>>,
    /// Unknowns held, by place in the vector.
    pub(crate) fixed: Vec<u32>,
}

impl LevelOperator {
    pub(crate) fn new(system: &TrilinearSystem, nodes: &Nodes, fixed: Vec<u32>) -> Result<Self, SolveError> {
        let blocks = BlockRows::assemble(system, nodes, false)?;
        let step = nodes.count.div_ceil(32).clamp(2_048, 65_536);
        let chunks = (0..nodes.count.div_ceil(step)).map(|k| k * step..((k + 1) * step).min(nodes.count)).collect();
        let mut operator = Self {
            count: nodes.count,
            materials: Vec::new(),
            cores: Vec::new(),
            runs: Vec::new(),
            slabs: [Vec::new(), Vec::new()],
            bare: Vec::new(),
            blocks,
            chunks,
            fixed,
        };
        let total: usize = system.fields.iter().map(|f| f.cells.len()).sum();
        let slab_cells = total.div_ceil(SLABS).max(1_024);
        for (number, field) in system.fields.iter().enumerate() {
            operator.add_field(number as u32, &field.cells, nodes, slab_cells);
        }
        for parity in &mut operator.slabs {
            parity.sort_by_key(|slab| slab.nodes.start);
        }
        operator.share_out();
        operator.cores = operator.materials.iter().map(|(l, m)| Core::new(*l, *m, system.spacing)).collect();
        Ok(operator)
    }

    fn add_field(&mut self, field: u32, cells: &[([i32; 3], CellMatrix)], nodes: &Nodes, slab_cells: usize) {
        let tiles = Tiles::new(field, nodes);
        let mut slab: Option<(Range<i32>, usize)> = None;
        let mut own: Vec<([i32; 2], CellRun)> = Vec::new();
        let mut parity = 0;
        let mut at = 0;
        while at < cells.len() {
            let ([x, y, z], CellMatrix::Uniform { lambda, mu }) = &cells[at] else {
                at += 1;
                continue;
            };
            let key = (*lambda, *mu);
            let length = cells[at..]
                .iter()
                .enumerate()
                .take_while(|(k, (p, m))| {
                    *p == [x + *k as i32, *y, *z]
                        && matches!(m, CellMatrix::Uniform { lambda, mu } if (*lambda, *mu) == key)
                })
                .count();
            let material = self.materials.iter().rposition(|m| *m == key).unwrap_or_else(|| {
                self.materials.push(key);
                self.materials.len() - 1
            });
            if let Some((planes, held)) = &slab
                && *z >= planes.end
                && (*held >= slab_cells || *z > planes.end)
            {
                self.close(planes.clone(), std::mem::take(&mut own), parity, &tiles, nodes);
                parity = 1 - parity;
                slab = None;
            }
            let (planes, held) = slab.unwrap_or((*z..*z, 0));
            slab = Some((planes.start..*z + 1, held + length));
            let rows = [(0, 0), (1, 0), (0, 1), (1, 1)]
                .map(|(dy, dz)| nodes.find(field, [*x, y + dy, z + dz]).unwrap_or(0) as u32);
            own.push(([tiles.of(*y), *z], CellRun { cells: length as u32, material: material as u32, rows }));
            at += length;
        }
        if let Some((planes, _)) = slab {
            self.close(planes, own, parity, &tiles, nodes);
        }
    }

    /// Ends a slab of planes of cells: it writes their planes of nodes and the one beyond.
    fn close(
        &mut self,
        planes: Range<i32>,
        mut own: Vec<([i32; 2], CellRun)>,
        parity: usize,
        tiles: &Tiles,
        nodes: &Nodes,
    ) {
        own.sort_by_key(|(place, _)| *place);
        let mut steps = Vec::new();
        let mut rest = &own[..];
        for tile in 0..tiles.count {
            for z in planes.clone() {
                let (here, left) = rest.split_at(rest.partition_point(|(place, _)| *place <= [tile, z]));
                let begin = self.runs.len();
                self.runs.extend(here.iter().map(|(_, run)| *run));
                let below = if z == planes.start { tiles.nodes(nodes, tile, z) } else { 0..0 };
                steps.push(Step { runs: begin..self.runs.len(), below, above: tiles.nodes(nodes, tile, z + 1) });
                rest = left;
            }
        }
        let range = tiles.start(nodes, planes.start, i32::MIN)..tiles.start(nodes, planes.end + 1, i32::MIN);
        self.slabs[parity].push(Slab { own: range.clone(), nodes: range, steps });
    }

    /// Leaves to odd slabs what no even one has written to, and finds what is left over.
    fn share_out(&mut self) {
        let [even, odd] = &mut self.slabs;
        for slab in odd.iter_mut() {
            let before = even.partition_point(|e| e.nodes.start < slab.nodes.start);
            let from = even[..before].last().map_or(0, |e| e.nodes.end).max(slab.nodes.start);
            let to = even[before..].first().map_or(slab.nodes.end, |e| e.nodes.start.min(slab.nodes.end));
            slab.own = from.min(to)..to;
        }
        let mut owned: Vec<&Range<usize>> =
            even.iter().chain(&*odd).map(|s| &s.own).filter(|o| !o.is_empty()).collect();
        owned.sort_by_key(|o| o.start);
        let mut done = 0;
        for own in owned {
            self.bare.extend((done < own.start).then_some(done..own.start));
            done = own.end;
        }
        self.bare.extend((done < self.count).then_some(done..self.count));
    }

    /// y = A u; both 3 x count, component by component.
    pub fn apply<T: Real>(&self, u: &[T], y: &mut [T]) {
        let x = parts::components(u, self.count);
        let bare = parts::split(y, self.count, &self.bare);
        parts::for_each(bare, self.count, |piece| piece.into_iter().for_each(|row| row.fill(T::default())));
        let arch = simd::Arch::new();
        let cores: Vec<CoreOf<T>> = self.cores.iter().map(CoreOf::new).collect();
        for parity in &self.slabs {
            let ranges: Vec<Range<usize>> = parity.iter().map(|s| s.nodes.clone()).collect();
            let pieces = parts::split(y, self.count, &ranges);
            let work: Vec<_> = parity.iter().zip(pieces).collect();
            parts::for_each(work, self.count, |(slab, y)| {
                arch.dispatch(Sweep { runs: &self.runs, cores: &cores, x, y, slab });
            });
        }
        self.add_blocks(x, y);
        for &at in &self.fixed {
            y[at as usize] = T::default();
        }
    }

    /// Adds the product of the block rows.
    fn add_blocks<T: Real>(&self, x: [&[T]; 3], y: &mut [T]) {
        if self.blocks.node.is_empty() {
            return;
        }
        let pieces = parts::split(y, self.count, &self.chunks);
        let arch = simd::Arch::new();
        parts::for_each(self.chunks.iter().zip(pieces).collect(), self.count, |(range, mut piece)| {
            let rows = self.blocks.rows_of(range);
            arch.dispatch(
                #[inline(always)]
                || {
                    for row in rows {
                        let at = self.blocks.node[row] as usize - range.start;
                        let product = self.blocks.row_product(row, x);
                        for c in 0..3 {
                            piece[c][at] += product[c];
                        }
                    }
                },
            );
        });
    }

    /// The 3 x 3 diagonal block of every node, as six vectors xx, yy, zz, xy, xz, yz.
    pub(crate) fn diagonal(&self, spacing: f64) -> [Vec<f64>; 6] {
        const PLACE: [(usize, usize); 6] = [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)];
        let mut diagonal: [Vec<f64>; 6] = std::array::from_fn(|_| vec![0.0; self.count]);
        for (row, &node) in self.blocks.node.iter().enumerate() {
            let range = self.blocks.first[row]..self.blocks.first[row + 1];
            if let Ok(k) = self.blocks.column[range.clone()].binary_search(&node) {
                let block = &self.blocks.block[range.start + k];
                for (d, (a, b)) in diagonal.iter_mut().zip(PLACE) {
                    d[node as usize] += f64::from(block[3 * a + b]);
                }
            }
        }
        let cubes: Vec<_> =
            self.materials.iter().map(|(l, m)| super::element::cube_stiffness(*l, *m, spacing)).collect();
        for run in &self.runs {
            let k = &cubes[run.material as usize];
            for (d, (a, b)) in diagonal.iter_mut().zip(PLACE) {
                for corner in 0..8 {
                    let value = k[(3 * corner + a) * 24 + 3 * corner + b];
                    let from = run.rows[corner >> 1] as usize + (corner & 1);
                    d[from..from + run.cells as usize].iter_mut().for_each(|v| *v += value);
                }
            }
        }
        diagonal
    }

    /// Energy of a motion over that of the diagonal alone.
    pub(crate) fn resistance(&self, spacing: f64, motion: &[f32]) -> f64 {
        let u: Vec<f64> = motion.iter().map(|v| f64::from(*v)).collect();
        let mut force = vec![0.0; u.len()];
        self.apply(&u, &mut force);
        let energy: f64 = u.iter().zip(&force).map(|(u, f)| u * f).sum();
        let diagonal = self.diagonal(spacing);
        let alone: f64 =
            (0..3).flat_map(|c| diagonal[c].iter().zip(&u[c * self.count..])).map(|(d, u)| d * u * u).sum();
        energy / alone
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        self.blocks.bytes() + self.runs.len() * size_of::<CellRun>()
    }
}

/// Rows of a field along y, some taken together. A row of nodes belongs to the row of cells below it, the first to the first.
struct Tiles {
    field: u32,
    low: i32,
    rows: i32,
    count: i32,
}

impl Tiles {
    fn new(field: u32, nodes: &Nodes) -> Self {
        let own = || nodes.runs.iter().filter(|r| r.field == field);
        let (low, high) = own().fold((i32::MAX, i32::MIN), |(low, high), r| (low.min(r.y), high.max(r.y)));
        let (first, last) = own().fold((i32::MAX, i32::MIN), |(a, b), r| (a.min(r.x), b.max(r.x + r.len as i32)));
        if low > high {
            return Self { field, low: 0, rows: 1, count: 0 };
        }
        let rows = (TILE / (last - first)).max(1);
        Self { field, low, rows, count: (high - low).max(1).div_euclid(rows) + 1 }
    }

    /// That of a row of cells.
    fn of(&self, y: i32) -> i32 {
        (y - self.low).div_euclid(self.rows)
    }

    /// Nodes of a tile in one plane.
    fn nodes(&self, nodes: &Nodes, tile: i32, z: i32) -> Range<usize> {
        let first = |tile: i32| if tile == 0 { i32::MIN } else { self.low + tile * self.rows + 1 };
        self.start(nodes, z, first(tile))..self.start(nodes, z, first(tile + 1))
    }

    /// The first node at row y of a plane or beyond.
    fn start(&self, nodes: &Nodes, z: i32, y: i32) -> usize {
        let run = nodes.runs.partition_point(|r| (r.field, r.z, r.y) < (self.field, z, y));
        nodes.runs.get(run).map_or(nodes.count, |r| r.start as usize)
    }
}

/// All runs of a slab; `y` holds its nodes.
struct Sweep<'a, T> {
    runs: &'a [CellRun],
    cores: &'a [CoreOf<T>],
    x: [&'a [T]; 3],
    y: [&'a mut [T]; 3],
    slab: &'a Slab,
}

impl<T: Real> Sweep<'_, T> {
    /// Clears those of some nodes that are its own.
    #[inline(always)]
    fn clear(&mut self, nodes: &Range<usize>) {
        let Slab { nodes: all, own, .. } = self.slab;
        let (from, to) = (nodes.start.max(own.start), nodes.end.min(own.end));
        if from < to {
            self.y.iter_mut().for_each(|column| column[from - all.start..to - all.start].fill(T::default()));
        }
    }
}

impl<T: Real> WithSimd for Sweep<'_, T> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(mut self, simd: S) {
        let (slab, runs) = (self.slab, self.runs);
        let base = slab.nodes.start;
        let mut strip = Strip::new();
        for step in &slab.steps {
            self.clear(&step.below);
            self.clear(&step.above);
            for run in &runs[step.runs.clone()] {
                let core = &self.cores[run.material as usize];
                let total = run.cells as usize;
                let mut done = 0;
                while done < total {
                    let cells = (total - done).min(STRIP);
                    let nodes = cells + 1;
                    let from = run.rows.map(|r| r as usize + done);
                    let x = self.x;
                    let u: [&[T]; 12] = std::array::from_fn(|k| &x[k % 3][from[k / 3]..from[k / 3] + nodes]);
                    let [a, b, c] = &mut self.y;
                    let [a, b, c] = [a, b, c].map(|column| four_rows(column, from.map(|f| f - base), nodes));
                    let ([a0, a1, a2, a3], [b0, b1, b2, b3], [c0, c1, c2, c3]) = (a, b, c);
                    strip.add(simd, core, cells, u, [a0, b0, c0, a1, b1, c1, a2, b2, c2, a3, b3, c3]);
                    done += cells;
                }
            }
        }
    }
}

/// Four disjoint rows of a column, in ascending order.
#[inline(always)]
fn four_rows<T>(column: &mut [T], from: [usize; 4], nodes: usize) -> [&mut [T]; 4] {
    let (column, d) = column.split_at_mut(from[3]);
    let (column, c) = column.split_at_mut(from[2]);
    let (column, b) = column.split_at_mut(from[1]);
    [&mut column[from[0]..from[0] + nodes], &mut b[..nodes], &mut c[..nodes], &mut d[..nodes]]
}
