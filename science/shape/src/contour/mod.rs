//! A closed, manifold triangle surface out of any solid, sharp edges kept.
//!
//! Dual contouring (Ju et al. 2002) on a lattice, one vertex for each piece of surface in a cell (dual marching cubes: Nielson 2004, IEEE
//! Visualization 489-496, doi 10.1109/VISUAL.2004.28), which makes a surface in which every edge has two facets unless two pieces in
//! neighbouring cells share both pairs of an ambiguous face (Wenger 2013, Isosurfaces, section 3.3, memory). Such faces are flipped: their pairs
//! are taken around the outside corners. A flip splits the one shared cycle in both cells, and a split makes no new such face, so that one pass
//! over all ambiguous faces makes the surface manifold whatever the solid. The outermost nodes count as outside: the surface is closed.
//!
//! A vertex stays in its cell, or within half a cell of it where an edge passes there. Edges sharper than about 11 degrees are kept to the accuracy of the tangent planes. Cost: one distance a
//! node near the surface, a root and a gradient a crossing. All threads work; the result does not depend on their number.
//!
//! Limits: features thinner than a cell may be lost or joined; self-intersections smaller than a cell can occur where two sheets pass one cell.

mod blocks;
mod cycles;
mod place;
mod sharpen;

use crate::solid::{ShapeError, Solid, positive};
use crate::vector::{cross, dot, norm, sub, unit};
use blocks::{BLOCK, Block, Lattice};
use cycles::NONE;
use place::{Vertex, place};
use rayon::prelude::*;
use sharpen::sharpen;
use std::collections::HashMap;

/// Vertices and facets (three vertices each, anticlockwise from outside).
#[derive(Debug, Clone, PartialEq)]
pub struct Contour {
    /// Vertices.
    pub points: Vec<[f64; 3]>,
    /// Facets.
    pub facets: Vec<[u32; 3]>,
}

/// The surface of a solid on a lattice of `cell`.
///
/// # Errors
/// Cell not positive or too fine for memory, a body without end, no material found.
///
/// ```
/// let ball = shape::Ball::new([0.0; 3], 2.0).unwrap();
/// let surface = shape::contour(&ball, 0.2).unwrap();
/// assert_eq!(surface.points.len() as i64 - (surface.facets.len() / 2) as i64, 2); // Euler, closed, one piece
/// ```
pub fn contour(solid: &dyn Solid, cell: f64) -> Result<Contour, ShapeError> {
    positive("cell", cell)?;
    let bound = solid.bound();
    if !bound.is_finite() {
        return Err(ShapeError::Unbounded);
    }
    let lattice = Lattice::new(solid, &bound, cell)?;
    let mut blocks = lattice.passed()?;
    if blocks.is_empty() {
        return Err(ShapeError::Empty);
    }
    let map = Map::of(&blocks);
    flip_ambiguous_faces(&map, &mut blocks);
    let (mut vertices, first) = vertices(&lattice, &blocks);
    let quads = quads(&map, &blocks, &first);
    let halve = |vertices: &[Vertex]| quads.par_iter().flat_map_iter(|q| halved(&lattice, vertices, *q)).collect();
    let facets: Vec<[u32; 3]> = halve(&vertices);
    let facets = if sharpen(&lattice, &mut vertices, &facets) { halve(&vertices) } else { facets };
    Ok(Contour { points: vertices.iter().map(|v| v.place).collect(), facets })
}

/// Finds cells by their number on the lattice.
struct Map {
    blocks: HashMap<[usize; 3], usize>,
}

impl Map {
    fn of(blocks: &[Block]) -> Self {
        Self { blocks: blocks.iter().enumerate().map(|(n, b)| (b.base, n)).collect() }
    }

    /// Block and cut cell.
    fn find(&self, blocks: &[Block], cell: [usize; 3]) -> Option<(usize, usize)> {
        let base = cell.map(|x| x / BLOCK * BLOCK);
        let block = *self.blocks.get(&base)?;
        let at = std::array::from_fn(|a| cell[a] - base[a]);
        Some((block, blocks[block].cell_at(at)?))
    }
}

/// Flips every face whose two pairs belong to one cycle on both sides.
fn flip_ambiguous_faces(map: &Map, blocks: &mut [Block]) {
    for b in 0..blocks.len() {
        for c in 0..blocks[b].cells.len() {
            for axis in 0..3 {
                let (high, low) = (2 * axis + 1, 2 * axis);
                let cell = blocks[b].cells[c];
                if !(cell.ambiguous(high) && cell.joins(high)) {
                    continue;
                }
                let mut next: [usize; 3] = std::array::from_fn(|a| blocks[b].base[a] + cell.at[a]);
                next[axis] += 1;
                if let Some((nb, nc)) = map.find(blocks, next)
                    && blocks[nb].cells[nc].joins(low)
                {
                    blocks[b].cells[c].flip(high);
                    blocks[nb].cells[nc].flip(low);
                }
            }
        }
    }
}

