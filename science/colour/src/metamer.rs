//! A smooth reflectance that has a given colour: one of the many, chosen by two shifts.
//!
//! R = 1/2 + z / (2 sqrt(1 + z^2)), z = c0 + c1 u + c2 u^2 + s1 u^3 + s2 u^4, u = (lambda - 560 nm)/180 nm: the bounded sigmoid of a
//! polynomial of Jakob, Hanika 2019, Comput Graph Forum 38:147-155, doi 10.1111/cgf.13626, with two terms added. c0..c2 are
//! solved (Newton) so that the colour under the given viewing is exact; s1, s2 span a family of metamers, so that what a
//! colour alone does not tell about a spectrum goes into the spread of the answer.
//!
//! Range: colours of non-fluorescent bodies well inside the optimal-colour solid, whose room for chroma closes towards black and
//! white (L* 94 with a* 14 and b* 31 is refused). Limits: no narrow bands.

use crate::spectrum::{BANDS, Spectrum};
use crate::viewing::Viewing;
use crate::{Lab, Xyz};
use thiserror::Error;

/// No smooth reflectance has this colour.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error(
    "no smooth reflectance has L* {l:.1} a* {a:.1} b* {b:.1}; expected the colour of a body (L* 0 to 100, moderate chroma)"
)]
pub struct NoSuchBody {
    /// L*.
    pub l: f64,
    /// a*.
    pub a: f64,
    /// b*.
    pub b: f64,
}

/// The smooth reflectance of colour `lab` under `viewing`, with shifts s1, s2 (0 for the plainest; spread about 0.1).
pub fn smooth_reflectance(lab: Lab, shifts: [f64; 2], viewing: &Viewing) -> Result<Spectrum, NoSuchBody> {
    let failure = NoSuchBody { l: lab.l, a: lab.a, b: lab.b };
    if !lab.is_possible() || lab.l <= 0.0 || lab.l >= 100.0 {
        return Err(failure);
    }
    let goal = lab.xyz(viewing.white());
    let start = (2.0 * (goal.0[1] / 100.0).clamp(0.002, 0.998)) - 1.0;
    let mut c = [start / (1.0 - start * start).sqrt(), 0.0, 0.0];
    let mut miss = residual(&reflectance(c, shifts), goal, viewing);
    for _ in 0..60 {
        if size(miss) < 1e-11 {
            return Ok(reflectance(c, shifts));
        }
        let step = solve(jacobian(c, shifts, viewing), miss).ok_or(failure)?;
        let mut length = 1.0;
        loop {
            let tried: [f64; 3] = std::array::from_fn(|i| c[i] - length * step[i]);
            let left = residual(&reflectance(tried, shifts), goal, viewing);
            if size(left) < size(miss) {
                (c, miss) = (tried, left);
                break;
            }
            length *= 0.5;
            if length < 1e-6 {
                return if size(miss) < 1e-9 { Ok(reflectance(c, shifts)) } else { Err(failure) };
            }
        }
    }
    Err(failure)
}

fn place(i: usize) -> f64 {
    (crate::spectrum::wavelength(i) - 560.0) / 180.0
}

fn exponent(c: [f64; 3], [s1, s2]: [f64; 2], u: f64) -> f64 {
    c[0] + u * (c[1] + u * (c[2] + u * (s1 + u * s2)))
}

fn reflectance(c: [f64; 3], shifts: [f64; 2]) -> Spectrum {
    Spectrum(std::array::from_fn(|i| {
        let z = exponent(c, shifts, place(i));
        0.5 + 0.5 * z / (1.0 + z * z).sqrt()
    }))
}

/// Missed tristimulus values, as shares of the white.
fn residual(r: &Spectrum, goal: Xyz, viewing: &Viewing) -> [f64; 3] {
    let (xyz, white) = (viewing.xyz(r), viewing.white());
    std::array::from_fn(|i| (xyz.0[i] - goal.0[i]) / white.0[i])
}

fn size(v: [f64; 3]) -> f64 {
    v.iter().map(|x| x * x).sum::<f64>().sqrt()
}

fn jacobian(c: [f64; 3], shifts: [f64; 2], viewing: &Viewing) -> [[f64; 3]; 3] {
    let white = viewing.white();
    let mut j = [[0.0; 3]; 3];
    for i in 0..BANDS {
        let u = place(i);
        let z = exponent(c, shifts, u);
        let slope = 0.5 / (1.0 + z * z).powf(1.5);
        for (axis, row) in j.iter_mut().enumerate() {
            let w = viewing.weights(axis)[i] / white.0[axis] * slope;
            row[0] += w;
            row[1] += w * u;
            row[2] += w * u * u;
        }
    }
    j
}

/// Cramer's rule; none when singular.
fn solve(m: [[f64; 3]; 3], y: [f64; 3]) -> Option<[f64; 3]> {
    let det = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1]) - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = det(&m);
    if whole.abs() < 1e-300 || !whole.is_finite() {
        return None;
    }
    Some(std::array::from_fn(|column| {
        let mut replaced = m;
        for row in 0..3 {
            replaced[row][column] = y[row];
        }
        det(&replaced) / whole
    }))
}
