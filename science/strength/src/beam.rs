//! Bending moment of a beam at a neck, per newton, and its deflection.
//!
//! Simply supported and built-in beams under a point load at a (b = L - a), section at x, seen from the support with x <= a:
//! simple M = P b x/L; built in M = P b^2 (3a + b) x/L^3 - P a b^2/L^2. Between the two: M = (1-f) simple + f built in, f the fixity
//! of the supports (0 free to turn, 1 held). Standard beam theory (Timoshenko 1955, Strength of Materials I, memory).
//! Deflection under a central load: P L^3/(48 EI) simple, a quarter of it built in, P a^3/(3EI) cantilever; shear adds P L/(4 k G A)
//! (P a/(k G A) cantilever), rectangle k = 10(1+nu)/(12+11nu): Cowper 1966, J Appl Mech 33:335-340, doi 10.1115/1.3625046 (memory).
//!
//! Limits: straight slender beams of one section; the linear blend by f is ours (exact for equal elastic supports and a central load).

use crate::error::{StrengthError, positive, within};

/// How a beam is held and loaded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bending {
    /// Point load on a beam on two supports.
    Span {
        /// Distance of the supports, mm.
        span: f64,
        /// Place of the load from the left support, mm.
        load_at: f64,
        /// Place of the section looked at from the left support, mm.
        at: f64,
        /// 0 supports free to turn, 1 built in.
        fixity: f64,
    },
    /// Two equal half loads, centred, free supports; the section lies between the inner rollers.
    FourPoint {
        /// Outer span, mm.
        outer: f64,
        /// Inner span, mm.
        inner: f64,
    },
    /// Load at the end of an arm that is built in at the section.
    Cantilever {
        /// Distance from the section to the load, mm.
        arm: f64,
    },
    /// A moment known otherwise, N mm per N.
    Moment(f64),
}

impl Bending {
    /// Three-point bending of free supports, section under the central load.
    pub fn three_point(span: f64) -> Self {
        Self::Span { span, load_at: 0.5 * span, at: 0.5 * span, fixity: 0.0 }
    }

    /// Both ends built in, section under the central load.
    pub fn built_in(span: f64) -> Self {
        Self::Span { span, load_at: 0.5 * span, at: 0.5 * span, fixity: 1.0 }
    }

    /// Bending moment at the section, N mm per N; positive bends the load side inwards.
    pub fn moment(&self) -> Result<f64, StrengthError> {
        match *self {
            Self::Span { span, load_at, at, fixity } => {
                let l = positive("span", span)?;
                within("place of the load", load_at, (0.0..=l).contains(&load_at), "between the supports")?;
                within("place of the section", at, (0.0..=l).contains(&at), "between the supports")?;
                within("fixity of the supports", fixity, (0.0..=1.0).contains(&fixity), "0 to 1")?;
                let (a, x) = if at <= load_at { (load_at, at) } else { (l - load_at, l - at) };
                let b = l - a;
                let simple = b * x / l;
                let held = b * b * (3.0 * a + b) * x / l.powi(3) - a * b * b / (l * l);
                Ok((1.0 - fixity) * simple + fixity * held)
            }
            Self::FourPoint { outer, inner } => {
                positive("outer span", outer)?;
                within("inner span", inner, inner >= 0.0 && inner < outer, "0 to below the outer span")?;
                Ok(0.25 * (outer - inner))
            }
            Self::Cantilever { arm } => Ok(-positive("arm", arm)?),
            Self::Moment(m) => within("bending moment", m, true, "a finite number"),
        }
    }
}

/// Deflection per newton, mm/N, under the load of a beam of second moment `inertia` (mm4), area (mm2), moduli E and G (MPa) and shear
/// coefficient `kappa`: at mid-span for a central load, at the tip for an arm. `None` for the other ways of bending.
pub fn deflection(bending: &Bending, inertia: f64, area: f64, e: f64, g: f64, kappa: f64) -> Option<f64> {
    match *bending {
        Bending::Span { span, load_at, fixity, .. } if (load_at - 0.5 * span).abs() < 1e-9 * span => {
            Some((1.0 - 0.75 * fixity) * span.powi(3) / (48.0 * e * inertia) + span / (4.0 * kappa * g * area))
        }
        Bending::Cantilever { arm } => Some(arm.powi(3) / (3.0 * e * inertia) + arm / (kappa * g * area)),
        _ => None,
    }
}

/// Shear coefficient of a rectangle (Cowper 1966).
pub fn cowper_rectangle(nu: f64) -> f64 {
    10.0 * (1.0 + nu) / (12.0 + 11.0 * nu)
}
