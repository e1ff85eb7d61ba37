//! The two number types of the levels: `f32` inside the preconditioner, `f64` in the outer iteration.

use super::lanes::Lanes;
use std::ops::{Add, AddAssign, Mul, Sub};

/// A floating-point number the sweeps are written for.
pub trait Real:
    Lanes
    + Copy
    + Default
    + Send
    + Sync
    + PartialOrd
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + AddAssign
    + 'static
{
    /// Nearest number of this type.
    fn of(value: f64) -> Self;
    /// Exact in both types.
    fn wide(self) -> f64;
}

impl Real for f32 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value as Self
    }
    #[inline(always)]
    fn wide(self) -> f64 {
        f64::from(self)
    }
}

impl Real for f64 {
    #[inline(always)]
    fn of(value: f64) -> Self {
        value
    }
    #[inline(always)]
    fn wide(self) -> f64 {
        self
    }
}
