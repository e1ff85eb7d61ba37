//! Two-parameter Weibull strength: probability, moments, estimation and size scaling.
//!
//! F = 1 - exp(-(s/s0)^m); mean s0 Gamma(1+1/m); s2 = s1 (A1/A2)^(1/m). Weibull 1951, J Appl Mech 18:293-297, doi 10.1115/1.4010337.
//! Maximum likelihood: sum(s^m ln s)/sum(s^m) - 1/m - mean(ln s) = 0, s0 = mean(s^m)^(1/m) (EN 843-5, memory); biased upward in small
//! samples, not corrected here.

use crate::error::{StrengthError, positive};
use numerics::{gamma, root};

/// Probability of failure at stress `s`, characteristic strength `s0`, modulus `m`.
pub fn failure(s: f64, s0: f64, m: f64) -> f64 {
    -(-(s.max(0.0) / s0).powf(m)).exp_m1()
}

/// Mean strength.
pub fn mean(s0: f64, m: f64) -> f64 {
    s0 * gamma::ln_gamma(1.0 + 1.0 / m).exp()
}

/// Coefficient of variation (standard deviation over mean).
pub fn variation(m: f64) -> f64 {
    (gamma::ln_gamma(1.0 + 2.0 / m) - 2.0 * gamma::ln_gamma(1.0 + 1.0 / m)).exp_m1().max(0.0).sqrt()
}

/// Modulus whose coefficient of variation is `cv`. Errors outside the range of m = 0.5..200.
pub fn modulus_of_variation(cv: f64) -> Result<f64, StrengthError> {
    positive("coefficient of variation", cv)?;
    root::brent(|m| variation(m) - cv, 0.5, 200.0, 1e-10).map_err(|_| StrengthError::OutOfRange {
        quantity: "coefficient of variation",
        found: cv,
        expected: "that of a Weibull modulus between 0.5 and 200",
    })
}

/// Characteristic strength of a size from that of another, ratio = old size/new size (areas or volumes alike).
pub fn rescaled(s0: f64, m: f64, ratio: f64) -> f64 {
    s0 * ratio.powf(1.0 / m)
}

/// (m, s0) of strengths by maximum likelihood. Errors on fewer than 3, on one not above 0, or when all are alike.
pub fn fit(strengths: &[f64]) -> Result<(f64, f64), StrengthError> {
    if strengths.len() < 3 {
        return Err(StrengthError::Length { what: "strengths", found: strengths.len(), expected: 3 });
    }
    let mut logs = Vec::with_capacity(strengths.len());
    for &s in strengths {
        logs.push(positive("strength", s)?.ln());
    }
    let top = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mean_ln = logs.iter().sum::<f64>() / logs.len() as f64;
    let power = |m: f64| logs.iter().map(move |l| (m * (l - top)).exp());
    let score = |m: f64| {
        let weighted: f64 = power(m).zip(&logs).map(|(w, l)| w * l).sum();
        weighted / power(m).sum::<f64>() - 1.0 / m - mean_ln
    };
    let m = root::brent(score, 0.05, 1000.0, 1e-10).map_err(|_| StrengthError::OutOfRange {
        quantity: "spread of the strengths",
        found: top - mean_ln,
        expected: "strengths that differ",
    })?;
    let s0 = top.exp() * (power(m).sum::<f64>() / logs.len() as f64).powf(1.0 / m);
    Ok((m, s0))
}
