//! Blocks of 8 x 8 x 8 cells that the surface passes, with what each holds: signs, cut cells, crossings.

use super::cycles::{Cycles, ambiguous, pairs, trace};
use super::place::{Crossing, Vertex};
use crate::solid::{Aabb, STEEPEST, ShapeError, Solid};
use crate::vector::{V, unit};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Cells along a block's edge.
pub(super) const BLOCK: usize = 8;
const NODES: usize = BLOCK + 1;
const NOT: u16 = u16::MAX;
const MOST_PLACES: f64 = 8e6;
const MOST_BLOCKS: usize = 400_000;

/// The lattice and its blocks.
pub(super) struct Lattice<'a> {
    solid: &'a dyn Solid,
    pub(super) origin: V,
    pub(super) cell: f64,
    /// Blocks along the axes.
    pub(super) blocks: [usize; 3],
}

/// A cell that the surface passes.
#[derive(Debug, Clone, Copy)]
pub(super) struct CutCell {
    /// Place in the block.
    pub(super) at: [usize; 3],
    config: u8,
    flipped: u8,
    pub(super) cycles: Cycles,
}

/// What a block holds.
pub(super) struct Block {
    /// Number of its first cell along the axes.
    pub(super) base: [usize; 3],
    inside: Vec<bool>,
    pub(super) cells: Vec<CutCell>,
    cell_index: Vec<u16>,
    crossings: Vec<Crossing>,
    crossing_index: Vec<u16>,
}

impl<'a> Lattice<'a> {
    pub(super) fn new(solid: &'a dyn Solid, bound: &Aabb, cell: f64) -> Result<Self, ShapeError> {
        // Off the planes of symmetry, so that no node lies on a face of an aligned body.
        let low = bound.low.map(|x| x - 1.37 * cell);
        let counts = bound.size().map(|s| ((s / cell + 3.74) / BLOCK as f64).ceil());
        if counts.iter().product::<f64>() > MOST_PLACES {
            return Err(too_fine(cell));
        }
        Ok(Self { solid, origin: low, cell, blocks: counts.map(|c| c as usize) })
    }

    fn node(&self, at: [usize; 3]) -> V {
        std::array::from_fn(|a| self.origin[a] + self.cell * at[a] as f64)
    }

    /// Every block that the surface passes, in order of its number: those the distance allows, and all that crossed edges lead to.
    pub(super) fn passed(&self) -> Result<Vec<Block>, ShapeError> {
        let half = 0.5 * self.cell * BLOCK as f64;
        let reach = STEEPEST * half * 3f64.sqrt();
        let near = |b: &usize| {
            let centre = self.node(self.base(*b)).map(|x| x + half);
            self.solid.distance(centre).abs() <= reach
        };
        let mut wanted: Vec<usize> = (0..self.blocks.iter().product()).into_par_iter().filter(near).collect();
        let mut known: BTreeSet<usize> = wanted.iter().copied().collect();
        let mut found: Vec<(usize, Block)> = Vec::new();
        while !wanted.is_empty() {
            if known.len() > MOST_BLOCKS {
                return Err(too_fine(self.cell));
            }
            let filled: Vec<(usize, Block)> = wanted.par_iter().map(|&b| (b, self.fill(self.base(b)))).collect();
            wanted = filled.iter().flat_map(|(b, block)| self.led_to(*b, block)).filter(|b| known.insert(*b)).collect();
            found.extend(filled);
        }
        found.sort_by_key(|(b, _)| *b);
        Ok(found.into_iter().map(|(_, block)| block).filter(|b| !b.cells.is_empty()).collect())
    }

    fn base(&self, block: usize) -> [usize; 3] {
        let [nx, ny, _] = self.blocks;
        [block % nx, block / nx % ny, block / (nx * ny)].map(|x| x * BLOCK)
    }

