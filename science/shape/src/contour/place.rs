//! Where a vertex goes: the place that lies best on the tangent planes of its crossings (Ju, Losasso, Schaefer, Warren 2002, ACM Trans Graph
//! 21:339-346, doi 10.1145/566654.566586), directions in which the planes say nothing left out, then moved onto the surface.

use crate::eigen::symmetric;
use crate::vector::{V, add, dot, scale, sub, unit};

/// A crossing of a lattice edge: place and unit normal.
#[derive(Debug, Clone, Copy)]
pub(super) struct Crossing {
    pub(super) place: V,
    pub(super) normal: V,
}

/// Share of the strongest direction below which planes say nothing: normals less than 11 degrees apart are one surface.
const SAYS_NOTHING: f64 = 0.01;

/// A vertex: its place, the mean normal of its planes, and whether it lies where several of them meet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub(super) place: V,
    pub(super) normal: V,
    pub(super) on_edge: bool,
}

/// Best place within the cell `low`..`low + cell`.
pub(super) fn place(crossings: &[Crossing], low: V, cell: f64) -> Vertex {
    let share = 1.0 / crossings.len() as f64;
    let middle = crossings.iter().fold([0.0; 3], |m, c| add(m, scale(c.place, share)));
    let (mut square, mut right) = ([[0.0; 3]; 3], [0.0; 3]);
    for c in crossings {
        let off = dot(c.normal, sub(c.place, middle));
        for i in 0..3 {
            right[i] += c.normal[i] * off;
            for j in 0..3 {
                square[i][j] += c.normal[i] * c.normal[j];
            }
        }
    }
    let (values, vectors) = symmetric(square);
    let strongest = values.iter().copied().fold(0.0, f64::max);
    let (mut best, mut directions) = (middle, 0);
    for (value, vector) in values.iter().zip(vectors) {
        if *value > SAYS_NOTHING * strongest {
            best = add(best, scale(vector, dot(vector, right) / value));
            directions += 1;
        }
    }
    let sum = crossings.iter().fold([0.0; 3], |m, c| add(m, c.normal));
    let place = std::array::from_fn(|i| best[i].clamp(low[i], low[i] + cell));
    Vertex { place, normal: unit(sum).unwrap_or([0.0; 3]), on_edge: directions >= 2 && place == best }
}
