//! Triangle surfaces as files and scans give them: how they hang together, what is wrong with them, and mending.

mod crossing;
mod edges;
mod fill;
mod flaws;
mod holes;
mod inspect;
mod orient;
mod polygon;
mod repair;
mod unit;
mod weld;

pub(crate) use edges::{Edges, NONE, ends};
pub use flaws::Flaws;
pub use holes::Hole;
pub(crate) use holes::holes;
pub use inspect::{Crossing, Inspection, inspect};
pub(crate) use orient::{Oriented, orient};
pub(crate) use polygon::triangulate;
pub use repair::{Action, Repair, repair};
pub use unit::LengthUnit;
pub(crate) use weld::Welder;

/// Places and facets of a surface, before it is made ready for measuring ([`crate::Surface::new`]).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Mesh {
    /// Places, in the unit told by whoever made the mesh (mm throughout the house).
    pub points: Vec<[f64; 3]>,
    /// Three places each, anticlockwise from outside.
    pub facets: Vec<[u32; 3]>,
}

impl Mesh {
    /// The mesh with every place multiplied by `factor`, as when it was written in another unit.
    pub fn scaled(mut self, factor: f64) -> Self {
        for p in &mut self.points {
            *p = p.map(|x| x * factor);
        }
        self
    }

    /// Volume enclosed, with the sign that the facets' order gives it.
    pub(crate) fn volume(&self) -> f64 {
        let about = self.points.first().copied().unwrap_or_default();
        let six = |f: &[u32; 3]| {
            let [a, b, c] = f.map(|v| crate::vector::sub(self.points[v as usize], about));
            crate::vector::dot(a, crate::vector::cross(b, c))
        };
        self.facets.iter().map(six).sum::<f64>() / 6.0
    }

    /// Longest edge of the box around all places.
    pub fn extent(&self) -> f64 {
        let span = |i: usize| {
            let ends = |e: [f64; 2], p: &[f64; 3]| [e[0].min(p[i]), e[1].max(p[i])];
            let [low, high] = self.points.iter().fold([f64::INFINITY, f64::NEG_INFINITY], ends);
            high - low
        };
        (0..3).map(span).fold(0.0, f64::max)
    }
}