    /// Neighbours whose cells share a face with a cut cell of this block.
    fn led_to(&self, number: usize, block: &Block) -> Vec<usize> {
        let strides = [1, self.blocks[0], self.blocks[0] * self.blocks[1]];
        let at = self.base(number).map(|x| x / BLOCK);
        let mut out = BTreeSet::new();
        for cell in &block.cells {
            // A crossed edge touches cells across a face or an edge of the block.
            for code in 0..27usize {
                let step = [code % 3, code / 3 % 3, code / 9];
                let touches = (0..3).all(|a| match step[a] {
                    0 => cell.at[a] == 0 && at[a] > 0,
                    2 => cell.at[a] == BLOCK - 1 && at[a] + 1 < self.blocks[a],
                    _ => true,
                });
                if touches && code != 13 {
                    out.insert((0..3).fold(number, |n, a| n + step[a] * strides[a] - strides[a]));
                }
            }
        }
        out.into_iter().collect()
    }

    fn fill(&self, base: [usize; 3]) -> Block {
        let mut values = Vec::with_capacity(NODES.pow(3));
        for k in 0..NODES {
            for j in 0..NODES {
                for i in 0..NODES {
                    values.push(self.value([base[0] + i, base[1] + j, base[2] + k]));
                }
            }
        }
        let inside: Vec<bool> = values.iter().map(|d| *d < 0.0).collect();
        let mut block = Block {
            base,
            inside,
            cells: Vec::new(),
            cell_index: vec![NOT; BLOCK.pow(3)],
            crossings: Vec::new(),
            crossing_index: Vec::new(),
        };
        block.find_cells();
        if !block.cells.is_empty() {
            self.cross(&mut block, &values);
        }
        block
    }

    /// Distance at a node; the outermost nodes count as outside, so that the surface closes.
    fn value(&self, node: [usize; 3]) -> f64 {
        let outermost = (0..3).any(|a| node[a] == 0 || node[a] == BLOCK * self.blocks[a]);
        let d = self.solid.distance(self.node(node));
        if outermost || d.is_nan() { d.max(1e-9 * self.cell) } else { d }
    }

    fn cross(&self, block: &mut Block, values: &[f64]) {
        let strides = [1, NODES, NODES * NODES];
        block.crossing_index = vec![NOT; 3 * NODES.pow(3)];
        for n in 0..values.len() {
            let at = local(n);
            for (axis, stride) in strides.iter().enumerate() {
                if at[axis] == BLOCK || block.inside[n] == block.inside[n + stride] {
                    continue;
                }
                let start: [usize; 3] = std::array::from_fn(|a| block.base[a] + at[a]);
                let place = self.root(self.node(start), axis, [values[n], values[n + stride]]);
                let fallback: V =
                    std::array::from_fn(|a| if a == axis { if block.inside[n] { 1.0 } else { -1.0 } } else { 0.0 });
                let normal = unit(self.solid.gradient(place)).unwrap_or(fallback);
                block.crossing_index[axis * NODES.pow(3) + n] = block.crossings.len() as u16;
                block.crossings.push(Crossing { place, normal });
            }
        }
    }

    /// The zero on an edge: regula falsi with halved ends (Illinois; Dowell and Jarratt 1971, BIT 11:168-174, memory).
    fn root(&self, start: V, axis: usize, ends: [f64; 2]) -> V {
        let at = |t: f64| std::array::from_fn(|a| if a == axis { start[a] + t * self.cell } else { start[a] });
        let ([mut low, mut high], [mut f, mut g]) = ([0.0f64, 1.0], ends);
        let mut last = 0i8;
        let mut t = 0.5;
        for _ in 0..24 {
            t = (low * g - high * f) / (g - f);
            if !(low < t && t < high) {
                t = 0.5 * (low + high);
            }
            let h = self.solid.distance(at(t));
            if h.abs() < 1e-9 * self.cell || high - low < 1e-10 {
                break;
            }
            if (h < 0.0) == (f < 0.0) {
                (low, f) = (t, h);
                if last == -1 {
                    g *= 0.5;
                }
                last = -1;
            } else {
                (high, g) = (t, h);
                if last == 1 {
                    f *= 0.5;
                }
                last = 1;
            }
        }
        at(t)
    }

