//! Ductile necks: load at first yield and at full plastic bending, and the span's deflection.
//!
//! First yield P = proof W/|M per N|; full plastic bending multiplies it by the shape factor (1.5 rectangle, 16/(3 pi) ellipse): standard
//! beam theory. The notch factor is left out: a ductile root yields locally and redistributes. Limits: monotonic; fatigue of the metal left out.

use crate::beam::{self, Bending};
use crate::error::{StrengthError, poisson, positive};
use crate::neck::{Neck, NeckShape};
use std::f64::consts::PI;

/// A ductile material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metal {
    /// 0.2 % proof stress, MPa.
    pub proof: f64,
    /// Modulus, MPa.
    pub modulus: f64,
    /// Poisson ratio.
    pub poisson: f64,
}

/// What a ductile neck stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yielding {
    /// Load at which the outer fibre reaches the proof stress, N.
    pub first_yield: f64,
    /// Load at which the whole section flows, N.
    pub plastic: f64,
    /// Elastic deflection per newton with the neck's section all along, mm/N (an upper limit: the bodies are thicker); none where not defined.
    pub deflection: Option<f64>,
}

/// Yield loads and deflection of a neck. Errors name the measure that is not usable.
pub fn yielding(neck: &Neck, bending: &Bending, metal: &Metal) -> Result<Yielding, StrengthError> {
    positive("height of the neck", neck.height)?;
    positive("width of the neck", neck.width)?;
    let (proof, e, nu) =
        (positive("proof stress", metal.proof)?, positive("modulus", metal.modulus)?, poisson(metal.poisson)?);
    let moment = positive("bending moment at the neck", bending.moment()?.abs())?;
    let first_yield = proof * neck.modulus() / moment;
    let (shape, kappa) = match neck.shape {
        NeckShape::Rectangle => (1.5, beam::cowper_rectangle(nu)),
        // Cowper 1966, circle: 6(1+nu)/(7+6nu).
        NeckShape::Ellipse => (16.0 / (3.0 * PI), 6.0 * (1.0 + nu) / (7.0 + 6.0 * nu)),
    };
    let g = e / (2.0 * (1.0 + nu));
    let deflection = beam::deflection(bending, neck.second_moment(), neck.area(), e, g, kappa);
    Ok(Yielding { first_yield, plastic: shape * first_yield, deflection })
}
