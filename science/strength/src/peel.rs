//! Peel under a strip that a thin layer holds on a rigid base, pulled up at one end.
//!
//! Beam on springs, EI w'''' + k b w = 0, with beta = (k b/4EI)^(1/4) = (3k/(E t^3))^(1/4): w''(0) = M/EI, w'''(0) = V/EI at the lifted end, both nothing at the far one; peel k w. A strip much longer than 1/beta
//! has 2 beta (V + beta M)/b at its edge, so that peel goes as t^(-3/4) under a force and as t^(-3/2) under a moment. Hetenyi 1946, Beams on elastic foundation (memory); for joints
//! Goland, Reissner 1944, J Appl Mech 11:A17-A27 (memory).
//!
//! Limits: shear in the layer and across the strip left out, a straight strip on a base that gives nothing, no flaw at the edge; what peel a layer bears is not known here, so values are for comparing.

use crate::error::{StrengthError, positive, within};
use numerics::dense::Matrix;

/// A strip held by a layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Length along which it is held, mm.
    pub length: f64,
    /// Width, mm.
    pub width: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// Modulus, MPa.
    pub modulus: f64,
    /// Stiffness of the layer across it, N/mm3: modulus over thickness.
    pub layer: f64,
}

/// What pulls at its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Force away from the base, N.
    pub force: f64,
    /// Moment that lifts the end, N mm.
    pub moment: f64,
}

/// Peel along a strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Peel {
    /// Factors of e^-u cos u, e^-u sin u from the pulled end and from the far one, N.
    parts: [f64; 4],
    /// 1/beta, mm: over which peel falls off.
    pub reach: f64,
    length: f64,
    width: f64,
}

impl Peel {
    /// Peel at a distance from the pulled end, MPa, tension positive.
    pub fn at(&self, x: f64) -> f64 {
        let (u, v) = (x / self.reach, (self.length - x) / self.reach);
        let [a, b, c, d] = self.parts;
        let y = (-u).exp() * (a * u.cos() + b * u.sin()) + (-v).exp() * (c * v.cos() + d * v.sin());
        2.0 * y / (self.reach * self.width)
    }

    /// At the pulled end, MPa: nowhere is it greater under a pull that lifts.
    pub fn edge(&self) -> f64 {
        self.at(0.0)
    }
}

/// Peel under a strip.
///
/// # Errors
/// A measure that none can have; a pull that is not finite.
pub fn peel(strip: &Strip, pull: &Pull) -> Result<Peel, StrengthError> {
    let length = positive("length of the strip", strip.length)?;
    let width = positive("width of the strip", strip.width)?;
    let thickness = positive("thickness of the strip", strip.thickness)?;
    let modulus = positive("modulus of the strip", strip.modulus)?;
    let layer = positive("stiffness of the layer", strip.layer)?;
    within("force on the strip", pull.force, pull.force.is_finite(), "a finite number")?;
    within("moment on the strip", pull.moment, pull.moment.is_finite(), "a finite number")?;
    let beta = (3.0 * layer / (modulus * thickness.powi(3))).powf(0.25);
    // Second and third derivatives of e^-u cos u and e^-u sin u; from the far end the third changes its sign.
    let second = |u: f64| [2.0 * (-u).exp() * u.sin(), -2.0 * (-u).exp() * u.cos()];
    let third = |u: f64| [2.0 * (-u).exp() * (u.cos() - u.sin()), 2.0 * (-u).exp() * (u.cos() + u.sin())];
    // Beyond 30 reaches the ends know nothing of each other.
    let far = (beta * length).min(30.0);
    let row = |near: [f64; 2], back: [f64; 2], sign: f64| [near[0], near[1], sign * back[0], sign * back[1]];
    let rows = [
        row(second(0.0), second(far), 1.0),
        row(third(0.0), third(far), -1.0),
        row(second(far), second(0.0), 1.0),
        row(third(far), third(0.0), -1.0),
    ];
    let ends = [2.0 * beta * pull.moment, 2.0 * pull.force, 0.0, 0.0];
    let found = Matrix::from_fn(4, |i, j| rows[i][j]).solve(&ends).map_err(|_| StrengthError::OutOfRange {
        quantity: "length of the strip",
        found: length,
        expected: "long enough to hold",
    })?;
    let mut parts = [0.0; 4];
    parts.copy_from_slice(&found);
    Ok(Peel { parts, reach: 1.0 / beta, length, width })
}
