//! A signed field on the nodes of a cubic lattice: a body as numbers that can be offset, cut and measured fast.
//!
//! Values are negative inside; nodes run x first. Between nodes the field is trilinear. After [`Field::redistanced`] it is a distance
//! (first order: error below half a cell near the surface, growing slowly away from it), and [`Field::volume`], [`Field::area`] hold to second
//! order in the cell.

mod drafted;
mod measured;
mod redistance;

use crate::{Aabb, ShapeError, Solid};

/// Most nodes of a field: 1 GB of values.
const MOST_NODES: usize = 125_000_000;

/// Signed field on a cubic lattice.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    origin: [f64; 3],
    cell: f64,
    nodes: [usize; 3],
    values: Vec<f64>,
}

impl Field {
    /// Lattice of edge length `cell` over a box grown by two cells, filled column by column: `column` is asked once for each (x, y), `value` for
    /// each node of it.
    ///
    /// # Errors
    /// [`ShapeError::OutOfRange`] for a cell that is not positive, or so fine that the lattice would not fit into memory.
    pub fn of_columns<C>(
        bound: &Aabb,
        cell: f64,
        column: impl Fn(f64, f64) -> C,
        value: impl Fn(&C, [f64; 3]) -> f64,
    ) -> Result<Self, ShapeError> {
        crate::solid::positive("cell", cell)?;
        let grown = bound.grown(2.0 * cell);
        let counts = grown.size().map(|s| (s / cell).ceil() + 1.0);
        if !counts.iter().all(|c| c.is_finite()) || counts.iter().product::<f64>() > MOST_NODES as f64 {
            return Err(ShapeError::OutOfRange {
                quantity: "cell",
                found: cell,
                expected: "coarse enough for 125 million nodes",
            });
        }
        let nodes = counts.map(|c| c as usize);
        let mut values = vec![0.0; nodes.iter().product()];
        let (nx, ny) = (nodes[0], nodes[1]);
        for j in 0..ny {
            for i in 0..nx {
                let (x, y) = (grown.low[0] + i as f64 * cell, grown.low[1] + j as f64 * cell);
                let c = column(x, y);
                for k in 0..nodes[2] {
                    values[i + nx * (j + ny * k)] = value(&c, [x, y, grown.low[2] + k as f64 * cell]);
                }
            }
        }
        Ok(Self { origin: grown.low, cell, nodes, values })
    }

    /// A solid's distance on a lattice.
    ///
    /// # Errors
    /// As [`Field::of_columns`].
    pub fn of(solid: &impl Solid, cell: f64) -> Result<Self, ShapeError> {
        Self::of_columns(&solid.bound(), cell, |_, _| (), |(), p| solid.distance(p))
    }

    /// A field on the same lattice, node by node from the node's number and place.
    #[must_use]
    pub fn map(&self, mut value: impl FnMut(usize, [f64; 3]) -> f64) -> Self {
        let mut values = Vec::with_capacity(self.values.len());
        for k in 0..self.nodes[2] {
            for j in 0..self.nodes[1] {
                for i in 0..self.nodes[0] {
                    values.push(value(values.len(), self.place([i, j, k])));
                }
            }
        }
        Self { values, ..self.lattice() }
    }

    /// The same lattice without values.
    fn lattice(&self) -> Self {
        Self { origin: self.origin, cell: self.cell, nodes: self.nodes, values: Vec::new() }
    }

    /// Place of a node.
    pub fn place(&self, at: [usize; 3]) -> [f64; 3] {
        std::array::from_fn(|a| self.origin[a] + at[a] as f64 * self.cell)
    }

    /// Edge length of a cell.
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Nodes along x, y, z.
    pub fn nodes(&self) -> [usize; 3] {
        self.nodes
    }

    /// Values, x first.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Gradient at a node by central differences, one-sided at the lattice's faces.
    pub fn node_gradient(&self, node: usize) -> [f64; 3] {
        let [nx, ny, nz] = self.nodes;
        let at = [node % nx, node / nx % ny, node / (nx * ny)];
        let (strides, counts) = ([1, nx, nx * ny], [nx, ny, nz]);
        std::array::from_fn(|a| {
            let (below, above) = (usize::from(at[a] > 0), usize::from(at[a] + 1 < counts[a]));
            let rise = self.values[node + above * strides[a]] - self.values[node - below * strides[a]];
            rise / ((above + below).max(1) as f64 * self.cell)
        })
    }

    /// Trilinear value; outside the lattice that of its nearest face plus the way there.
    pub fn value(&self, p: [f64; 3]) -> f64 {
        let high: [f64; 3] = std::array::from_fn(|a| self.origin[a] + (self.nodes[a] - 1) as f64 * self.cell);
        let q: [f64; 3] = std::array::from_fn(|a| p[a].clamp(self.origin[a], high[a]));
        let away = crate::vector::norm(crate::vector::sub(p, q));
        let (at, share) = self.corner(q);
        let [nx, ny, _] = self.nodes;
        let base = at[0] + nx * (at[1] + ny * at[2]);
        let mut sum = 0.0;
        for c in 0..8usize {
            let (cx, cy, cz) = (c & 1, c >> 1 & 1, c >> 2);
            let w = |bit: usize, s: f64| if bit == 1 { s } else { 1.0 - s };
            sum += w(cx, share[0]) * w(cy, share[1]) * w(cz, share[2]) * self.values[base + cx + nx * (cy + ny * cz)];
        }
        sum + away
    }

    /// Low corner of the cell around a place inside the lattice, and the shares of the way to its high corner.
    fn corner(&self, p: [f64; 3]) -> ([usize; 3], [f64; 3]) {
        let along: [f64; 3] = std::array::from_fn(|a| (p[a] - self.origin[a]) / self.cell);
        let at: [usize; 3] = std::array::from_fn(|a| (along[a] as usize).min(self.nodes[a].saturating_sub(2)));
        (at, std::array::from_fn(|a| along[a] - at[a] as f64))
    }
}

impl Solid for Field {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.value(p)
    }

    fn bound(&self) -> Aabb {
        let high = std::array::from_fn(|a| self.origin[a] + (self.nodes[a] - 1) as f64 * self.cell);
        Aabb { low: self.origin, high }
    }
}
