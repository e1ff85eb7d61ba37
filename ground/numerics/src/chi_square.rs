//! Chi-square distribution: gamma of shape df/2 and scale 2. Accuracy as in [`crate::gamma`].

use crate::gamma;

/// Cumulative distribution.
pub fn cdf(x: f64, df: f64) -> f64 {
    gamma::p(0.5 * df, 0.5 * x.max(0.0))
}

/// Upper tail.
pub fn sf(x: f64, df: f64) -> f64 {
    gamma::q(0.5 * df, 0.5 * x.max(0.0))
}

/// Quantile of `p` in 0..1.
pub fn quantile(p: f64, df: f64) -> f64 {
    2.0 * gamma::quantile(0.5 * df, p)
}
