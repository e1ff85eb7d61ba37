//! Colour coordinates: XYZ, CIELAB, CIELCh (CIE 15:2018, 8.2.1, with the linear part below (6/29)^3).

use serde::{Deserialize, Serialize};

/// Tristimulus values X, Y, Z; white has Y = 100.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Xyz(pub [f64; 3]);

/// CIELAB coordinates.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lab {
    /// Lightness L*, 0..100.
    pub l: f64,
    /// Green to red a*.
    pub a: f64,
    /// Blue to yellow b*.
    pub b: f64,
}

/// Lightness, chroma, hue.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Lch {
    /// Lightness L*.
    pub l: f64,
    /// Chroma C*.
    pub c: f64,
    /// Hue angle, degrees 0..360.
    pub h: f64,
}

const DELTA: f64 = 6.0 / 29.0;

fn compress(t: f64) -> f64 {
    if t > DELTA * DELTA * DELTA { t.cbrt() } else { t / (3.0 * DELTA * DELTA) + 4.0 / 29.0 }
}

fn expand(f: f64) -> f64 {
    if f > DELTA { f * f * f } else { 3.0 * DELTA * DELTA * (f - 4.0 / 29.0) }
}

impl Lab {
    /// From L*, a*, b*.
    pub fn new(l: f64, a: f64, b: f64) -> Self {
        Self { l, a, b }
    }

    /// From tristimulus values relative to a white.
    pub fn from_xyz(xyz: Xyz, white: Xyz) -> Self {
        let [x, y, z] = std::array::from_fn(|i| compress(xyz.0[i] / white.0[i]));
        Self { l: 116.0 * y - 16.0, a: 500.0 * (x - y), b: 200.0 * (y - z) }
    }

    /// Tristimulus values under a white.
    pub fn xyz(&self, white: Xyz) -> Xyz {
        let y = (self.l + 16.0) / 116.0;
        let [x, y, z] = [y + self.a / 500.0, y, y - self.b / 200.0].map(expand);
        Xyz([x * white.0[0], y * white.0[1], z * white.0[2]])
    }

    /// Chroma C*.
    pub fn chroma(&self) -> f64 {
        self.a.hypot(self.b)
    }

    /// Lightness, chroma and hue.
    pub fn lch(&self) -> Lch {
        let h = self.b.atan2(self.a).to_degrees();
        Lch { l: self.l, c: self.chroma(), h: if h < 0.0 { h + 360.0 } else { h } }
    }

    /// True when every coordinate is a number and lightness within 0..100.
    pub fn is_possible(&self) -> bool {
        (0.0..=100.0).contains(&self.l) && self.a.is_finite() && self.b.is_finite()
    }
}

impl Lch {
    /// Rectangular coordinates.
    pub fn lab(&self) -> Lab {
        let (s, c) = self.h.to_radians().sin_cos();
        Lab { l: self.l, a: self.c * c, b: self.c * s }
    }
}
