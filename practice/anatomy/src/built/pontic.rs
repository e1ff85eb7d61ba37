//! Pontics: the crown of the missing tooth above a base that meets the ridge, or stands off it.
//!
//! z = 0 is the height of the missing tooth's facial enamel edge, taken as the crest of the ridge. Ovate: a convex base pressed `press` mm into a
//! socket in the ridge. Modified ridge-lap: lies on the facial half of the crest and rises towards the tongue. Hygienic: stands `clearance`
//! mm off the ridge, convex both ways. All bases are convex towards the gum, so that they can be cleaned (common practice, no source).

use crate::body::{Formula, LatticeBody, Part};
use crate::parts::ToothParts;
use shape::{ShapeError, Solid};
use std::sync::Arc;

/// How a pontic meets the ridge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PonticForm {
    /// Egg-shaped, in a socket of the ridge.
    Ovate,
    /// On the facial half of the crest, relieved towards the tongue.
    ModifiedRidgeLap,
    /// Off the ridge.
    Hygienic,
}

impl PonticForm {
    /// All forms.
    pub const ALL: [Self; 3] = [Self::Ovate, Self::ModifiedRidgeLap, Self::Hygienic];

    /// In words.
    pub fn label(self) -> &'static str {
        match self {
            Self::Ovate => "ovate",
            Self::ModifiedRidgeLap => "modified ridge-lap",
            Self::Hygienic => "hygienic",
        }
    }
}

/// A pontic's measures, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pontic {
    /// How it meets the ridge.
    pub form: PonticForm,
    /// How deep an ovate base lies below the crest.
    pub press: f64,
    /// How far a hygienic base stands off the ridge.
    pub clearance: f64,
}

impl Pontic {
    /// Usual measures of a form (common practice, no source).
    pub fn usual(form: PonticForm) -> Self {
        Self { form, press: 1.0, clearance: 3.0 }
    }

    /// The pontic in the frame of the missing tooth.
    ///
    /// # Errors
    /// Measures that leave no pontic.
    pub fn solid(&self, parts: &ToothParts, cell: f64) -> Result<Part, ShapeError> {
        if !(0.0..=3.0).contains(&self.press) {
            return Err(ShapeError::OutOfRange { quantity: "press", found: self.press, expected: "0 to 3 mm" });
        }
        let tall = parts.form.size().crown_height;
        if !(0.5..=tall - 2.0).contains(&self.clearance) && self.form == PonticForm::Hygienic {
            let expected = "0.5 mm to the crown's height less 2 mm";
            return Err(ShapeError::OutOfRange { quantity: "clearance", found: self.clearance, expected });
        }
        let (outer, base) = (parts.outer.clone(), self.base(parts));
        let mut bound = parts.outer.bound();
        bound.low[2] = bound.low[2].max(-self.press - 0.5);
        // Rounded where base and sides meet: sharp edges there hold plaque.
        let body = Formula::new(bound, move |p| rounded_max(outer.distance(p), base(p), 0.8));
        Ok(Arc::new(LatticeBody::of(&body, cell)?))
    }

    /// How far a place lies below the base, mm.
    fn base(&self, parts: &ToothParts) -> impl Fn([f64; 3]) -> f64 + Send + Sync + 'static {
        let size = parts.form.size();
        let (a, b) = (0.5 * size.mesiodistal_neck, 0.5 * size.faciolingual_neck);
        let Self { form, press, clearance } = *self;
        move |[x, y, z]: [f64; 3]| {
            let (u, v) = (x / a, y / b);
            let (height, steep) = match form {
                PonticForm::Ovate => {
                    let rise = 1.6 * (u * u + v * v);
                    (rise - press, 3.2 * u.hypot(v) / a.min(b))
                }
                PonticForm::ModifiedRidgeLap => {
                    // The crest falls to both sides; lingual of it the base leaves the ridge at 35 degrees.
                    let lift = (0.1 * b - y).max(0.0) * 0.7;
                    (lift + 0.5 * u * u - 0.25 * v.max(0.0).powi(2), 0.8)
                }
                PonticForm::Hygienic => {
                    let rise = 0.5 * u * u + 0.9 * v * v;
                    (clearance + rise, 1.8 * u.hypot(v) / a.min(b))
                }
            };
            (height - z) / (1.0 + steep * steep).sqrt()
        }
    }
}

/// max(a, b), rounded over k within the corner.
fn rounded_max(a: f64, b: f64, k: f64) -> f64 {
    let near = (k - (a - b).abs()).max(0.0);
    a.max(b) + 0.25 * near * near / k
}
