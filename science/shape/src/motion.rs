//! Rigid motions and bodies placed by them.

use crate::solid::{Aabb, ShapeError, Solid, finite};
use crate::vector::{add, dot, scale, sub, unit};

/// A rotation followed by a shift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Motion {
    rows: [[f64; 3]; 3],
    shift: [f64; 3],
}

impl Motion {
    /// Shift only.
    pub fn shift(by: [f64; 3]) -> Result<Self, ShapeError> {
        Ok(Self { rows: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], shift: finite("shift", by)? })
    }

    /// Rotation by `angle` (radian) about an axis through the origin, right-handed (Rodrigues), then a shift.
    pub fn turn(axis: [f64; 3], angle: f64, shift: [f64; 3]) -> Result<Self, ShapeError> {
        let u = unit(axis).ok_or(ShapeError::NoDirection("axis of rotation"))?;
        if !angle.is_finite() {
            return Err(ShapeError::OutOfRange { quantity: "angle", found: angle, expected: "a finite number" });
        }
        let (s, c) = angle.sin_cos();
        let cross = [[0.0, -u[2], u[1]], [u[2], 0.0, -u[0]], [-u[1], u[0], 0.0]];
        let rows = std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                let same = if i == j { c } else { 0.0 };
                same + (1.0 - c) * u[i] * u[j] + s * cross[i][j]
            })
        });
        Ok(Self { rows, shift: finite("shift", shift)? })
    }

    /// Rows of a rotation matrix (trusted to be one) and a shift.
    pub(crate) fn of_rows(rows: [[f64; 3]; 3], shift: [f64; 3]) -> Self {
        Self { rows, shift }
    }

    /// No motion.
    pub fn none() -> Self {
        Self { rows: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], shift: [0.0; 3] }
    }

    /// This motion followed by another.
    pub fn then(&self, next: &Self) -> Self {
        let columns: [[f64; 3]; 3] = std::array::from_fn(|j| next.turned(self.rows.map(|r| r[j])));
        Self { rows: std::array::from_fn(|i| columns.map(|c| c[i])), shift: next.apply(self.shift) }
    }

    /// The motion back.
    pub fn inverse(&self) -> Self {
        let rows = std::array::from_fn(|i| self.rows.map(|r| r[i]));
        Self { rows, shift: scale(self.turn_back(self.shift), -1.0) }
    }

    /// Rows of the rotation matrix.
    pub fn rows(&self) -> [[f64; 3]; 3] {
        self.rows
    }

    /// The shift, applied after the rotation.
    pub fn shift_after(&self) -> [f64; 3] {
        self.shift
    }

    /// Angle of the rotation, radian.
    pub fn angle(&self) -> f64 {
        let r = &self.rows;
        let sine = [r[2][1] - r[1][2], r[0][2] - r[2][0], r[1][0] - r[0][1]];
        crate::vector::norm(sine).atan2(r[0][0] + r[1][1] + r[2][2] - 1.0)
    }

    /// A direction turned.
    pub fn turned(&self, d: [f64; 3]) -> [f64; 3] {
        self.rows.map(|r| dot(r, d))
    }

    /// Where a point of the body goes.
    pub fn apply(&self, p: [f64; 3]) -> [f64; 3] {
        add(self.rows.map(|r| dot(r, p)), self.shift)
    }

    /// Where a placed point came from.
    pub fn back(&self, p: [f64; 3]) -> [f64; 3] {
        self.turn_back(sub(p, self.shift))
    }

    fn turn_back(&self, d: [f64; 3]) -> [f64; 3] {
        (0..3).fold([0.0; 3], |sum, i| add(sum, scale(self.rows[i], d[i])))
    }
}

/// A body at another place.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed<A> {
    a: A,
    motion: Motion,
}

impl<A: Solid> Placed<A> {
    /// `a` moved by `motion`.
    pub fn new(a: A, motion: Motion) -> Self {
        Self { a, motion }
    }
}

impl<A: Solid> Solid for Placed<A> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.a.distance(self.motion.back(p))
    }
    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        let g = self.a.gradient(self.motion.back(p));
        self.motion.rows.map(|r| dot(r, g))
    }
    fn bound(&self) -> Aabb {
        let corners = self.a.bound().corners().map(|c| self.motion.apply(c));
        corners.iter().fold(Aabb { low: corners[0], high: corners[0] }, |b, &c| b.join(&Aabb { low: c, high: c }))
    }
}
