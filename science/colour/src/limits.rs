//! From a colour difference to whether it is seen, and whether it is refused.
//!
//! Limits are differences at which half the observers see, or refuse. They are draws: an observer's strictness is one field of
//! `World` shared by all limits, so that who refuses also sees. Log-normal about the published medians:
//! on the bench 0.8 and 1.8 (CIEDE2000; Paravina 2015, J Esthet Restor Dent 27 Suppl 1:S1-S9), spread 0.3 in ln (a second study
//! reads 2.25 for the latter: Ghinea 2010, J Dent 38 Suppl 2:e57-e64); in place 2.6 and 5.5 (CIE 1976; Douglas 2007, J Prosthet Dent
//! 97:200-208), spread 0.3 as well, an assumption.

use crate::{Lab, cie76, ciede2000};
use answer::{Draws, World};
use serde::{Deserialize, Serialize};

/// A formula for colour difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Metric {
    /// CIEDE2000.
    Ciede2000,
    /// CIE 1976.
    Cie76,
}

impl Metric {
    /// The difference of two colours.
    pub fn of(self, a: Lab, b: Lab) -> f64 {
        match self {
            Self::Ciede2000 => ciede2000(a, b),
            Self::Cie76 => cie76(a, b),
        }
    }
}

/// Medians over observers of what is seen and what is refused, and their spread.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Limits {
    /// Formula the medians are stated in.
    pub metric: Metric,
    /// Difference that half see.
    pub seen: f64,
    /// Difference that half refuse.
    pub unacceptable: f64,
    /// Standard deviation of the logarithm over observers and studies.
    pub sd_log: f64,
}

impl Limits {
    /// Side by side on a bench.
    pub const BENCH: Self = Self { metric: Metric::Ciede2000, seen: 0.8, unacceptable: 1.8, sd_log: 0.3 };
    /// In its place, seen as one looks at a person.
    pub const IN_PLACE: Self = Self { metric: Metric::Cie76, seen: 2.6, unacceptable: 5.5, sd_log: 0.3 };
    /// Field of the observer's strictness.
    pub const FIELD: &'static str = "colour/observer/strictness";

    /// Limit of seeing per draw.
    pub fn seen(&self, world: &World) -> Draws {
        world.log_normal(Self::FIELD, self.seen, self.sd_log)
    }

    /// Limit of refusing per draw.
    pub fn unacceptable(&self, world: &World) -> Draws {
        world.log_normal(Self::FIELD, self.unacceptable, self.sd_log)
    }

    /// How likely a difference is seen and refused.
    pub fn chances(&self, draws: &[Lab], wish: &[Lab], world: &World) -> Chances {
        let d = difference(draws, wish, self.metric);
        let above = |limit: &Draws| d.zip(limit, |d, l| if d > l { 1.0 } else { 0.0 }).mean();
        Chances { seen: above(&self.seen(world)), unacceptable: above(&self.unacceptable(world)) }
    }
}

/// Chances over the draws, 0..1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Chances {
    /// That the difference is seen.
    pub seen: f64,
    /// That it is refused.
    pub unacceptable: f64,
}

impl Chances {
    /// The same where only a share of looks ever falls on the place (0 nobody sees it, 1 in full view).
    pub fn weighted(&self, visibility: f64) -> Self {
        let v = visibility.clamp(0.0, 1.0);
        Self { seen: self.seen * v, unacceptable: self.unacceptable * v }
    }
}

/// Difference per draw between what is predicted and what is wished; the shorter list is read round again, an empty one gives NaN.
pub fn difference(draws: &[Lab], wish: &[Lab], metric: Metric) -> Draws {
    let n = draws.len().max(wish.len());
    if draws.is_empty() || wish.is_empty() {
        return Draws::constant(n, f64::NAN);
    }
    Draws::from_fn(n, |k| metric.of(draws[k % draws.len()], wish[k % wish.len()]))
}
