//! The outer form of one tooth: crown with its cusps and ridges on a stub of root, as a solid.
//!
//! Frame of a tooth, mm: x towards mesial, y towards lip or cheek, z towards the chewing surface; origin on the crown's axis at the
//! height of the enamel's edge on the facial side. Teeth of both sides share it, so mirror teeth mirror.
//!
//! Sides: superellipse |x / a(z)|^p + |y / b(z)|^p = 1 with a [`profile`] towards each side, narrower towards the tongue, sheared
//! for rhombic molars; front teeth are hollow at the back between their marginal ridges. Top: the [`chewing`] surface. Both meet
//! in a rounding. Shares and slopes are rows of `tooth_forms.csv` and `tooth_ridges.csv`: drawn by eye to what anatomy teaches
//! (common practice, no source) but for the emergence angle (Du 2011) and molar cusp slopes (Methods Inf Med 2022).
//!
//! The field is a bound, not a true distance: it is right in sign everywhere and near the surface within a factor of the section's
//! ratio of axes. Sample it on a lattice (`shape::Field`) for true distances.

mod chewing;
mod profile;

use crate::side::Side;
use crate::{SizeError, ToothSize};
use answer::Provenance;
use catalogue::words::{Region, Tooth};
use catalogue::{Catalogue, CrownForm};
use chewing::{ChewingSurface, smooth_max};
use profile::Profile;
use shape::{Aabb, Solid};

/// Length of root modelled below the enamel's edge, mm.
pub const ROOT_STUB: f64 = 4.0;

/// Outer form of one tooth.
#[derive(Debug, Clone)]
pub struct ToothForm {
    tooth: Tooth,
    shape: CrownForm,
    facial: Profile,
    lingual: Profile,
    mesial: Profile,
    distal: Profile,
    chewing: ChewingSurface,
    size: ToothSize,
    /// Height at which wear has cut the crown off, mm.
    worn_to: f64,
}

impl ToothForm {
    /// Form of a tooth of average size.
    ///
    /// # Errors
    /// [`SizeError`] when the tables hold no size or form for it, or a size that no tooth has.
    pub fn of(catalogue: &Catalogue, tooth: Tooth) -> Result<Self, SizeError> {
        Self::new(catalogue, tooth, &ToothSize::of(catalogue, tooth)?)
    }

    /// Form of a tooth at a given size.
    ///
    /// # Errors
    /// [`SizeError::NoForm`] when the tables hold no form for it.
    pub fn new(catalogue: &Catalogue, tooth: Tooth, size: &ToothSize) -> Result<Self, SizeError> {
        let shape = catalogue.crown_form(tooth).ok_or(SizeError::NoForm(tooth))?.clone();
        let ridges = catalogue.ridges(tooth);
        let height = size.crown_height;
        let profile = |neck: f64, crest: f64, share: [f64; 3]| Profile {
            neck: 0.5 * neck,
            crest: 0.5 * crest,
            crest_height: share[0] * height,
            top: 0.5 * crest * share[1],
            height,
            bow: share[2],
            emergence: shape.emergence_degrees.to_radians().tan(),
        };
        let (fl, md) = (size.faciolingual, size.mesiodistal);
        let side = |of: fn(&catalogue::BySide) -> f64| [of(&shape.crest), of(&shape.top), of(&shape.bow)];
        Ok(Self {
            tooth,
            facial: profile(size.faciolingual_neck, fl, side(|s| s.facial)),
            lingual: profile(size.faciolingual_neck, fl, side(|s| s.lingual)),
            mesial: profile(size.mesiodistal_neck, md, side(|s| s.mesial)),
            distal: profile(size.mesiodistal_neck, md, side(|s| s.distal)),
            chewing: ChewingSurface::new(&ridges, [0.5 * md, 0.5 * fl], height),
            size: size.clone(),
            worn_to: f64::INFINITY,
            shape,
        })
    }

    /// The same tooth worn flat down to a height above the facial enamel edge, mm.
    #[must_use]
    pub fn worn_to(mut self, height: f64) -> Self {
        self.worn_to = height;
        self
    }

    /// Which tooth.
    pub fn tooth(&self) -> Tooth {
        self.tooth
    }

    /// Its size.
    pub fn size(&self) -> &ToothSize {
        &self.size
    }

