//! What an arm is worth as events over exposure, for pooling by the usual methods and for pictures.
//!
//! Losses over time enter as they are (computed exposure times exp(E ln omega)). A dated survival s over an interval of t years resting on m units is worth
//! d = m (1 - s) events over d/(-ln s/t) unit-years, or 0 over m t where nothing was lost: the same rate, the same binomial information to first
//! order. m is the mean effective number of `joint::terms`. Several intervals add up.

use crate::arm::Arm;
use crate::joint::{Term, loss_terms};

/// Events over exposure, not whole numbers where they stand for a survival.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EffectiveCounts {
    /// Events.
    pub events: f64,
    /// Unit-years.
    pub years: f64,
    /// True when they were worked out from dated survivals.
    pub from_survival: bool,
}

/// Losses of an arm as events over exposure, or why it has none.
///
/// # Errors
/// The reason, in words.
pub fn effective_counts(arm: &Arm) -> Result<EffectiveCounts, String> {
    let found = loss_terms(arm)?;
    let mut total = EffectiveCounts { events: 0.0, years: 0.0, from_survival: false };
    for term in &found.terms {
        match *term {
            Term::Poisson { count, years, .. } => {
                total.events += count;
                total.years += years * found.offset.exp();
            }
            Term::Interval { from, to, kept, sizes } => {
                let units = sizes.iter().sum::<f64>() / sizes.len() as f64;
                let lost = units * (1.0 - kept);
                let rate = -kept.max(1e-9).ln() / (to - from);
                total.events += lost;
                total.years += if lost > 0.0 { lost / rate } else { units * (to - from) };
                total.from_survival = true;
            }
        }
    }
    if total.years > 0.0 { Ok(total) } else { Err("no time under observation".into()) }
}
