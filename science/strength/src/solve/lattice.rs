//! Active cells of every body and the numbering of their nodes: by z, then body, y, x, so that layers of cells touch ranges of nodes.

use super::cut::{Cut, Facet, cut};
use super::error::ModelError;
use super::model::Model;
use rayon::prelude::*;
use shape::Solid;

/// An active cell.
pub(crate) struct Cell {
    pub at: [i32; 3],
    /// Its 27 nodes, x fastest.
    pub nodes: [u32; 27],
    /// Weights of the part inside; `None` when it is whole.
    pub weights: Option<Box<[f64; 125]>>,
    pub facets: Vec<Facet>,
}

/// Active cells of one body, sorted by z, y, x.
pub(crate) struct Field {
    pub cells: Vec<Cell>,
    low: [i32; 3],
    size: [usize; 3],
    grid: Vec<u32>,
}

const NONE: u32 = u32::MAX;

impl Field {
    /// Number of the active cell at a place of the lattice.
    pub(crate) fn find(&self, at: [i32; 3]) -> Option<usize> {
        let p: [usize; 3] = std::array::from_fn(|i| (at[i].wrapping_sub(self.low[i])) as u32 as usize);
        if (0..3).any(|i| p[i] >= self.size[i]) {
            return None;
        }
        let n = self.grid[p[0] + self.size[0] * (p[1] + self.size[1] * p[2])];
        (n != NONE).then_some(n as usize)
    }
}

/// All bodies on one lattice.
pub(crate) struct Lattice {
    pub fields: Vec<Field>,
    /// Field and place (half cells) of every node.
    pub places: Vec<(u32, [i32; 3])>,
}

impl Lattice {
    /// Cuts every body; with a window only cells within it (lattice places, high end left out).
    pub(crate) fn new(
        model: &Model,
        window: Option<[[i32; 3]; 2]>,
        progress: &dyn answer::Progress,
    ) -> Result<Self, ModelError> {
        let mut fields = vec![];
        for (done, body) in model.bodies.iter().enumerate() {
            progress.check(done, model.bodies.len())?;
            let cells = cut_all(model, &body.name, &*body.solid, window)?;
            if cells.is_empty() && window.is_none() {
                return Err(ModelError::NoMaterial(body.name.clone()));
            }
            fields.push(field(cells));
        }
        if fields.iter().all(|f| f.cells.is_empty()) {
            return Err(ModelError::NoMaterial("of the zoom".into()));
        }
        let places = number(&mut fields);
        Ok(Self { fields, places })
    }
}

fn cut_all(
    model: &Model,
    name: &str,
    solid: &dyn Solid,
    window: Option<[[i32; 3]; 2]>,
) -> Result<Vec<Cell>, ModelError> {
    let h = model.cell;
    let bound = solid.bound();
    let mut low: [i64; 3] = std::array::from_fn(|i| ((bound.low[i] - model.origin[i]) / h).floor() as i64 - 1);
    let mut high: [i64; 3] = std::array::from_fn(|i| ((bound.high[i] - model.origin[i]) / h).floor() as i64 + 1);
    if let Some([from, to]) = window {
        low = std::array::from_fn(|i| low[i].max(from[i].into()));
        high = std::array::from_fn(|i| high[i].min(i64::from(to[i]) - 1));
    }
    if (0..3).any(|i| high[i] < low[i]) {
        return Ok(vec![]);
    }
    let [nx, ny, nz]: [i64; 3] = std::array::from_fn(|i| high[i] - low[i] + 1);
    if nx.saturating_mul(ny).saturating_mul(nz) > 1 << 29 || low.iter().chain(&high).any(|x| x.abs() > 1 << 26) {
        return Err(ModelError::OutOfRange {
            part: name.into(),
            quantity: "cells in its bound",
            found: nx as f64 * ny as f64 * nz as f64,
            expected: "fewer than 5e8: make the cells larger",
        });
    }
    let rows: Vec<Vec<Cell>> = (0..ny * nz)
        .into_par_iter()
        .map(|row| {
            let (y, z) = (low[1] + row % ny, low[2] + row / ny);
            let at = (low[0]..=high[0]).map(|x| [x as i32, y as i32, z as i32]);
            at.filter_map(|at| {
                let corner = std::array::from_fn(|i| model.origin[i] + h * f64::from(at[i]));
                let (weights, facets) = match cut(solid, corner, h) {
                    Cut::Empty => return None,
                    Cut::Full => (None, vec![]),
                    Cut::Part(w, facets) => (Some(w), facets),
                };
                Some(Cell { at, nodes: [0; 27], weights, facets })
            })
            .collect()
        })
        .collect();
    Ok(rows.into_iter().flatten().collect())
}

fn field(cells: Vec<Cell>) -> Field {
    let (mut low, mut high) = ([i32::MAX; 3], [i32::MIN; 3]);
    for c in &cells {
        for i in 0..3 {
            low[i] = low[i].min(c.at[i]);
            high[i] = high[i].max(c.at[i]);
        }
    }
    if cells.is_empty() {
        return Field { cells, low: [0; 3], size: [0; 3], grid: vec![] };
    }
    let size: [usize; 3] = std::array::from_fn(|i| (high[i] - low[i] + 1) as usize);
    let mut grid = vec![NONE; size.iter().product()];
    for (n, c) in cells.iter().enumerate() {
        let p: [usize; 3] = std::array::from_fn(|i| (c.at[i] - low[i]) as usize);
        grid[p[0] + size[0] * (p[1] + size[1] * p[2])] = n as u32;
    }
    Field { cells, low, size, grid }
}

/// Numbers the nodes plane by plane of half cells and tells every cell its own.
fn number(fields: &mut [Field]) -> Vec<(u32, [i32; 3])> {
    let mut places = vec![];
    let from = fields.iter().filter(|f| !f.cells.is_empty()).map(|f| 2 * f.low[2]).min().unwrap_or(0);
    let to = fields.iter().map(|f| 2 * (f.low[2] + f.size[2] as i32)).max().unwrap_or(0);
    for z in from..=to {
        for (n, field) in fields.iter_mut().enumerate() {
            if field.cells.is_empty() {
                continue;
            }
            // Layers of cells that hold this plane: one, or two at a whole cell.
            let upper = z.div_euclid(2);
            let layers = if z.rem_euclid(2) == 0 { upper - 1..=upper } else { upper..=upper };
            let begin = field.cells.partition_point(|c| c.at[2] < *layers.start());
            let end = field.cells.partition_point(|c| c.at[2] <= *layers.end());
            let (wide, low) = (2 * field.size[0] + 1, field.low);
            let mut plane = vec![NONE; wide * (2 * field.size[1] + 1)];
            let spot = |at: [i32; 3], i: usize| {
                let x = 2 * (at[0] - low[0]) as usize + i % 3;
                x + wide * (2 * (at[1] - low[1]) as usize + i / 3)
            };
            for cell in &field.cells[begin..end] {
                (0..9).for_each(|i| plane[spot(cell.at, i)] = 0);
            }
            for (k, node) in plane.iter_mut().enumerate().filter(|(_, node)| **node == 0) {
                *node = places.len() as u32;
                places.push((n as u32, [2 * low[0] + (k % wide) as i32, 2 * low[1] + (k / wide) as i32, z]));
            }
            for cell in &mut field.cells[begin..end] {
                let layer = (z - 2 * cell.at[2]) as usize;
                (0..9).for_each(|i| cell.nodes[9 * layer + i] = plane[spot(cell.at, i)]);
            }
        }
    }
    places
}
