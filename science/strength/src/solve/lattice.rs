//! Active cells of every body and the numbering of their nodes.

use super::error::ModelError;
use super::model::Model;
use super::quadrature::{Cut, Facet, cut};
use rayon::prelude::*;
use std::collections::HashMap;

/// An active cell.
pub(crate) struct Cell {
    pub at: [i32; 3],
    /// Weights of the part inside; `None` when it is whole.
    pub weights: Option<Box<[f64; 125]>>,
    pub facets: Vec<Facet>,
}

/// Cells by body, sorted by z, y, x, and nodes numbered in that order.
pub(crate) struct Lattice {
    pub cells: Vec<Vec<Cell>>,
    pub index: Vec<HashMap<[i32; 3], usize>>,
    pub nodes: HashMap<(u32, [i32; 3]), u32>,
}

impl Lattice {
    pub(crate) fn new(model: &Model) -> Result<Self, ModelError> {
        let h = model.cell;
        let mut out = Self { cells: vec![], index: vec![], nodes: HashMap::new() };
        for (field, body) in model.bodies.iter().enumerate() {
            let bound = body.solid.bound();
            let low: [i64; 3] = std::array::from_fn(|i| ((bound.low[i] - model.origin[i]) / h).floor() as i64 - 1);
            let high: [i64; 3] = std::array::from_fn(|i| ((bound.high[i] - model.origin[i]) / h).floor() as i64 + 1);
            let [nx, ny, nz]: [i64; 3] = std::array::from_fn(|i| high[i] - low[i] + 1);
            if nx.saturating_mul(ny).saturating_mul(nz) > 1 << 31 || low.iter().chain(&high).any(|x| x.abs() > 1 << 27)
            {
                return Err(ModelError::OutOfRange {
                    part: body.name.clone(),
                    quantity: "cells in its bound",
                    found: nx as f64 * ny as f64 * nz as f64,
                    expected: "fewer than 2e9: make the cells larger",
                });
            }
            let rows: Vec<Vec<Cell>> = (0..ny * nz)
                .into_par_iter()
                .map(|row| {
                    let (y, z) = (low[1] + row % ny, low[2] + row / ny);
                    let at = (low[0]..=high[0]).map(|x| [x as i32, y as i32, z as i32]);
                    at.filter_map(|at| {
                        let corner = std::array::from_fn(|i| model.origin[i] + h * f64::from(at[i]));
                        match cut(&*body.solid, corner, h) {
                            Cut::Empty => None,
                            Cut::Full => Some(Cell { at, weights: None, facets: vec![] }),
                            Cut::Part(w, facets) => {
                                let volume: f64 = w.iter().sum();
                                (volume > 1e-13 * h * h * h).then_some(Cell { at, weights: Some(w), facets })
                            }
                        }
                    })
                    .collect()
                })
                .collect();
            let cells: Vec<Cell> = rows.into_iter().flatten().collect();
            if cells.is_empty() {
                return Err(ModelError::NoMaterial(body.name.clone()));
            }
            for cell in &cells {
                for n in nodes(cell.at) {
                    let next = out.nodes.len() as u32;
                    out.nodes.entry((field as u32, n)).or_insert(next);
                }
            }
            out.index.push(cells.iter().enumerate().map(|(i, c)| (c.at, i)).collect());
            out.cells.push(cells);
        }
        Ok(out)
    }

    pub(crate) fn numbers(&self, field: usize, at: [i32; 3]) -> Vec<u32> {
        nodes(at).map(|n| self.nodes[&(field as u32, n)]).collect()
    }
}

/// Nodes of a cell in half cells, x fastest.
pub(crate) fn nodes(at: [i32; 3]) -> impl Iterator<Item = [i32; 3]> {
    (0..27).map(move |n| {
        let c = super::basis::corner(n);
        std::array::from_fn(|i| 2 * at[i] + c[i] as i32)
    })
}
