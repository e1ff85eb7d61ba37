//! How much of the backing shows through a piece: contrast ratio and translucency parameter.
//!
//! CR = Y over black / Y over white (luminous reflectance, not lightness); TP = CIE 1976 difference between the two; TP00 = the same
//! in CIEDE2000 (Johnston, Ma, Kienle 1995, J Dent Res 74:1555-1558, for TP). All depend on backings, thickness, aperture and
//! instrument, so that figures of two laboratories are not comparable.

use crate::spectrum::Spectrum;
use crate::viewing::Viewing;
use crate::{Lab, cie76, ciede2000};

/// Contrast ratio of readings over black and white, 0..1.
pub fn contrast_ratio(black: &Spectrum, white: &Spectrum, viewing: &Viewing) -> f64 {
    viewing.luminance(black) / viewing.luminance(white)
}

/// Translucency parameter (CIE 1976) of readings over black and white.
pub fn translucency(black: Lab, white: Lab) -> f64 {
    cie76(black, white)
}

/// Translucency parameter in CIEDE2000.
pub fn translucency00(black: Lab, white: Lab) -> f64 {
    ciede2000(black, white)
}
