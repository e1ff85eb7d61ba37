//! Difference between two colours: CIE 1976 and CIEDE2000.
//!
//! CIEDE2000 after ISO/CIE 11664-6:2014 in the form of Sharma, Wu, Dalal 2005, Color Res Appl 30:21-30, doi 10.1002/col.20070,
//! with kL = kC = kH = 1. Range: made for differences below about 5; larger values order, but do not measure.

use crate::Lab;
use serde::{Deserialize, Serialize};

/// CIEDE2000 with the terms it is made of.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Difference {
    /// The difference.
    pub total: f64,
    /// dL'/SL: positive when the second is lighter.
    pub lightness: f64,
    /// dC'/SC: positive when the second is more saturated.
    pub chroma: f64,
    /// dH'/SH: signed as the turn of hue.
    pub hue: f64,
    /// Rotation term RT.
    pub rotation: f64,
}

/// CIE 1976 difference, the Euclidean distance in CIELAB.
pub fn cie76(a: Lab, b: Lab) -> f64 {
    ((a.l - b.l).powi(2) + (a.a - b.a).powi(2) + (a.b - b.b).powi(2)).sqrt()
}

/// CIEDE2000 difference.
pub fn ciede2000(a: Lab, b: Lab) -> f64 {
    ciede2000_parts(a, b).total
}

/// CIEDE2000 difference with its parts, from the first colour to the second.
pub fn ciede2000_parts(first: Lab, second: Lab) -> Difference {
    let mean_chroma = 0.5 * (first.chroma() + second.chroma());
    let c7 = mean_chroma.powi(7);
    let stretch = 1.5 - 0.5 * (c7 / (c7 + TWENTY_FIVE_7)).sqrt();
    let (a1, a2) = (first.a * stretch, second.a * stretch);
    let (c1, c2) = (a1.hypot(first.b), a2.hypot(second.b));
    let (h1, h2) = (hue(a1, first.b), hue(a2, second.b));

    let d_l = second.l - first.l;
    let d_c = c2 - c1;
    let coloured = c1 * c2 != 0.0;
    let turn = if !coloured {
        0.0
    } else if h2 - h1 > 180.0 {
        h2 - h1 - 360.0
    } else if h2 - h1 < -180.0 {
        h2 - h1 + 360.0
    } else {
        h2 - h1
    };
    let d_h = 2.0 * (c1 * c2).sqrt() * (0.5 * turn).to_radians().sin();

    let l_mean = 0.5 * (first.l + second.l);
    let c_mean = 0.5 * (c1 + c2);
    let h_mean = if !coloured {
        h1 + h2
    } else if (h1 - h2).abs() <= 180.0 {
        0.5 * (h1 + h2)
    } else if h1 + h2 < 360.0 {
        0.5 * (h1 + h2 + 360.0)
    } else {
        0.5 * (h1 + h2 - 360.0)
    };
    let cosine = |degrees: f64| degrees.to_radians().cos();
    let t = 1.0 - 0.17 * cosine(h_mean - 30.0) + 0.24 * cosine(2.0 * h_mean) + 0.32 * cosine(3.0 * h_mean + 6.0)
        - 0.20 * cosine(4.0 * h_mean - 63.0);
    let l50 = (l_mean - 50.0).powi(2);
    let s_l = 1.0 + 0.015 * l50 / (20.0 + l50).sqrt();
    let s_c = 1.0 + 0.045 * c_mean;
    let s_h = 1.0 + 0.015 * c_mean * t;
    let c7 = c_mean.powi(7);
    let spread = 60.0 * (-((h_mean - 275.0) / 25.0).powi(2)).exp();
    let rotation = -2.0 * (c7 / (c7 + TWENTY_FIVE_7)).sqrt() * spread.to_radians().sin();

    let (lightness, chroma, hue) = (d_l / s_l, d_c / s_c, d_h / s_h);
    let square = lightness * lightness + chroma * chroma + hue * hue + rotation * chroma * hue;
    Difference { total: square.max(0.0).sqrt(), lightness, chroma, hue, rotation }
}

pub(crate) const TWENTY_FIVE_7: f64 = 6103515625.0;

fn hue(a: f64, b: f64) -> f64 {
    if a == 0.0 && b == 0.0 {
        return 0.0;
    }
    let h = b.atan2(a).to_degrees();
    if h < 0.0 { h + 360.0 } else { h }
}
