//! One tooth of average size on a lattice, with all that a preparation asks of a place: depth below the surface, which surface that is,
//! enamel, distance to the pulp.
//!
//! Directions come from the gradient g of the depth: chewing surface by a smooth step of g_z from 0.45 to 0.8, the sides by squares of the
//! horizontal part. Enamel is 30 % of its full axial thickness at its edge and grows to all of it over the lower 60 % of the crown.

use crate::body::Part;
use crate::chamber::Chamber;
use crate::enamel::{EnamelForm, occlusal_share};
use crate::form::ToothForm;
use crate::preparation::side_shares;
use rayon::prelude::*;
use shape::{Field, ShapeError, Solid};
use std::ops::Range;

/// What a node knows, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node {
    /// Its column on the lattice.
    pub(crate) column: u32,
    /// Distance to the outer surface, below 0 inside.
    pub(crate) outer: f32,
    /// What the wanted outer form adds here (below 0) or takes.
    pub(crate) added: f32,
    /// Height above the facial enamel edge.
    pub(crate) height: f32,
    /// Height above the enamel's edge here.
    pub(crate) above_edge: f32,
    /// How much the surface above it is chewing surface (0..1).
    pub(crate) occlusal: f32,
    /// How much its side is facial, lingual, proximal; adds up to 1.
    pub(crate) sides: [f32; 3],
    /// Its proximal share, below 0 on the distal side.
    pub(crate) mesial: f32,
    /// Over the horizontal part of the gradient of the depth, at most 1 over 0.3.
    pub(crate) inverse_slope: f32,
    /// Enamel thickness at the surface above it.
    pub(crate) enamel: f32,
    /// Distance to the pulp, below 0 inside.
    pub(crate) pulp: f32,
    /// Share of the node's cell that lies above the enamel's edge (0..1).
    pub(crate) crown: f32,
}

/// A tooth as it stands, and the outer form wanted, in the tooth's frame.
#[derive(Clone)]
pub struct Shown {
    /// The tooth as it stands.
    pub present: Part,
    /// The outer form the restoration is to have.
    pub wanted: Part,
    /// Share of the scatter of sizes that is left: 0 when it was scanned.
    pub scatter: f64,
    /// How much lower than its form it stands by wear, mm.
    pub worn: f64,
}

impl Shown {
    /// A scanned tooth: its sizes are known.
    pub fn scanned(present: Part, wanted: Part) -> Self {
        Self { present, wanted, scatter: 0.0, worn: 0.0 }
    }
}

impl std::fmt::Debug for Shown {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Shown").finish_non_exhaustive()
    }
}

/// A tooth on a lattice.
#[derive(Debug, Clone)]
pub(crate) struct ToothBlock {
    pub(crate) cell: f64,
    pub(crate) nodes: Vec<Node>,
    /// Of each node, how much the wanted surface nearest to it is chewing surface, and how much its side is facial, lingual, proximal; empty
    /// where the tooth as it stands is wanted.
    pub(crate) wished: Vec<[f32; 4]>,
    /// Nodes of each layer, from the neck up.
    pub(crate) layers: Vec<Range<usize>>,
    pub(crate) columns: usize,
    /// Place of the first column, and columns along x.
    corner: [f64; 2],
    across: usize,
    /// Volume of the crown above the enamel's edge, mm3.
    pub(crate) volume: f64,
}

/// Depth of the lattice below the enamel's edge, mm.
const FOOT: f64 = 1.0;

impl ToothBlock {
    /// A tooth's form, pulp and enamel on a lattice of edge length `cell`, mm; what was scanned or waxed up stands in for the form.
    pub(crate) fn new(
        form: &ToothForm,
        chamber: &Chamber,
        enamel: &EnamelForm,
        cell: f64,
        shown: Option<&Shown>,
    ) -> Result<Self, ShapeError> {
        let mut bound = shown.map_or_else(|| form.bound(), |s| s.present.bound());
        bound.low[2] = -FOOT;
        let outer = match shown {
            Some(shown) => Field::of_columns(&bound, cell, |_, _| (), |(), p| shown.present.distance(p))?,
            None => {
                let outer = Field::of_columns(&bound, cell, |x, y| form.top(x, y), |top, p| form.field(p, *top))?;
                outer.redistanced_where(|n| outer.values()[n] < cell)
            }
        };
        let pulp = outer.map(|_, p| chamber.field(form, p));
        let pulp = pulp.redistanced_where(|n| outer.values()[n] < 0.5 * cell);
        let [nx, ny, nz] = outer.nodes();
        let plane = nx * ny;
        let (mut nodes, mut layers) = (Vec::new(), Vec::new());
        for k in 0..nz {
            let first = nodes.len();
            for column in 0..plane {
                let node = column + plane * k;
                let place = outer.place([column % nx, column / nx, k]);
                let above_edge = place[2] - form.enamel_edge(place[0]);
                let crown = (0.5 + above_edge / cell).clamp(0.0, 1.0);
                if crown > 0.0 && outer.values()[node] < cell {
                    nodes.push(seen_from(&outer, &pulp, node, column, place[2], above_edge, crown, enamel));
                }
            }
            if nodes.len() > first {
                layers.push(first..nodes.len());
            }
        }
        let volume =
            nodes.iter().map(|n| f64::from(n.crown) * inside(f64::from(n.outer), cell)).sum::<f64>() * cell.powi(3);
        let [x, y, _] = outer.place([0; 3]);
        Ok(Self { cell, nodes, wished: Vec::new(), layers, corner: [x, y], across: nx, columns: plane, volume })
    }
}

impl ToothBlock {
    /// Asks for a wanted outer form instead of the tooth as it stands.
    pub(crate) fn wish_for(&mut self, wanted: &Part) {
        let (cell, across, [x, y]) = (self.cell, self.across, self.corner);
        let at = |n: &Node| {
            let column = n.column as usize;
            [x + cell * (column % across) as f64, y + cell * (column / across) as f64, f64::from(n.height)]
        };
        self.wished = self
            .nodes
            .par_iter_mut()
            .map(|node| {
                let place = at(node);
                node.added = wanted.distance(place) as f32 - node.outer;
                let normal = wanted.gradient(place);
                let [facial, lingual, proximal] = side_shares(normal);
                [occlusal_share(normal), facial, lingual, proximal].map(|share| share as f32)
            })
            .collect();
    }
}

/// Share of a cell inside a surface at distance d from its middle.
pub(crate) fn inside(d: f64, cell: f64) -> f64 {
    (0.5 - d / cell).clamp(0.0, 1.0)
}

#[allow(clippy::too_many_arguments)] // one node's view, used once
fn seen_from(
    outer: &Field,
    pulp: &Field,
    node: usize,
    column: usize,
    height: f64,
    above_edge: f64,
    crown: f64,
    enamel: &EnamelForm,
) -> Node {
    let [gx, gy, gz] = outer.node_gradient(node);
    let across = (gx * gx + gy * gy).max(1e-12);
    let normal = [gx, gy, gz];
    let occlusal = occlusal_share(normal);
    let sides = side_shares(normal);
    Node {
        column: column as u32,
        outer: outer.values()[node] as f32,
        added: 0.0,
        height: height as f32,
        above_edge: above_edge as f32,
        occlusal: occlusal as f32,
        sides: sides.map(|s| s as f32),
        mesial: (sides[2] * gx.signum()) as f32,
        inverse_slope: (1.0 / across.sqrt().max(0.3)) as f32,
        enamel: enamel.thickness(occlusal, above_edge) as f32,
        pulp: pulp.values()[node] as f32,
        crown: crown as f32,
    }
}
