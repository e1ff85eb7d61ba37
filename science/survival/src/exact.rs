//! Intervals of rates and proportions from counts, exact and otherwise.
//!
//! Rate x/t: Garwood 1936, Biometrika 28:437-442, doi 10.1093/biomet/28.3-4.437 (`chi2(2x)/2t`, `chi2(2x+2)/2t`). Proportion: Clopper, Pearson 1934, Biometrika
//! 26:404-413, doi 10.1093/biomet/26.4.404; Wilson 1927, J Am Stat Assoc 22:209-212, doi 10.1080/01621459.1927.10502953; Jeffreys: equal tails of the posterior under his prior,
//! with the limit at 0 or 1 where the count is.

use crate::scale::Limits;
use numerics::{beta, gamma, normal, root};

/// Exact limits of a rate (events over exposure).
pub fn rate(events: f64, exposure: f64, level: f64) -> Limits {
    let tail = (1.0 - level) / 2.0;
    let low = if events > 0.0 { gamma::quantile(events, tail) / exposure } else { 0.0 };
    Limits { low, high: gamma::quantile_upper(events + 1.0, tail) / exposure }
}

/// One-sided upper limit of a rate.
pub fn rate_upper(events: f64, exposure: f64, level: f64) -> f64 {
    gamma::quantile_upper(events + 1.0, 1.0 - level) / exposure
}

/// Jeffreys limits of a rate.
pub fn rate_jeffreys(events: f64, exposure: f64, level: f64) -> Limits {
    let tail = (1.0 - level) / 2.0;
    let low = if events > 0.0 { gamma::quantile(events + 0.5, tail) / exposure } else { 0.0 };
    Limits { low, high: gamma::quantile_upper(events + 0.5, tail) / exposure }
}

/// Mid-p upper limit of a rate: u with `P(X < x) + P(X = x)/2 = (1 - level)/2` at mean u t.
pub fn rate_mid_p_upper(events: f64, exposure: f64, level: f64) -> f64 {
    let tail = (1.0 - level) / 2.0;
    let excess = |m: f64| {
        let at_most = gamma::q(events + 1.0, m);
        at_most - 0.5 * (events * m.ln() - m - gamma::ln_gamma(events + 1.0)).exp() - tail
    };
    let high = rate(events, 1.0, level).high * 3.0 + 1.0;
    root::brent(excess, events.max(1e-12), high, 1e-13).map_or(f64::NAN, |m| m / exposure)
}

/// Exact limits of a proportion.
pub fn proportion(events: f64, cases: f64, level: f64) -> Limits {
    let (x, n, tail) = (events, cases, (1.0 - level) / 2.0);
    let low = if x > 0.0 { beta::quantile(x, n - x + 1.0, tail) } else { 0.0 };
    let high = if x < n { beta::quantile(x + 1.0, n - x, 1.0 - tail) } else { 1.0 };
    Limits { low, high }
}

/// Jeffreys limits of a proportion.
pub fn proportion_jeffreys(events: f64, cases: f64, level: f64) -> Limits {
    let (x, n, tail) = (events, cases, (1.0 - level) / 2.0);
    let at = |p: f64| beta::quantile(x + 0.5, n - x + 0.5, p);
    Limits { low: if x > 0.0 { at(tail) } else { 0.0 }, high: if x < n { at(1.0 - tail) } else { 1.0 } }
}

/// Wilson limits of a proportion.
pub fn proportion_wilson(events: f64, cases: f64, level: f64) -> Limits {
    let z = normal::quantile(0.5 + level / 2.0);
    let (p, n) = (events / cases, cases);
    let centre = (p + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt();
    Limits { low: (centre - half).max(0.0), high: (centre + half).min(1.0) }
}

/// Ratio of two rates with exact limits and p (conditional binomial, two-sided by smaller likelihood).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RateRatio {
    /// Second rate over the first.
    pub ratio: f64,
    /// Exact limits.
    pub limits: Limits,
    /// Two-sided p of no difference.
    pub p: f64,
}

/// Ratio of the second rate to the first, each as (events, exposure).
pub fn rate_ratio(first: (f64, f64), second: (f64, f64), level: f64) -> RateRatio {
    let ((x1, t1), (x2, t2)) = (first, second);
    let share = proportion(x2, x1 + x2, level);
    let odds = |v: f64| if v < 1.0 { v / (1.0 - v) * t1 / t2 } else { f64::INFINITY };
    let (n, q) = (x1 + x2, t2 / (t1 + t2));
    let chance = |k: f64| numerics::counts::ln_binomial(k, n, q).exp();
    let bound = chance(x2) * (1.0 + 1e-7);
    let p = (0..=n as usize).map(|k| chance(k as f64)).filter(|c| *c <= bound).sum::<f64>().min(1.0);
    RateRatio { ratio: (x2 / t2) / (x1 / t1), limits: Limits { low: odds(share.low), high: odds(share.high) }, p }
}
