//! Time to events: curves, regressions, limits and charts for data in which some units are still standing.
//!
//! Knows units, clusters, causes and times; no trade. Reads nothing, prints nothing. What is computed and why stands in
//! `docs/methods/survival.md`.
//!
//! ```
//! use survival::{Observations, Scale, kaplan_meier};
//! let seen = Observations::new(&[3.0, 5.0, 5.0, 8.0], &[1, 1, 0, 0])?;
//! let at_5 = kaplan_meier(&seen).at(5.0);
//! assert!((at_5.survival - 0.5).abs() < 1e-15);
//! assert!(at_5.limits(0.95, Scale::LogLog).is_some());
//! # Ok::<(), survival::DataError>(())
//! ```

mod clustered;
mod codes;
pub mod cox;
mod curve;
pub mod exact;
mod incidence;
mod incidence_test;
mod life_table;
pub mod monitor;
mod observations;
mod order;
pub mod parametric;
mod rank_test;
mod restricted_mean;
mod risk_table;
mod scale;
mod subdistribution;

pub use codes::codes_of;
pub use curve::{Step, SurvivalCurve, TimeQuantile, fleming_harrington_of, kaplan_meier, kaplan_meier_of};
pub use incidence::{Incidence, IncidenceStep, aalen_johansen, aalen_johansen_of};
pub use incidence_test::{IncidenceTest, incidence_test};
pub use life_table::{LifeInterval, life_table};
pub use observations::{DataError, Group, Observations, split};
pub use rank_test::{CompareError, RankTest, log_rank, log_rank_of};
pub use restricted_mean::{RestrictedMean, restricted_mean, restricted_mean_of};
pub use risk_table::{RiskTable, TableError};
pub use scale::{Limits, Scale};
pub use subdistribution::{CensoringTies, SubdistributionFit, subdistribution};

/// p of a chi-square statistic: the probability of as much or more by chance.
pub fn chi_square_p(statistic: f64, df: usize) -> f64 {
    numerics::chi_square::sf(statistic, df as f64)
}

/// Standard normal quantile: half the width of an interval at a level, in standard errors.
pub fn half_width(level: f64) -> f64 {
    numerics::normal::quantile(0.5 + level / 2.0)
}
