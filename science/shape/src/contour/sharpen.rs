//! Edges that pass between two vertices: one of them is moved onto the edge.
//!
//! Where an edge of the body clips a cell without any lattice edge of that cell meeting both faces, the cell's vertex knows one face only, and a
//! facet cuts the edge off. Two neighbouring vertices that each know one face, with normals more than 15 degrees apart, are such a place if
//! the line where their tangent planes meet lies on the surface much better than the middle between them (on a rounded edge it does not). The vertex that is nearer to that line moves there.

use super::blocks::Lattice;
use super::place::Vertex;
use crate::vector::{V, add, dot, norm, scale, sub};

/// Cosine of 15 degrees.
const SAME_FACE: f64 = 0.966;

/// Moves vertices onto edges that pass them by; whether any moved.
pub(super) fn sharpen(lattice: &Lattice, vertices: &mut [Vertex], facets: &[[u32; 3]]) -> bool {
    let mut any = false;
    for facet in facets {
        for k in 0..3 {
            let (a, b) = (facet[k] as usize, facet[(k + 1) % 3] as usize);
            let (v, w) = (vertices[a], vertices[b]);
            // Every edge has two facets, which run along it in opposite directions.
            if a > b || v.on_edge || w.on_edge || dot(v.normal, w.normal) > SAME_FACE {
                continue;
            }
            let (Some(from_v), Some(from_w)) = (onto_both(&v, &w), onto_both(&w, &v)) else { continue };
            let (way_v, way_w) = (norm(sub(from_v, v.place)), norm(sub(from_w, w.place)));
            let (moved, to, way) = if way_v <= way_w { (a, from_v, way_v) } else { (b, from_w, way_w) };
            let middle = scale(add(v.place, w.place), 0.5);
            if way < lattice.cell && 4.0 * lattice.off(to) < lattice.off(middle) {
                vertices[moved].place = lattice.onto_surface(to);
                vertices[moved].on_edge = true;
                any = true;
            }
        }
    }
    any
}

/// The nearest place to `v` that lies on its own tangent plane and on that of `w`.
fn onto_both(v: &Vertex, w: &Vertex) -> Option<V> {
    let c = dot(v.normal, w.normal);
    // Along v's plane, towards w's.
    let along = sub(w.normal, scale(v.normal, c));
    let square = dot(along, along);
    (square > 1e-6).then(|| add(v.place, scale(along, dot(w.normal, sub(w.place, v.place)) / square)))
}
