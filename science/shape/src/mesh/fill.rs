//! A rim closed with triangles.
//!
//! The rim is parted as the polygon it is when seen along its vector area; where that would give an edge the surface already has, or the rim is
//! long, a fan about its middle closes it instead. The cap is flat or nearly so: it invents no form.

use super::edges::Edges;
use super::holes::Hole;
use super::polygon::{middle, triangulate};
use crate::vector::V;

/// Longer rims are closed by a fan: parting takes the cube of their number of edges.
const PARTED: usize = 200;

/// Facets that close a rim; may add a place.
pub(super) fn cap(points: &mut Vec<V>, edges: &Edges, hole: &Hole) -> Vec<[u32; 3]> {
    let rim = &hole.rim;
    let n = rim.len();
    if n < 3 {
        return Vec::new();
    }
    if n <= PARTED {
        let corners: Vec<V> = rim.iter().map(|v| points[*v as usize]).collect();
        let triangles = triangulate(&corners);
        let beside = |i: usize, j: usize| (i + 1) % n == j || (j + 1) % n == i;
        let new = |i: usize, j: usize| beside(i, j) || !edges.joined(rim[i], rim[j]);
        if triangles.iter().all(|[i, j, k]| new(*i, *j) && new(*j, *k) && new(*k, *i)) {
            return triangles.into_iter().map(|t| t.map(|i| rim[i])).collect();
        }
    }
    let centre = points.len() as u32;
    let at = middle(rim.iter().map(|v| points[*v as usize]));
    points.push(at);
    (0..n).map(|k| [rim[k], rim[(k + 1) % n], centre]).collect()
}
