//! Hertz contact of a ball on a flat: contact radius, pressure, approach and the tension at its rim.
//!
//! a = (3PR/(4E*))^(1/3), 1/E* = (1-nu1^2)/E1 + (1-nu2^2)/E2, p0 = 3P/(2 pi a^2), approach a^2/R, radial tension at the rim of the flat
//! (1-2nu) p0/3, falling as a^2/r^2. Johnson 1985, Contact mechanics, ch. 4 (memory).
//!
//! Limits: no friction (friction raises the rim tension), a well below R and the thickness of the flat. The tension is steep over a few
//! hundredths of a millimetre: it makes ring cracks, not by itself failure through the wall.

use crate::error::{StrengthError, poisson, positive};
use std::f64::consts::PI;

/// An elastic body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elastic {
    /// Modulus, MPa.
    pub modulus: f64,
    /// Poisson ratio.
    pub poisson: f64,
}

/// A contact under its load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Contact radius, mm.
    pub radius: f64,
    /// Greatest pressure, MPa.
    pub pressure: f64,
    /// Approach of the bodies, mm.
    pub approach: f64,
    /// Radial tension at the rim on the flat, MPa.
    pub rim_tension: f64,
}

/// Ball of radius `ball` (mm) pressed by `load` (N) on a flat.
pub fn hertz(load: f64, ball: f64, ball_body: Elastic, flat: Elastic) -> Result<Contact, StrengthError> {
    let (p, r) = (positive("load", load)?, positive("radius of the ball", ball)?);
    let mut compliance = 0.0;
    for body in [ball_body, flat] {
        compliance += (1.0 - poisson(body.poisson)?.powi(2)) / positive("modulus", body.modulus)?;
    }
    let a = (0.75 * p * r * compliance).cbrt();
    let pressure = 1.5 * p / (PI * a * a);
    Ok(Contact { radius: a, pressure, approach: a * a / r, rim_tension: (1.0 - 2.0 * flat.poisson) * pressure / 3.0 })
}
