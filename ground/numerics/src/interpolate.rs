//! Interpolation of tabulated functions that keeps their monotony: straight lines, and the monotone cubic of Fritsch, Carlson 1980,
//! SIAM J Numer Anal 17:238-246, doi 10.1137/0717021. Outside the table the end value is held.

use thiserror::Error;

/// Why a table cannot be interpolated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum TableError {
    /// Fewer than two points, or lists of different length.
    #[error("a table needs at least two points and as many values as places")]
    TooShort,
    /// Places that do not rise.
    #[error("the places must rise strictly; number {0} does not")]
    NotRising(usize),
}

/// A tabulated function.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Option<Vec<f64>>,
}

impl Curve {
    /// Straight lines between the points.
    pub fn linear(x: &[f64], y: &[f64]) -> Result<Self, TableError> {
        if x.len() < 2 || x.len() != y.len() {
            return Err(TableError::TooShort);
        }
        if let Some(i) = (1..x.len()).find(|&i| x[i].is_nan() || x[i] <= x[i - 1]) {
            return Err(TableError::NotRising(i));
        }
        Ok(Self { x: x.to_vec(), y: y.to_vec(), slope: None })
    }

    /// Monotone cubic: rises where the points rise, falls where they fall, smooth in the first derivative.
    pub fn monotone(x: &[f64], y: &[f64]) -> Result<Self, TableError> {
        let mut curve = Self::linear(x, y)?;
        let n = x.len();
        let secant: Vec<f64> = (1..n).map(|i| (y[i] - y[i - 1]) / (x[i] - x[i - 1])).collect();
        let mut slope: Vec<f64> = (0..n)
            .map(|i| match i {
                0 => secant[0],
                i if i == n - 1 => secant[n - 2],
                i if secant[i - 1] * secant[i] <= 0.0 => 0.0,
                i => 0.5 * (secant[i - 1] + secant[i]),
            })
            .collect();
        for i in 0..n - 1 {
            if secant[i] == 0.0 {
                (slope[i], slope[i + 1]) = (0.0, 0.0);
                continue;
            }
            let (a, b) = (slope[i] / secant[i], slope[i + 1] / secant[i]);
            let length = a.hypot(b);
            if length > 3.0 {
                slope[i] = 3.0 * a / length * secant[i];
                slope[i + 1] = 3.0 * b / length * secant[i];
            }
        }
        curve.slope = Some(slope);
        Ok(curve)
    }

    /// Value at `x`; the end value outside the table.
    pub fn at(&self, x: f64) -> f64 {
        let n = self.x.len();
        if x <= self.x[0] {
            return self.y[0];
        }
        if x >= self.x[n - 1] {
            return self.y[n - 1];
        }
        let i = self.x.partition_point(|&p| p <= x).clamp(1, n - 1) - 1;
        let h = self.x[i + 1] - self.x[i];
        let t = (x - self.x[i]) / h;
        let (y0, y1) = (self.y[i], self.y[i + 1]);
        match &self.slope {
            None => y0 + t * (y1 - y0),
            Some(m) => {
                let (t2, t3) = (t * t, t * t * t);
                (2.0 * t3 - 3.0 * t2 + 1.0) * y0
                    + (t3 - 2.0 * t2 + t) * h * m[i]
                    + (3.0 * t2 - 2.0 * t3) * y1
                    + (t3 - t2) * h * m[i + 1]
            }
        }
    }
}
