//! A neck between two thicker bodies, in bending: its tensile surface by stress.
//!
//! Net-section bending stress sigma_n = M/W (W = b h^2/6 rectangle, pi b h^2/32 ellipse; h along the load) times the notch factor K of the
//! fillet gives the root stress. Around the section it goes as 2y/h. Along the fillet, phi the angle of its surface from the axis, it
//! falls as cos^2 phi: the free-surface stress of a blunt notch after Creager, Paris 1967, Int J Fract Mech 3:247-252,
//! doi 10.1007/BF00182897 (memory), or as the section modulus grows, whichever falls faster (ours; the second rules for wide fillets).
//!
//! Limits: r/h from 0.02 up to 2; plane notch factor used for rectangles, round-bar one for ellipses (height counts); shear, torsion and the
//! pull of the load itself left out; the distribution along the fillet is an approximation not checked by finite elements, K see [`crate::notch`].

use crate::beam::Bending;
use crate::error::{StrengthError, positive, within};
use crate::notch;
use crate::points::points;
use crate::spectrum::{Extent, StressSpectrum};
use std::f64::consts::PI;

/// Poisson ratio of the notch factor: it moves K by under 2 % between 0.2 and 0.3.
const USUAL_POISSON: f64 = 0.25;

/// Outline of the section.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NeckShape {
    /// Rectangle.
    Rectangle,
    /// Ellipse.
    Ellipse,
}

/// A neck: smallest section between two bodies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neck {
    /// Full height, along the load, mm.
    pub height: f64,
    /// Full width, across the load, mm.
    pub width: f64,
    /// Outline.
    pub shape: NeckShape,
    /// Radius of the fillet into the bodies, along the beam, mm.
    pub fillet_radius: f64,
    /// How far the bodies rise above the neck on each side, mm; infinite when they are much higher (the upper limit of stress).
    pub depth: f64,
}

impl Neck {
    /// Area, mm2.
    pub fn area(&self) -> f64 {
        self.height * self.width * if self.shape == NeckShape::Rectangle { 1.0 } else { PI / 4.0 }
    }

    /// Second moment of area about the axis across the load, mm4.
    pub fn second_moment(&self) -> f64 {
        self.width * self.height.powi(3) * if self.shape == NeckShape::Rectangle { 1.0 / 12.0 } else { PI / 64.0 }
    }

    /// Section modulus, mm3.
    pub fn modulus(&self) -> f64 {
        2.0 * self.second_moment() / self.height
    }

    /// Notch factor of the fillet for Poisson ratio `nu` (used by the round form).
    pub fn notch_factor(&self, nu: f64) -> f64 {
        let (a, t, r) = (0.5 * self.height, self.depth, self.fillet_radius);
        match self.shape {
            NeckShape::Rectangle => notch::flat_bar(a, t, r),
            NeckShape::Ellipse => notch::round_bar(a, t, r, nu),
        }
    }

    fn check(&self) -> Result<(), StrengthError> {
        positive("height of the neck", self.height)?;
        positive("width of the neck", self.width)?;
        positive("fillet radius of the neck", self.fillet_radius)?;
        let depth = if self.depth == f64::INFINITY { 0.0 } else { self.depth };
        within("depth of the neck", depth, depth >= 0.0, "0 or more")?;
        Ok(())
    }
}

/// Tensile surface of the neck under `bending`, Poisson ratio 0.25. Errors name the measure that is not usable.
///
/// ```
/// use strength::{Bending, Neck, NeckShape, neck_spectrum};
/// let neck = Neck { height: 4.0, width: 3.0, shape: NeckShape::Ellipse, fillet_radius: 0.5, depth: 2.0 };
/// let spectrum = neck_spectrum(&neck, &Bending::built_in(16.0)).unwrap();
/// assert!(spectrum.equivalent_stress(10.0) < spectrum.peak() * 2.0);
/// ```
pub fn neck_spectrum(neck: &Neck, bending: &Bending) -> Result<StressSpectrum, StrengthError> {
    neck.check()?;
    let moment = bending.moment()?.abs();
    let nominal = positive("bending moment at the neck", moment)? / neck.modulus();
    let root = nominal * neck.notch_factor(USUAL_POISSON);
    let along = fillet_profile(neck);
    let around = section_profile(neck);
    let mut samples = Vec::with_capacity(along.len() * around.len());
    for &(factor, length) in &along {
        samples.extend(around.iter().map(|&(share, girth)| (root * factor * share, length * girth)));
    }
    StressSpectrum::from_samples("neck", Extent::Surface, &samples)
}

/// (stress over root stress, length in mm) along both quarters of the fillet.
fn fillet_profile(neck: &Neck) -> Vec<(f64, f64)> {
    let (r, h) = (neck.fillet_radius, neck.height);
    let rise = (neck.depth / r).min(1.0);
    let end = (1.0 - rise).acos();
    points(24, 0.0, end)
        .map(|(phi, w)| {
            let growth = 1.0 + 2.0 * r * (1.0 - phi.cos()) / h;
            let section = growth.powi(-3);
            (phi.cos().powi(2).min(section), 2.0 * r * w)
        })
        .collect()
}

/// (stress over extreme-fibre stress, girth in mm) around the tensile half of the section.
fn section_profile(neck: &Neck) -> Vec<(f64, f64)> {
    let (a, b) = (0.5 * neck.height, 0.5 * neck.width);
    match neck.shape {
        NeckShape::Rectangle => {
            let mut out = vec![(1.0, neck.width)];
            out.extend(points(24, 0.0, 1.0).map(|(u, w)| (u, 2.0 * a * w)));
            out
        }
        NeckShape::Ellipse => {
            points(32, 0.0, 0.5 * PI).map(|(t, w)| (t.cos(), 2.0 * w * (a * t.sin()).hypot(b * t.cos()))).collect()
        }
    }
}
