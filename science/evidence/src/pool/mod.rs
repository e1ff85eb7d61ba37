//! Pooling of published effects: inverse-variance methods, meta-regression, exact-likelihood models of counts, influence and
//! small-study tests. Plain functions of numbers; levels are given as shares (0.95), rates per unit of the exposure given.

mod effect;
mod exact;
mod glmm;
mod influence;
mod regression;
mod small;

pub use effect::{
    Effect, Zeros, freeman_tukey_proportions, freeman_tukey_rates, harmonic_mean, log_rates, logits,
    proportion_of_freeman_tukey, rate_of_freeman_tukey,
};
pub use exact::{exact_proportion_interval, exact_rate_interval};
pub use glmm::{Family, Glmm, glmm};
pub use influence::{
    Influence, SmallStudies, cumulative, influence, leave_one_out, small_studies, small_studies_classical,
};
pub use regression::{Between, Errors, Heterogeneity, Reference, Regression, normal_p, pool, q_profile, regress};
pub use small::{Filled, Missing, RankTest, rank_test, trim_and_fill};

/// Why nothing was pooled; studies are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum PoolError {
    /// Too few studies for what was asked.
    #[error("{k} studies are too few: at least {needed} are needed")]
    TooFew {
        /// Studies given.
        k: usize,
        /// Studies needed.
        needed: usize,
    },
    /// Lists of different length.
    #[error("{effects} studies but {others} values beside them: give one for each study")]
    Lengths {
        /// Number of studies.
        effects: usize,
        /// Number of the other values.
        others: usize,
    },
    /// A count that cannot be right.
    #[error(
        "study {study}: {events} events of {size} cannot be right: events must be 0 or more and at most the number, the size above 0"
    )]
    Count {
        /// Which study.
        study: usize,
        /// Its events.
        events: f64,
        /// Its exposure or number.
        size: f64,
    },
    /// A study without events where none is allowed.
    #[error(
        "study {study} has no events (or nothing but events): choose a correction, or the exact model that needs none"
    )]
    NoEvents {
        /// Which study.
        study: usize,
    },
    /// An effect that is not a number, or a variance that is not above 0.
    #[error("study {study}: its effect, variance or moderator is not a usable number")]
    Effect {
        /// Which study.
        study: usize,
    },
    /// Columns that say the same.
    #[error("the columns of the design depend on each other: leave one out")]
    Design,
    /// No events at all.
    #[error("no events in any study (or nothing but events): a rate cannot be estimated; an exact upper limit can")]
    NoInformation,
    /// The iteration did not settle.
    #[error("the iteration did not settle: try another estimator of the variance between studies")]
    NotConverged,
}