/// One vertex a cycle; and the number of the first vertex of every cell of every block.
fn vertices(lattice: &Lattice, blocks: &[Block]) -> (Vec<Vertex>, Vec<Vec<u32>>) {
    let mut next = 0u32;
    let mut number = |block: &Block| -> Vec<u32> {
        let mut first = Vec::with_capacity(block.cells.len());
        for cell in &block.cells {
            first.push(next);
            next += u32::from(cell.cycles.count);
        }
        first
    };
    let first = blocks.iter().map(&mut number).collect();
    let points = blocks.par_iter().flat_map_iter(|block| vertices_of(lattice, block)).collect();
    (points, first)
}

fn vertices_of(lattice: &Lattice, block: &Block) -> Vec<Vertex> {
    let mut points = Vec::new();
    let mut crossings = Vec::with_capacity(12);
    for cell in &block.cells {
        let low = std::array::from_fn(|a| lattice.origin[a] + lattice.cell * (block.base[a] + cell.at[a]) as f64);
        for cycle in 0..cell.cycles.count {
            crossings.clear();
            let edges = (0..12).filter(|e| cell.cycles.of_edge[*e] == cycle);
            crossings.extend(edges.filter_map(|e| block.crossing(cell.at, e)));
            let vertex = place(&crossings, low, lattice.cell, |p| lattice.off(p));
            points.push(lattice.settled(vertex));
        }
    }
    points
}

/// A quadrangle for every crossed edge, from the four cells around it, anticlockwise from outside.
fn quads(map: &Map, blocks: &[Block], first: &[Vec<u32>]) -> Vec<[u32; 4]> {
    let of_block = |(b, block): (usize, &Block)| {
        let mut out = Vec::new();
        for cell in &block.cells {
            // A cell owns the three edges at its far corner.
            for axis in 0..3 {
                let edge = 4 * axis + 3;
                if cell.cycles.of_edge[edge] == NONE {
                    continue;
                }
                if let Some(mut quad) = around(map, blocks, first, b, cell.at, axis) {
                    if !block.low_end_inside(cell.at, edge) {
                        quad.reverse();
                    }
                    out.push(quad);
                }
            }
        }
        out
    };
    blocks.par_iter().enumerate().flat_map_iter(of_block).collect()
}

/// Vertices around the edge at the far corner of a cell, anticlockwise seen from the edge's high end.
fn around(
    map: &Map,
    blocks: &[Block],
    first: &[Vec<u32>],
    block: usize,
    at: [usize; 3],
    axis: usize,
) -> Option<[u32; 4]> {
    let (b, c) = ((axis + 1) % 3, (axis + 2) % 3);
    let mut quad = [0; 4];
    // The edge lies at bits (1, 1), (0, 1), (0, 0), (1, 0) of the cells at steps (0, 0), (1, 0), (1, 1), (0, 1).
    for (slot, (step, bits)) in [([0, 0], 3), ([1, 0], 2), ([1, 1], 0), ([0, 1], 1)].into_iter().enumerate() {
        let mut cell: [usize; 3] = std::array::from_fn(|a| blocks[block].base[a] + at[a]);
        cell[b] += step[0];
        cell[c] += step[1];
        let (nb, nc) = map.find(blocks, cell)?;
        let cycle = blocks[nb].cells[nc].cycles.of_edge[4 * axis + bits];
        if cycle == NONE {
            return None;
        }
        quad[slot] = first[nb][nc] + u32::from(cycle);
    }
    Some(quad)
}

/// A quadrangle as two facets: along its shorter diagonal where it is flat, else along the one nearer to the surface.
fn halved(lattice: &Lattice, vertices: &[Vertex], quad: [u32; 4]) -> [[u32; 3]; 2] {
    let p = quad.map(|v| vertices[v as usize].place);
    let (one, two) = ([[0, 1, 2], [0, 2, 3]], [[0, 1, 3], [1, 2, 3]]);
    let normal = |t: [usize; 3]| unit(cross(sub(p[t[1]], p[t[0]]), sub(p[t[2]], p[t[0]])));
    let flatness = |pair: [[usize; 3]; 2]| match (normal(pair[0]), normal(pair[1])) {
        (Some(a), Some(b)) => dot(a, b),
        _ => -1.0,
    };
    let (f1, f2) = (flatness(one), flatness(two));
    let first = if f1.min(f2) > 0.98 {
        norm(sub(p[0], p[2])) <= norm(sub(p[1], p[3]))
    } else if (f1 < 0.0) != (f2 < 0.0) {
        // One of the two folds over.
        f1 > f2
    } else {
        let off = |a: usize, b: usize| lattice.off(std::array::from_fn(|i| 0.5 * (p[a][i] + p[b][i])));
        off(0, 2) <= off(1, 3)
    };
    let chosen = if first { one } else { two };
    chosen.map(|t| t.map(|i| quad[i]))
}
