//! A body within a triangle surface.
//!
//! Distance: to the nearest place of the surface. Inside: where the surface is one closed shell, behind its nearest place (Baerentzen and Aanaes
//! 2005, doi 10.1109/TVCG.2005.49); else where the winding number is above one half (Jacobson, Kavan, Sorkine-Hornung 2013, doi
//! 10.1145/2461912.2461916), so that shells may lie in each other, overlap or have holes.
//!
//! Limits: where shells overlap, and across a hole, the size of the distance is that to the nearest facet, which need not be the body's own
//! surface; the sign is right. Across a hole the sign changes without the distance passing through zero: close holes first
//! ([`crate::repair`]) where their form matters. The distance has the facets' own edges; [`crate::Band`] of it is quick and smooth.

use crate::solid::{Aabb, ShapeError, Solid};
use crate::surface::{Nearest, Surface};
use crate::vector::{V, dot, scale, sub, unit};
use std::sync::Arc;

/// Least winding number of an open surface, on itself, that still encloses a body: a closed one has 0.5, half a ball 0.3, a flat sheet 0.
const ENCLOSES: f64 = 0.25;

/// A triangle surface as a body.
#[derive(Debug, Clone)]
pub struct MeshSolid {
    surface: Arc<Surface>,
    /// Sides are told by the winding number.
    winds: bool,
}

impl MeshSolid {
    /// The body that a surface encloses.
    ///
    /// # Errors
    /// A closed surface inside out or without volume; an open one that encloses too little to have an inside.
    pub fn new(surface: impl Into<Arc<Surface>>) -> Result<Self, ShapeError> {
        let surface = surface.into();
        if surface.is_closed() {
            let volume = surface.volume();
            if volume <= 0.0 {
                return Err(ShapeError::OutOfRange {
                    quantity: "volume of the surface",
                    found: volume,
                    expected: "above 0: it has no inside, or is inside out",
                });
            }
        } else if surface.winding_level() < ENCLOSES {
            return Err(ShapeError::OutOfRange {
                quantity: "winding number of the open surface on itself",
                found: surface.winding_level(),
                expected: "0.25 or more: it encloses too little to be a body; close its holes first",
            });
        }
        let winds = !surface.is_one_shell();
        Ok(Self { surface, winds })
    }

    /// The surface.
    pub fn surface(&self) -> &Surface {
        &self.surface
    }

    fn signed(&self, p: V) -> (f64, Nearest) {
        if !self.winds {
            return self.surface.signed(p);
        }
        let n = self.surface.closest(p);
        (if self.surface.winding(p) > 0.5 { -n.distance } else { n.distance }, n)
    }
}

impl Solid for MeshSolid {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.signed(p).0
    }

    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let (d, n) = self.signed(p);
        let normal = || unit(self.surface.normal_at(&n)).unwrap_or([0.0; 3]);
        // Nearer than rounding the direction to the place says nothing.
        if d.abs() <= 1e-9 * self.surface.bound().diagonal() {
            return normal();
        }
        match unit(scale(sub(p, n.place), d.signum())) {
            Some(g) if self.winds || dot(g, self.surface.normal_at(&n)) >= 0.0 => g,
            _ => normal(),
        }
    }

    fn bound(&self) -> Aabb {
        self.surface.bound()
    }
}
