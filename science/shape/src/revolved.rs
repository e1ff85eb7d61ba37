//! Cylinder and cone frustum along z, optionally with rounded rims: exact distances by their half profile in (r, z).

use crate::solid::{Aabb, ShapeError, Solid, at_least_zero, finite, positive};

/// Length of a vector of two; `hypot` guards against squares that no body in millimetres reaches, at a fifth of the time of a cut.
fn length(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// A cone frustum along z: radius `low` at z = centre - height/2, `high` at + height/2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frustum {
    centre: [f64; 3],
    low: f64,
    high: f64,
    half: f64,
}

impl Frustum {
    /// Radii at the low and high end (one may be 0) and full height.
    pub fn new(centre: [f64; 3], low: f64, high: f64, height: f64) -> Result<Self, ShapeError> {
        finite("centre of the frustum", centre)?;
        at_least_zero("low radius of the frustum", low)?;
        at_least_zero("high radius of the frustum", high)?;
        positive("greater radius of the frustum", low.max(high))?;
        Ok(Self { centre, low, high, half: 0.5 * positive("height of the frustum", height)? })
    }
}

impl Solid for Frustum {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let (x, y, z) = (p[0] - self.centre[0], p[1] - self.centre[1], p[2] - self.centre[2]);
        let r = length(x, y);
        // Distance to the two ends and the flank, all segments in (r, z).
        let end = |radius: f64, at: f64| length((r - radius).max(0.0), z - at);
        let (dr, dz) = (self.high - self.low, 2.0 * self.half);
        let (ur, uz) = (r - self.low, z + self.half);
        let t = ((ur * dr + uz * dz) / (dr * dr + dz * dz)).clamp(0.0, 1.0);
        let flank = length(ur - t * dr, uz - t * dz);
        let nearest = flank.min(end(self.low, -self.half)).min(end(self.high, self.half));
        let inside = z.abs() < self.half && ur * dz - uz * dr < 0.0;
        if inside { -nearest } else { nearest }
    }
    fn bound(&self) -> Aabb {
        let r = self.low.max(self.high);
        let h = [r, r, self.half];
        Aabb {
            low: std::array::from_fn(|i| self.centre[i] - h[i]),
            high: std::array::from_fn(|i| self.centre[i] + h[i]),
        }
    }
}

/// A cylinder along z with both rims rounded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cylinder {
    centre: [f64; 3],
    radius: f64,
    half: f64,
    edge: f64,
}

impl Cylinder {
    /// Radius, full height, and rim radius (0 for sharp; at most the radius and half the height).
    pub fn new(centre: [f64; 3], radius: f64, height: f64, edge: f64) -> Result<Self, ShapeError> {
        finite("centre of the cylinder", centre)?;
        let half = 0.5 * positive("height of the cylinder", height)?;
        positive("radius of the cylinder", radius)?;
        at_least_zero("rim radius of the cylinder", edge)?;
        if edge > radius.min(half) {
            let expected = "at most the radius and half the height";
            return Err(ShapeError::OutOfRange { quantity: "rim radius of the cylinder", found: edge, expected });
        }
        Ok(Self { centre, radius, half, edge })
    }
}

impl Solid for Cylinder {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let r = length(p[0] - self.centre[0], p[1] - self.centre[1]) - self.radius + self.edge;
        let z = (p[2] - self.centre[2]).abs() - self.half + self.edge;
        r.max(z).min(0.0) + length(r.max(0.0), z.max(0.0)) - self.edge
    }
    fn bound(&self) -> Aabb {
        let h = [self.radius, self.radius, self.half];
        Aabb {
            low: std::array::from_fn(|i| self.centre[i] - h[i]),
            high: std::array::from_fn(|i| self.centre[i] + h[i]),
        }
    }
}

/// A torus around z. Exact distance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torus {
    centre: [f64; 3],
    ring: f64,
    tube: f64,
}

impl Torus {
    /// Radius of the ring (centre to middle of the tube) and of the tube, which is at most that of the ring.
    pub fn new(centre: [f64; 3], ring: f64, tube: f64) -> Result<Self, ShapeError> {
        finite("centre of the torus", centre)?;
        positive("ring radius of the torus", ring)?;
        positive("tube radius of the torus", tube)?;
        if tube > ring {
            let expected = "at most the ring radius";
            return Err(ShapeError::OutOfRange { quantity: "tube radius of the torus", found: tube, expected });
        }
        Ok(Self { centre, ring, tube })
    }
}

impl Solid for Torus {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let r = length(p[0] - self.centre[0], p[1] - self.centre[1]) - self.ring;
        length(r, p[2] - self.centre[2]) - self.tube
    }
    fn bound(&self) -> Aabb {
        let r = self.ring + self.tube;
        let h = [r, r, self.tube];
        Aabb {
            low: std::array::from_fn(|i| self.centre[i] - h[i]),
            high: std::array::from_fn(|i| self.centre[i] + h[i]),
        }
    }
}