    /// A vertex on the surface, off edges with the surface's own normal.
    pub(super) fn settled(&self, vertex: Vertex) -> Vertex {
        let place = self.onto_surface(vertex.place);
        let normal =
            if vertex.on_edge { vertex.normal } else { unit(self.solid.gradient(place)).unwrap_or(vertex.normal) };
        Vertex { place, normal, ..vertex }
    }

    /// How far a place is from the surface.
    pub(super) fn off(&self, p: V) -> f64 {
        self.solid.distance(p).abs()
    }

    /// A place moved onto the surface along the gradient, by at most a cell.
    pub(super) fn onto_surface(&self, start: V) -> V {
        let mut p = start;
        for _ in 0..2 {
            let d = self.solid.distance(p);
            if d.abs() < 1e-7 * self.cell {
                break;
            }
            let g = self.solid.gradient(p);
            let square = crate::vector::dot(g, g);
            if !(square > 0.25 && d.abs() < self.cell) {
                break;
            }
            let next = crate::vector::sub(p, crate::vector::scale(g, d / square));
            if self.solid.distance(next).abs() >= d.abs() {
                break;
            }
            p = next;
        }
        p
    }
}

fn too_fine(cell: f64) -> ShapeError {
    ShapeError::OutOfRange { quantity: "cell", found: cell, expected: "coarser: the lattice would not fit" }
}

fn local(n: usize) -> [usize; 3] {
    [n % NODES, n / NODES % NODES, n / (NODES * NODES)]
}

impl Block {
    fn find_cells(&mut self) {
        for n in 0..BLOCK.pow(3) {
            let at = [n % BLOCK, n / BLOCK % BLOCK, n / (BLOCK * BLOCK)];
            let config = (0..8usize).fold(0u8, |bits, c| {
                let node = at[0] + (c & 1) + NODES * (at[1] + (c >> 1 & 1) + NODES * (at[2] + (c >> 2)));
                bits | u8::from(self.inside[node]) << c
            });
            if config != 0 && config != u8::MAX {
                self.cell_index[n] = self.cells.len() as u16;
                self.cells.push(CutCell { at, config, flipped: 0, cycles: trace(config, 0) });
            }
        }
    }

    /// Number of the cut cell at a place of the block.
    pub(super) fn cell_at(&self, at: [usize; 3]) -> Option<usize> {
        let n = self.cell_index[at[0] + BLOCK * (at[1] + BLOCK * at[2])];
        (n != NOT).then_some(n as usize)
    }

    /// The crossing of an edge of a cell.
    pub(super) fn crossing(&self, cell: [usize; 3], edge: usize) -> Option<Crossing> {
        let (axis, bits) = (edge / 4, edge % 4);
        let mut at = cell;
        at[(axis + 1) % 3] += bits & 1;
        at[(axis + 2) % 3] += bits >> 1;
        let n = at[0] + NODES * (at[1] + NODES * at[2]);
        let index = self.crossing_index[axis * NODES.pow(3) + n];
        (index != NOT).then(|| self.crossings[index as usize])
    }

    /// Whether the low end of an edge of a cell is inside.
    pub(super) fn low_end_inside(&self, cell: [usize; 3], edge: usize) -> bool {
        let (axis, bits) = (edge / 4, edge % 4);
        let mut at = cell;
        at[(axis + 1) % 3] += bits & 1;
        at[(axis + 2) % 3] += bits >> 1;
        self.inside[at[0] + NODES * (at[1] + NODES * at[2])]
    }
}

impl CutCell {
    pub(super) fn ambiguous(&self, face: usize) -> bool {
        ambiguous(self.config, face)
    }

    /// Whether both pairs of an ambiguous face belong to one cycle.
    pub(super) fn joins(&self, face: usize) -> bool {
        let mut cycles =
            pairs(self.config, face, self.flipped >> face & 1 == 1).map(|(edge, _)| self.cycles.of_edge[edge]);
        cycles.next() == cycles.next()
    }

    pub(super) fn flip(&mut self, face: usize) {
        self.flipped ^= 1 << face;
        self.cycles = trace(self.config, self.flipped);
    }
}