    /// Facts its shape rests on (its size's stand with the size).
    pub fn provenance(&self) -> Provenance {
        Provenance { ids: self.shape.sources.iter().cloned().collect(), weakest: Some(self.shape.basis) }
    }

    /// Height of the top over a place of the section, mm.
    pub fn top(&self, x: f64, y: f64) -> f64 {
        let height = self.chewing.height(x, y);
        if self.worn_to.is_finite() { -smooth_max(-height, -self.worn_to, 0.3) } else { height }
    }

    /// Half-width of the outline towards a side at height z, mm, from the axis.
    pub(crate) fn half_width(&self, side: Side, z: f64) -> f64 {
        match side {
            Side::Facial => &self.facial,
            Side::Lingual => &self.lingual,
            Side::Mesial => &self.mesial,
            Side::Distal => &self.distal,
        }
        .half_width(z)
    }

    /// Place of the crown's axis towards lip or cheek at height z, mm.
    pub(crate) fn axis(&self, z: f64) -> f64 {
        let up = (z / self.size.crown_height).clamp(0.0, 1.0);
        let [neck, top] = self.shape.lean;
        (neck + (top - neck) * up) * self.size.faciolingual
    }

    /// Depth of the middle of the chewing surface below the highest cusp, mm; 0 for a front tooth's edge.
    pub(crate) fn fossa_depth(&self) -> f64 {
        if self.tooth.region() == Region::Anterior {
            0.0
        } else {
            self.size.crown_height - self.chewing.height(0.0, 0.0)
        }
    }

    /// Height of the enamel's edge at a place: facial and lingual 0, rising towards the neighbours.
    pub fn enamel_edge(&self, x: f64) -> f64 {
        let (half, rise) = if x > 0.0 {
            (self.mesial.neck, self.size.neck_curve_mesial)
        } else {
            (self.distal.neck, self.size.neck_curve_distal)
        };
        rise * (x / half).powi(2).min(1.0)
    }

    /// Field of a place under a known top of its column: below 0 inside.
    pub fn field(&self, [x, y, z]: [f64; 3], top: f64) -> f64 {
        let up = (z / self.size.crown_height).clamp(0.0, 1.0);
        let y = y - self.axis(z) - self.shape.skew * x;
        let lingual = (-y / (0.5 * self.size.faciolingual)).clamp(0.0, 1.2);
        let a = if x > 0.0 { &self.mesial } else { &self.distal };
        let a = (a.half_width(z) * (1.0 - self.shape.lingual_taper * lingual)).max(0.05);
        let b = if y > 0.0 { self.facial.half_width(z) } else { self.lingual_half_width(x / a, up, z) }.max(0.05);
        let p = self.shape.exponent[0] + (self.shape.exponent[1] - self.shape.exponent[0]) * up;
        let level = ((x / a).abs().powf(p) + (y / b).abs().powf(p)).powf(1.0 / p);
        let sides = smooth_max((level - 1.0) * a.min(b), -z - ROOT_STUB, 0.2);
        // Flanks are not steeper than their rows say; 0.9 keeps the field from growing faster than distance on the usual ones.
        smooth_max(sides, 0.9 * (z - top), self.shape.rounding)
    }

    /// Lingual half-width with the marginal ridges of a front tooth, strongest at 58 % of its height (common practice, no source).
    fn lingual_half_width(&self, across: f64, up: f64, z: f64) -> f64 {
        const RIDGES_AT: f64 = 0.58;
        const RIDGES_OVER: f64 = 0.36;
        let bump = (1.0 - ((up - RIDGES_AT) / RIDGES_OVER).powi(2)).max(0.0);
        let across = across.abs().min(1.0);
        self.lingual.half_width(z) + 1.6 * self.shape.hollow * bump * across.powi(4)
    }
}

impl Solid for ToothForm {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.field(p, self.top(p[0], p[1]))
    }

    fn bound(&self) -> Aabb {
        let (fl, md) = (0.5 * self.size.faciolingual, 0.5 * self.size.mesiodistal);
        // A tenth of the width and half a millimetre more: lean, shear and rounding move the outline by less.
        let (w, d) = (1.1 * md + 0.5, 1.2 * fl + 0.5);
        Aabb { low: [-w, -d, -ROOT_STUB], high: [w, d, self.size.crown_height.min(self.worn_to) + 0.3] }
    }
}
