//! Bodies from bodies: union with a fillet, intersection, difference, offset.
//!
//! Union without fillet: min(a, b). With fillet radius r: max(r, min(a,b)) - |(max(r-a,0), max(r-b,0))| outside both by less than r, which lays a
//! quarter circle of radius r into a right-angled corner (exact there). In a corner of another angle the fillet touches both bodies but its
//! radius differs: wider corners get a larger one. Intersection max(a, b), difference max(a, -b).
//!
//! Signs are exact. Sizes are lower bounds of the true distance: inside for unions, outside for the other two; within a fillet up to sqrt 2
//! times the true distance, where both bodies face the same way.

use crate::solid::{Aabb, ShapeError, Solid, at_least_zero};

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
}

impl<A: Solid, B: Solid> Solid for Union<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let (a, b, r) = (self.a.distance(p), self.b.distance(p), self.fillet);
        let nearest = a.min(b);
        if a >= r || b >= r || nearest <= 0.0 {
            return nearest;
        }
        r - (r - a).hypot(r - b)
    }
    fn bound(&self) -> Aabb {
        // No point of the fillet is further than r (1 - 1/sqrt 2) from the nearer body.
        self.a.bound().join(&self.b.bound()).grown(self.fillet * (1.0 - std::f64::consts::FRAC_1_SQRT_2))
    }
}

/// What both bodies share.
#[derive(Debug, Clone, PartialEq)]
pub struct Intersection<A, B> {
    a: A,
    b: B,
    bound: Aabb,
}

impl<A: Solid, B: Solid> Intersection<A, B> {
    /// Errors when the bounds do not meet.
    pub fn new(a: A, b: B) -> Result<Self, ShapeError> {
        let bound = a.bound().meet(&b.bound()).ok_or(ShapeError::Apart)?;
        Ok(Self { a, b, bound })
    }
}

impl<A: Solid, B: Solid> Solid for Intersection<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.a.distance(p).max(self.b.distance(p))
    }
    fn bound(&self) -> Aabb {
        self.bound
    }
}

/// The first body without the second.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference<A, B> {
    a: A,
    b: B,
}

impl<A: Solid, B: Solid> Difference<A, B> {
    /// `a` without `b`.
    pub fn new(a: A, b: B) -> Self {
        Self { a, b }
    }
}

impl<A: Solid, B: Solid> Solid for Difference<A, B> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.a.distance(p).max(-self.b.distance(p))
    }
    fn bound(&self) -> Aabb {
        self.a.bound()
    }
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
