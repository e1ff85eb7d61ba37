//! Bodies from bodies: union and intersection and difference with rounded corners, offset, shell.
//!
//! Sharp: union min(a, b), intersection max(a, b), difference max(a, -b). Rounded: by a rolling ball of the radius given (see `fillet`): in the
//! corner between united bodies (a fillet), along the edge of what is shared or left (a rounding); the radius is met in corners of every angle.
//!
//! Signs are exact. Sizes are lower bounds of the true distance: inside for unions, outside for the other two.

use crate::fillet::{Lazy, Side, closing};
use crate::solid::{Aabb, ShapeError, Solid, at_least_zero, positive};
use crate::vector::scale;

/// Both bodies, the corner between them filled by a fillet.
#[derive(Debug, Clone, PartialEq)]
pub struct Union<A, B> {
    a: A,
    b: B,
    fillet: f64,
}

impl<A: Solid, B: Solid> Union<A, B> {
    /// Fillet radius 0 or more.
    pub fn new(a: A, b: B, fillet: f64) -> Result<Self, ShapeError> {
        Ok(Self { a, b, fillet: at_least_zero("fillet radius", fillet)? })
    }

    fn sides(&self) -> [Side<'_>; 2] {
        [Side { solid: &self.a, sign: 1.0 }, Side { solid: &self.b, sign: 1.0 }]
    }
}

impl<A: Solid, B: Solid> Solid for Union<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let [a, b] = self.sides();
        closing(a, b, self.fillet, p).0
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let [a, b] = self.sides();
        closing(a, b, self.fillet, p).1.gradient(a, b, self.fillet, p)
    }
    fn bound(&self) -> Aabb {
        // A closing stays within the convex hull, so within the joint box.
        self.a.bound().join(&self.b.bound())
    }
}

/// What both bodies share, its new edge rounded if so wished.
#[derive(Debug, Clone, PartialEq)]
pub struct Intersection<A, B> {
    a: A,
    b: B,
    edge: f64,
    bound: Aabb,
}

impl<A: Solid, B: Solid> Intersection<A, B> {
    /// Sharp. Errors when the bounds do not meet.
    pub fn new(a: A, b: B) -> Result<Self, ShapeError> {
        Self::rounded(a, b, 0.0)
    }

    /// The edge where both surfaces meet rounded by a radius of 0 or more. Errors when the bounds do not meet.
    pub fn rounded(a: A, b: B, edge: f64) -> Result<Self, ShapeError> {
        let bound = a.bound().meet(&b.bound()).ok_or(ShapeError::Apart)?;
        Ok(Self { a, b, edge: at_least_zero("edge radius", edge)?, bound })
    }

    fn outsides(&self) -> [Side<'_>; 2] {
        [Side { solid: &self.a, sign: -1.0 }, Side { solid: &self.b, sign: -1.0 }]
    }
}

impl<A: Solid, B: Solid> Solid for Intersection<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let [a, b] = self.outsides();
        -closing(a, b, self.edge, p).0
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let [a, b] = self.outsides();
        outward(&closing(a, b, self.edge, p).1, a, b, self.edge, p)
    }
    fn bound(&self) -> Aabb {
        self.bound
    }
}

/// The first body without the second, the new edge rounded if so wished.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference<A, B> {
    a: A,
    b: B,
    edge: f64,
}

impl<A: Solid, B: Solid> Difference<A, B> {
    /// `a` without `b`, sharp.
    pub fn new(a: A, b: B) -> Self {
        Self { a, b, edge: 0.0 }
    }

    /// The edge where both surfaces meet rounded by a radius of 0 or more.
    pub fn rounded(a: A, b: B, edge: f64) -> Result<Self, ShapeError> {
        Ok(Self { a, b, edge: at_least_zero("edge radius", edge)? })
    }

    fn outsides(&self) -> [Side<'_>; 2] {
        [Side { solid: &self.a, sign: -1.0 }, Side { solid: &self.b, sign: 1.0 }]
    }
}

impl<A: Solid, B: Solid> Solid for Difference<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let [a, b] = self.outsides();
        -closing(a, b, self.edge, p).0
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let [a, b] = self.outsides();
        outward(&closing(a, b, self.edge, p).1, a, b, self.edge, p)
    }
    fn bound(&self) -> Aabb {
        self.a.bound()
    }
}

fn outward(lazy: &Lazy, a: Side, b: Side, r: f64, p: [f64; 3]) -> [f64; 3] {
    scale(lazy.gradient(a, b, r, p), -1.0)
}

/// A body grown (or, below 0, shrunk) by a distance; exact outside where the body's distance is.
#[derive(Debug, Clone, PartialEq)]
pub struct Offset<A> {
    a: A,
    by: f64,
}

impl<A: Solid> Offset<A> {
    /// Grown by `by`; negative shrinks.
    pub fn new(a: A, by: f64) -> Result<Self, ShapeError> {
        if by.is_finite() {
            Ok(Self { a, by })
        } else {
            Err(ShapeError::OutOfRange { quantity: "offset", found: by, expected: "a finite number" })
        }
    }
}

impl<A: Solid> Solid for Offset<A> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.a.distance(p) - self.by
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        self.a.gradient(p)
    }
    fn bound(&self) -> Aabb {
        self.a.bound().grown(self.by.max(0.0))
    }
}

/// The layer of a chosen thickness along a body's surface, within it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shell<A> {
    a: A,
    thickness: f64,
}

impl<A: Solid> Shell<A> {
    /// Thickness above 0, measured inward from the surface of `a`. A layer outside is the shell of the offset body.
    pub fn new(a: A, thickness: f64) -> Result<Self, ShapeError> {
        Ok(Self { a, thickness: positive("thickness of the shell", thickness)? })
    }
}

impl<A: Solid> Solid for Shell<A> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let half = 0.5 * self.thickness;
        (self.a.distance(p) + half).abs() - half
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let side = if self.a.distance(p) + 0.5 * self.thickness < 0.0 { -1.0 } else { 1.0 };
        scale(self.a.gradient(p), side)
    }
    fn bound(&self) -> Aabb {
        self.a.bound()
    }
}
