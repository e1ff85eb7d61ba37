//! One tooth of average size on a lattice, with all that a preparation asks of a place: depth below the surface, which surface that is,
//! enamel, distance to the pulp.
//!
//! Directions come from the gradient g of the depth: chewing surface by a smooth step of g_z from 0.45 to 0.8, the sides by squares of the
//! horizontal part. Enamel is 30 % of its full axial thickness at its edge and grows to all of it over the lower 60 % of the crown.

use crate::chamber::Chamber;
use crate::form::ToothForm;
use shape::{Field, ShapeError, Solid};
use std::ops::Range;

/// What a node knows, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node {
    /// Its column on the lattice.
    pub(crate) column: u32,
    /// Distance to the outer surface, below 0 inside.
    pub(crate) outer: f32,
    /// Height above the facial enamel edge.
    pub(crate) height: f32,
    /// Height above the enamel's edge here.
    pub(crate) above_edge: f32,
    /// How much the surface above it is chewing surface (0..1).
    pub(crate) occlusal: f32,
    /// How much its side is facial, lingual, proximal; adds up to 1.
    pub(crate) sides: [f32; 3],
    /// Over the horizontal part of the gradient of the depth, at most 1 over 0.3.
    pub(crate) inverse_slope: f32,
    /// Enamel thickness at the surface above it.
    pub(crate) enamel: f32,
    /// Distance to the pulp, below 0 inside.
    pub(crate) pulp: f32,
    /// Share of the node's cell that lies above the enamel's edge (0..1).
    pub(crate) crown: f32,
}

/// A tooth on a lattice.
#[derive(Debug, Clone)]
pub(crate) struct ToothBlock {
    pub(crate) cell: f64,
    pub(crate) nodes: Vec<Node>,
    /// Nodes of each layer, from the neck up.
    pub(crate) layers: Vec<Range<usize>>,
    pub(crate) columns: usize,
    /// Volume of the crown above the enamel's edge, mm3.
    pub(crate) volume: f64,
}

const AT_EDGE: f64 = 0.3;
/// Depth of the lattice below the enamel's edge, mm.
const FOOT: f64 = 1.0;

/// Full enamel thickness, axial and occlusal, mm.
pub(crate) type Enamel = [f64; 2];

impl ToothBlock {
    /// A tooth's form, pulp and enamel on a lattice of edge length `cell`, mm.
    pub(crate) fn new(form: &ToothForm, chamber: &Chamber, enamel: Enamel, cell: f64) -> Result<Self, ShapeError> {
        let mut bound = form.bound();
        bound.low[2] = -FOOT;
        let outer = Field::of_columns(&bound, cell, |x, y| form.top(x, y), |top, p| form.field(p, *top))?;
        let outer = outer.redistanced_where(|n| outer.values()[n] < cell);
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
                    nodes.push(seen_from(&outer, &pulp, node, column, place[2], above_edge, crown, form, enamel));
                }
            }
            if nodes.len() > first {
                layers.push(first..nodes.len());
            }
        }
        let volume =
            nodes.iter().map(|n| f64::from(n.crown) * inside(f64::from(n.outer), cell)).sum::<f64>() * cell.powi(3);
        Ok(Self { cell, nodes, layers, columns: plane, volume })
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
    form: &ToothForm,
    enamel: Enamel,
) -> Node {
    let [gx, gy, gz] = outer.node_gradient(node);
    let across = (gx * gx + gy * gy).max(1e-12);
    let t = ((gz - 0.45) / 0.35).clamp(0.0, 1.0);
    let occlusal = t * t * (3.0 - 2.0 * t);
    let (facial, lingual) = (gy.max(0.0).powi(2) / across, gy.min(0.0).powi(2) / across);
    let grown = (above_edge / (0.6 * form.size().crown_height)).clamp(0.0, 1.0);
    let axial = enamel[0] * (AT_EDGE + (1.0 - AT_EDGE) * grown);
    Node {
        column: column as u32,
        outer: outer.values()[node] as f32,
        height: height as f32,
        above_edge: above_edge as f32,
        occlusal: occlusal as f32,
        sides: [facial as f32, lingual as f32, (1.0 - facial - lingual).max(0.0) as f32],
        inverse_slope: (1.0 / across.sqrt().max(0.3)) as f32,
        enamel: (occlusal * enamel[1] + (1.0 - occlusal) * axial) as f32,
        pulp: pulp.values()[node] as f32,
        crown: crown as f32,
    }
}
