//! Which unknown drives the risk that a body breaks: shares of the variance of ln hazard.
//!
//! The hazard goes with a power p = m n / (n + 1) of stress (slow crack growth with Weibull strength, docs/methods/strength.md), so that an unknown with standard deviation s of ln stress
//! brings (p s)^2: the bite of this patient, and how closely the piece is made. What the draws of the hazard itself spread is what the studies leave open: level of the
//! pool, strength of the class, error of the stress. First order: effects of two unknowns together are not counted.

use crate::bite::Bite;
use crate::mechanics::StressPerNewton;
use answer::Draws;

/// Shares, which sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unknowns {
    /// The bite: not measured, or its measurement's error.
    pub bite: f64,
    /// How closely the laboratory keeps the dimension.
    pub made: f64,
    /// What the studies leave open.
    pub studies: f64,
}

impl Unknowns {
    /// From the risk of fracture per draw (mean over the patients that the draw leaves possible).
    pub(crate) fn of(bite: &Bite, stress: &StressPerNewton, risk: &Draws) -> Option<Self> {
        let power = stress.m.zip(&stress.n, |m, n| m * n / (n + 1.0)).mean();
        let of_stress = |sd: f64| (power * sd).powi(2);
        let ln_hazard = risk.map(|r| (-(-r.clamp(1e-12, 1.0 - 1e-12)).ln_1p()).ln());
        let all = [of_stress(bite.case_sd), of_stress(stress.case_sd), ln_hazard.variance()];
        let whole: f64 = all.iter().sum();
        let [bite, made, studies] = all.map(|v| v / whole);
        (whole > 0.0 && whole.is_finite()).then_some(Self { bite, made, studies })
    }

    /// The greatest of them, in a sentence; `measured` when the bite was.
    pub fn sentence(&self, measured: bool) -> String {
        let share = |x: f64| format!("{:.0} of 100 of what is not known about this fracture", 100.0 * x);
        if self.bite >= self.made.max(self.studies) {
            match measured {
                true => format!("{} is the error of the measured bite", share(self.bite)),
                false => format!("the bite you have not measured drives this: {}", share(self.bite)),
            }
        } else if self.made >= self.studies {
            format!("{} is how closely the laboratory keeps the dimension", share(self.made))
        } else {
            format!(
                "{} is what the studies leave open, {:.0} is the bite{}",
                share(self.studies),
                100.0 * self.bite,
                if measured { "'s error" } else { ", which was not measured" }
            )
        }
    }
}
