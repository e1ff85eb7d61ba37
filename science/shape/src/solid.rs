//! What a solid is: a signed distance with gradient, and a bound.

use std::sync::Arc;
use thiserror::Error;

/// A box along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aabb {
    /// Least corner.
    pub low: [f64; 3],
    /// Greatest corner.
    pub high: [f64; 3],
}

impl Aabb {
    /// Smallest box around both.
    pub fn join(&self, other: &Self) -> Self {
        Self {
            low: std::array::from_fn(|i| self.low[i].min(other.low[i])),
            high: std::array::from_fn(|i| self.high[i].max(other.high[i])),
        }
    }

    /// Box common to both, `None` when they do not meet.
    pub fn meet(&self, other: &Self) -> Option<Self> {
        let low: [f64; 3] = std::array::from_fn(|i| self.low[i].max(other.low[i]));
        let high: [f64; 3] = std::array::from_fn(|i| self.high[i].min(other.high[i]));
        (0..3).all(|i| low[i] <= high[i]).then_some(Self { low, high })
    }

    /// Grown by `by` on every side.
    pub fn grown(&self, by: f64) -> Self {
        Self { low: self.low.map(|x| x - by), high: self.high.map(|x| x + by) }
    }

    /// Edge lengths.
    pub fn size(&self) -> [f64; 3] {
        std::array::from_fn(|i| self.high[i] - self.low[i])
    }

    /// Whether it holds a body of finite size.
    pub fn is_finite(&self) -> bool {
        self.low.iter().chain(&self.high).all(|x| x.abs() < UNBOUNDED)
    }

    /// Centre.
    pub fn centre(&self) -> [f64; 3] {
        std::array::from_fn(|i| 0.5 * (self.low[i] + self.high[i]))
    }

    /// Length of the diagonal.
    pub fn diagonal(&self) -> f64 {
        crate::vector::norm(self.size())
    }

    /// The eight corners.
    pub fn corners(&self) -> [[f64; 3]; 8] {
        std::array::from_fn(|c| std::array::from_fn(|i| if c >> i & 1 == 1 { self.high[i] } else { self.low[i] }))
    }
}

/// Reach of bodies without end, such as a half-space: finite, so that turning such a bound gives numbers.
pub(crate) const UNBOUNDED: f64 = 1e30;

/// Greatest slope of any solid's distance.
pub const STEEPEST: f64 = std::f64::consts::SQRT_2;

/// A body by its signed distance.
///
/// `distance` is negative inside, zero on the surface, and changes by at most sqrt 2 per unit of length ([`STEEPEST`]); it is the true distance
/// where the implementor says so. Measures rest on this. Solids can be handed to other threads; `Arc<dyn Solid>` is a solid that is cheap to share.
pub trait Solid: Send + Sync {
    /// Signed distance of `p`, negative inside.
    fn distance(&self, p: [f64; 3]) -> f64;

    /// Gradient of the distance: the outward normal on the surface. By central differences unless the solid knows better.
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let step = 1e-6 * (1.0 + p.iter().fold(0.0f64, |m, x| m.max(x.abs())));
        std::array::from_fn(|i| {
            let (mut a, mut b) = (p, p);
            a[i] -= step;
            b[i] += step;
            (self.distance(b) - self.distance(a)) / (2.0 * step)
        })
    }

    /// A box that holds the whole body.
    fn bound(&self) -> Aabb;
}

impl<S: Solid + ?Sized> Solid for &S {
    fn distance(&self, p: [f64; 3]) -> f64 {
        (**self).distance(p)
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        (**self).gradient(p)
    }
    fn bound(&self) -> Aabb {
        (**self).bound()
    }
}

impl<S: Solid + ?Sized> Solid for Box<S> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        (**self).distance(p)
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        (**self).gradient(p)
    }
    fn bound(&self) -> Aabb {
        (**self).bound()
    }
}

impl<S: Solid + ?Sized> Solid for Arc<S> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        (**self).distance(p)
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        (**self).gradient(p)
    }
    fn bound(&self) -> Aabb {
        (**self).bound()
    }
}

/// Why a solid or a measure was refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ShapeError {
    /// A measure that cannot be.
    #[error("{quantity} is {found}, expected {expected}")]
    OutOfRange {
        /// The measure.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// What is allowed.
        expected: &'static str,
    },
    /// A direction of no length.
    #[error("{0} has no direction: give a vector that is not zero and not along its partner")]
    NoDirection(&'static str),
    /// Parts that do not meet.
    #[error("the bounds of the two parts do not meet: move them together")]
    Apart,
    /// A plane that misses the body.
    #[error("the plane does not cut the body: move it to where material is")]
    NoSection,
    /// An outline that crosses or touches itself.
    #[error("the outline meets itself at edges {0} and {1} (counted from 0): give a simple outline")]
    Crossing(usize, usize),
    /// A cut through a surface with holes.
    #[error("the cut does not close: the surface has a hole or a flipped facet there; repair it first")]
    OpenSection,
    /// Surfaces that are not of one body.
    #[error(
        "the surfaces do not belong together: {overlap:.0} % of the moving one comes within {tolerance} of the fixed one, {least:.0} % are needed; check the files and the unit, give picked points or a greater tolerance"
    )]
    DoNotBelong {
        /// Share within the tolerance, per cent.
        overlap: f64,
        /// Share needed, per cent.
        least: f64,
        /// The tolerance.
        tolerance: f64,
    },
    /// A body without end where one with an end is needed.
    #[error("the body has no end: cut it by a body that has one")]
    Unbounded,
    /// A file that was not read.
    #[error("{0}")]
    File(String),
    /// Nothing to measure.
    #[error("the body has no material inside its bound")]
    Empty,
}

pub(crate) fn positive(quantity: &'static str, found: f64) -> Result<f64, ShapeError> {
    if found.is_finite() && found > 0.0 {
        Ok(found)
    } else {
        Err(ShapeError::OutOfRange { quantity, found, expected: "a finite number above 0" })
    }
}

pub(crate) fn at_least_zero(quantity: &'static str, found: f64) -> Result<f64, ShapeError> {
    if found.is_finite() && found >= 0.0 {
        Ok(found)
    } else {
        Err(ShapeError::OutOfRange { quantity, found, expected: "a finite number of 0 or more" })
    }
}

pub(crate) fn finite(quantity: &'static str, point: [f64; 3]) -> Result<[f64; 3], ShapeError> {
    match point.iter().find(|x| !x.is_finite()) {
        Some(&found) => Err(ShapeError::OutOfRange { quantity, found, expected: "three finite numbers" }),
        None => Ok(point),
    }
}
