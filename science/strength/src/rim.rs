//! Hoop tension in the rim of a shell that a load wedges open.
//!
//! Pressure from wedging on a cone of half-angle beta with friction mu: p = P/(2 pi a H (tan beta + mu)) (force balance along the axis,
//! tan beta small against 1/mu); ring of inner radius a, outer b: hoop p(a^2 + b^2)/(b^2 - a^2) at the bore, p 2a^2/(b^2 - a^2) outside (Lame;
//! Timoshenko, Goodier 1970, Theory of elasticity, memory).
//!
//! Limits: `share` is the part of the load that the walls carry by wedging; it is not known from geometry (an end wall or a bond carries the
//! rest) and must come as a range. Pressure taken even over the height; no bending of the rim.

use crate::error::{StrengthError, positive, within};
use crate::spectrum::{Extent, StressSpectrum};
use std::f64::consts::PI;

/// The rim of a shell on a cone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rim {
    /// Inner radius, mm.
    pub inner_radius: f64,
    /// Wall thickness, mm.
    pub thickness: f64,
    /// Height of the wall in contact, mm.
    pub height: f64,
    /// Half-angle of the cone, radian.
    pub half_angle: f64,
    /// Friction coefficient of the wall.
    pub friction: f64,
    /// Share of the load that the walls carry by wedging, 0..1.
    pub share: f64,
}

/// Hoop stress at bore and outer face of a ring under inner pressure 1 (Lame).
pub fn ring_stress(inner: f64, outer: f64) -> (f64, f64) {
    let (a2, b2) = (inner * inner, outer * outer);
    ((b2 + a2) / (b2 - a2), 2.0 * a2 / (b2 - a2))
}

/// Inner and outer face of the rim per newton. Errors name the measure that is not usable.
pub fn rim_spectrum(rim: &Rim) -> Result<StressSpectrum, StrengthError> {
    let a = positive("inner radius of the rim", rim.inner_radius)?;
    let b = a + positive("thickness of the rim", rim.thickness)?;
    let h = positive("height of the rim", rim.height)?;
    within("half-angle of the cone", rim.half_angle, (0.0..0.8).contains(&rim.half_angle), "0 to 0.8 radian")?;
    within("friction of the wall", rim.friction, rim.friction >= 0.0, "0 or more")?;
    within("share of the load by wedging", rim.share, rim.share > 0.0 && rim.share <= 1.0, "above 0 to 1")?;
    let wedge = positive("half-angle plus friction", rim.half_angle.tan() + rim.friction)?;
    let pressure = rim.share / (2.0 * PI * a * h * wedge);
    let (bore, outside) = ring_stress(a, b);
    let samples = [(pressure * bore, 2.0 * PI * a * h), (pressure * outside, 2.0 * PI * b * h)];
    StressSpectrum::from_samples("rim", Extent::Surface, &samples)
}
