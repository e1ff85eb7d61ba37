//! Colour for a screen: sRGB (IEC 61966-2-1:1999), white at D65.
//!
//! Out-of-gamut colours keep lightness and hue and lose chroma until they fit (bisection in CIELCh). CIELAB is taken relative to
//! the white of sRGB whatever lamp it was computed under, as an adapted eye sees it. Limits: a screen shows a hint, never a match.

use crate::{Lab, Lch, Xyz};

/// D65 white of sRGB (Y = 100).
const WHITE: Xyz = Xyz([95.047, 100.0, 108.883]);

/// Linear light of red, green, blue for tristimulus values under D65; outside 0..1 when out of gamut.
pub fn linear_from_xyz(xyz: Xyz) -> [f64; 3] {
    let [x, y, z] = xyz.0.map(|v| v / 100.0);
    [
        3.2406255 * x - 1.5372080 * y - 0.4986286 * z,
        -0.9689307 * x + 1.8757561 * y + 0.0415175 * z,
        0.0557101 * x - 0.2040211 * y + 1.0569959 * z,
    ]
}

/// Tristimulus values under D65 of linear red, green, blue.
pub fn xyz_from_linear([r, g, b]: [f64; 3]) -> Xyz {
    Xyz([
        100.0 * (0.4124 * r + 0.3576 * g + 0.1805 * b),
        100.0 * (0.2126 * r + 0.7152 * g + 0.0722 * b),
        100.0 * (0.0193 * r + 0.1192 * g + 0.9505 * b),
    ])
}

/// Linear light 0..1 from a coded value 0..1.
pub fn decode(v: f64) -> f64 {
    if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
}

/// Coded value 0..1 from linear light 0..1.
pub fn encode(v: f64) -> f64 {
    if v <= 0.0031308 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 }
}

/// Linear light of a CIELAB colour relative to the white of the screen, not mapped into gamut.
pub fn linear_from_lab(lab: Lab) -> [f64; 3] {
    linear_from_xyz(lab.xyz(WHITE))
}

/// CIELAB of linear light.
pub fn lab_from_linear(rgb: [f64; 3]) -> Lab {
    Lab::from_xyz(xyz_from_linear(rgb), WHITE)
}

/// Bytes for a screen, mapped into gamut, and whether chroma had to be taken away.
pub fn screen(lab: Lab) -> ([u8; 3], bool) {
    let shown = Lab { l: lab.l.clamp(0.0, 100.0), ..lab };
    let fits = |lab: Lab| linear_from_lab(lab).iter().all(|v| (-1e-4..=1.0001).contains(v));
    let mapped = !fits(shown);
    let lch = shown.lch();
    let chroma = if mapped { greatest(0.0, lch.c, |c| fits(Lch { c, ..lch }.lab())) } else { lch.c };
    let rgb = linear_from_lab(Lch { c: chroma, ..lch }.lab());
    (rgb.map(|v| (encode(v.clamp(0.0, 1.0)) * 255.0).round() as u8), mapped)
}

/// Greatest value in low..high for which `fits` holds, to 2^-30 of the range.
fn greatest(mut low: f64, mut high: f64, fits: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..30 {
        let mid = 0.5 * (low + high);
        if fits(mid) { low = mid } else { high = mid }
    }
    low
}
