//! The region that holds everything.

use shape::{Aabb, Solid};

/// All of space: the region of a part that means its whole surface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Everywhere;

impl Solid for Everywhere {
    fn distance(&self, _: [f64; 3]) -> f64 {
        -1e30
    }
    fn gradient(&self, _: [f64; 3]) -> [f64; 3] {
        [0.0; 3]
    }
    fn bound(&self) -> Aabb {
        Aabb { low: [-1e30; 3], high: [1e30; 3] }
    }
}
