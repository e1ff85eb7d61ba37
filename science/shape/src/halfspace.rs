//! All space behind a plane: for cutting.

use crate::solid::{Aabb, ShapeError, Solid, UNBOUNDED, finite};
use crate::vector::{dot, sub, unit};

/// Everything on the side of a plane away from its normal; exact distance. Has no end: cut other bodies by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HalfSpace {
    point: [f64; 3],
    normal: [f64; 3],
}

impl HalfSpace {
    /// A point of the plane and the normal that points out of the material.
    pub fn new(point: [f64; 3], normal: [f64; 3]) -> Result<Self, ShapeError> {
        let normal = unit(normal).ok_or(ShapeError::NoDirection("normal of the half-space"))?;
        Ok(Self { point: finite("point of the half-space", point)?, normal })
    }
}

impl Solid for HalfSpace {
    fn distance(&self, p: [f64; 3]) -> f64 {
        dot(sub(p, self.point), self.normal)
    }
    fn gradient(&self, _: [f64; 3]) -> [f64; 3] {
        self.normal
    }
    fn bound(&self) -> Aabb {
        // Along an axis the plane stops it there.
        let stop = |i: usize, sign: f64| {
            let alone = (0..3).all(|j| j == i || self.normal[j] == 0.0);
            if alone && self.normal[i] * sign > 0.0 { self.point[i] } else { sign * UNBOUNDED }
        };
        Aabb { low: std::array::from_fn(|i| stop(i, -1.0)), high: std::array::from_fn(|i| stop(i, 1.0)) }
    }
}
