//! Cumulative hazard and risk over time, draw by draw.

use super::model::Model;
use answer::{Draws, World};

/// A Weibull hazard: H(t) = 5 exp(ln_rate) (t/5)^exp(ln_shape) up to the support, widened beyond it.
///
/// Beyond the longest arm that supports it, hazard accrued later is multiplied by exp(0.1 z sqrt(years beyond)), z standard normal: the
/// walk of the log hazard at its end, one z a draw (the path between is not sampled). It rises with time for |z| < 4 up to 25 years beyond.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    pub(crate) ln_rate: Draws,
    pub(crate) ln_shape: Draws,
    /// World and field of the walk, read only where it is needed.
    pub(crate) walk: (World, String),
    pub(crate) support: f64,
}

impl Curve {
    /// SD of the log hazard a square root of a year beyond the support.
    pub const WALK: f64 = 0.1;

    /// Longest time (years) that arms support; later values are extrapolated.
    pub fn support(&self) -> f64 {
        self.support
    }

    /// True when `years` lies beyond what arms support.
    pub fn is_extrapolated(&self, years: f64) -> bool {
        years > self.support
    }

    /// Mean yearly rate over the first five years.
    pub fn rate(&self) -> Draws {
        self.ln_rate.map(f64::exp)
    }

    /// Expected number of events a unit by `years` (cumulative hazard); 0 at or before 0.
    pub fn expected(&self, years: f64) -> Draws {
        self.expected_at(&[years]).pop().unwrap_or_else(|| Draws::constant(self.ln_rate.len(), 0.0))
    }

    /// [`Curve::expected`] at several times, the exponentials of rate and shape taken once.
    pub fn expected_at(&self, years: &[f64]) -> Vec<Draws> {
        let n = self.ln_rate.len();
        let scale = self.ln_rate.map(|r| Model::REFERENCE_YEARS * r.exp());
        let shape = self.ln_shape.map(f64::exp);
        let hazard = |t: f64| -> Draws {
            if t <= 0.0 {
                return Draws::constant(n, 0.0);
            }
            let ln_time = (t / Model::REFERENCE_YEARS).ln();
            Draws::from_fn(n, |k| scale.get(k) * (shape.get(k) * ln_time).exp())
        };
        let beyond = years.iter().any(|&y| y > self.support);
        let supported = beyond.then(|| (hazard(self.support), self.walk.0.normal(&self.walk.1, 0.0, 1.0)));
        let one = |&years: &f64| -> Draws {
            if years.is_nan() || years <= 0.0 {
                return Draws::constant(n, 0.0);
            }
            let plain = hazard(years);
            match &supported {
                Some((known, walk)) if years > self.support => {
                    let root = Self::WALK * (years - self.support.max(0.0)).sqrt();
                    Draws::from_fn(n, |k| {
                        let known = known.get(k);
                        known + (plain.get(k) - known) * (root * walk.get(k)).exp()
                    })
                }
                _ => plain,
            }
        };
        years.iter().map(one).collect()
    }

    /// Risk of at least one event by `years` if nothing else ended the follow-up: 1 - exp(-H).
    pub fn cumulative(&self, years: f64) -> Draws {
        self.expected(years).map(|h| -(-h).exp_m1())
    }
}
