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

/// Share of a cell below which a place lies on the surface.
const ON_SURFACE: f64 = 1e-3;

/// A vertex: its place, the mean normal of its planes, and whether it lies where several of them meet.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    pub(super) place: V,
    pub(super) normal: V,
    pub(super) on_edge: bool,
}

/// Best place: that of the planes where it lies on the surface and within half a cell of the cell `low`..`low + cell`, else within the cell.
pub(super) fn place(crossings: &[Crossing], low: V, cell: f64, off: impl Fn(V) -> f64) -> Vertex {
    let share = 1.0 / crossings.len() as f64;
    let middle = crossings.iter().fold([0.0; 3], |m, c| add(m, scale(c.place, share)));
    let (mut square, mut right) = ([[0.0; 3]; 3], [0.0; 3]);
    for c in crossings {
        let lies = dot(c.normal, sub(c.place, middle));
        right = add(right, scale(c.normal, lies));
        for (row, n) in square.iter_mut().zip(c.normal) {
            *row = add(*row, scale(c.normal, n));
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
    let within = |slack: f64| std::array::from_fn(|i| best[i].clamp(low[i] - slack, low[i] + cell + slack));
    let beside = within(0.5 * cell);
    let place = if beside == best && off(best) < ON_SURFACE * cell { best } else { within(0.0) };
    Vertex { place, normal: unit(sum).unwrap_or([0.0; 3]), on_edge: directions >= 2 && place == best }
}
