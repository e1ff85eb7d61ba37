//! A value with its first and second derivatives by two variables, so that a likelihood is written once and differentiated exactly.

use std::ops::{Add, Neg, Sub};

/// Value, gradient, and second derivatives (uu, uv, vv).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Jet {
    pub value: f64,
    pub slope: [f64; 2],
    pub bend: [f64; 3],
}

impl Jet {
    pub fn constant(value: f64) -> Self {
        Self { value, slope: [0.0; 2], bend: [0.0; 3] }
    }

    /// The variable of index 0 or 1.
    pub fn variable(value: f64, index: usize) -> Self {
        let mut slope = [0.0; 2];
        slope[index] = 1.0;
        Self { value, slope, bend: [0.0; 3] }
    }

    /// A function of this value, given with its first and second derivative there.
    pub fn through(self, (f, d, dd): (f64, f64, f64)) -> Self {
        let [u, v] = self.slope;
        let [uu, uv, vv] = self.bend;
        Self { value: f, slope: [d * u, d * v], bend: [d * uu + dd * u * u, d * uv + dd * u * v, d * vv + dd * v * v] }
    }

    pub fn exp(self) -> Self {
        let e = self.value.exp();
        self.through((e, e, e))
    }

    pub fn times(self, other: Self) -> Self {
        let ([a, b], [c, d]) = (self.slope, other.slope);
        let (x, y) = (self.value, other.value);
        Self {
            value: x * y,
            slope: [a * y + x * c, b * y + x * d],
            bend: [
                self.bend[0] * y + 2.0 * a * c + x * other.bend[0],
                self.bend[1] * y + a * d + b * c + x * other.bend[1],
                self.bend[2] * y + 2.0 * b * d + x * other.bend[2],
            ],
        }
    }

    /// log(1 - exp(this)) of a value below 0.
    pub fn log_one_less_exp(self) -> Self {
        let (e, rest) = (self.value.exp(), -self.value.exp_m1());
        self.through((rest.ln(), -e / rest, -e / (rest * rest)))
    }
}

impl Add for Jet {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self {
            value: self.value + o.value,
            slope: std::array::from_fn(|i| self.slope[i] + o.slope[i]),
            bend: std::array::from_fn(|i| self.bend[i] + o.bend[i]),
        }
    }
}

impl Neg for Jet {
    type Output = Self;
    fn neg(self) -> Self {
        Self { value: -self.value, slope: self.slope.map(|v| -v), bend: self.bend.map(|v| -v) }
    }
}

impl Sub for Jet {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        self + -o
    }
}
