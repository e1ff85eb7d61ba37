//! Time to event by a law of few parameters, also where events are only known to lie between two looks.
//!
//! `log T = x'b + s W`: W of the smallest extreme value (Weibull: shape 1/s, scale exp(x'b); exponential: s = 1), logistic (log-logistic) or normal (log-normal). A row is exact,
//! right-, left- or interval-censored, and may be left-truncated (watched only from `entry` on): its log likelihood is `log f`, `log S(low)`, `log(1 - S(high))`, `log(S(low) - S(high))`, less
//! `log S(entry)`. Maximum likelihood by Newton's method; errors from the observed information, or over clusters by the sandwich. Kalbfleisch, Prentice 2002,
//! The Statistical Analysis of Failure Time Data, 2nd ed., chapter 3; interval censoring: Odell, Anderson, D'Agostino 1992, Biometrics 48:951-959, doi
//! 10.2307/2532360. Limits: the law is an assumption; look at the curve ([`crate::kaplan_meier`] or [`turnbull`]) beside it.

mod fit;
mod jet;
mod law;
mod turnbull;

pub use fit::{Lifetime, LifetimeError, LifetimeFit, lifetimes};
pub use law::Law;
pub use turnbull::{MassPoint, Npmle, turnbull};

use serde::Serialize;

/// When the event happened, as far as known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Span {
    /// At this time.
    At(f64),
    /// After this time.
    After(f64),
    /// Before this time.
    Before(f64),
    /// After the first and not after the second.
    Between(f64, f64),
}

impl Span {
    /// From the last look without and the first look with the event: 0 or less for no look before, infinity for no look after.
    pub fn from_looks(without: f64, with: f64) -> Self {
        match (without > 0.0, with.is_finite()) {
            _ if without == with => Self::At(with),
            (false, true) => Self::Before(with),
            (true, true) => Self::Between(without, with),
            (_, false) => Self::After(without.max(0.0)),
        }
    }

    /// Bounds of the time: 0 and infinity where there is none.
    pub fn bounds(self) -> (f64, f64) {
        match self {
            Self::At(t) => (t, t),
            Self::After(t) => (t, f64::INFINITY),
            Self::Before(t) => (0.0, t),
            Self::Between(a, b) => (a, b),
        }
    }
}
