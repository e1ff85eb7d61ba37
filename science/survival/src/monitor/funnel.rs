//! Funnel limits: how far a unit's result may lie from a target by chance, by its size, with allowance for overdispersion.
//!
//! Exact limits by interpolation between counts: with r the least count of `P(X <= r) >= p`, `y = r - (P(X <= r) - p)/P(X = r)`. Overdispersion: with z scores winsorised at
//! their 10 and 90 % quantiles, `phi = mean z^2`; multiplicative limits widen by sqrt(phi); additive variance between units `tau2 = (I phi - (I-1))/(sum w - sum w^2/sum w)`,
//! w = 1/variance. Spiegelhalter 2005, Stat Med 24:1185-1202, doi 10.1002/sim.1970. Limits: the target counts as known; a lower limit may fall
//! below 0 where P(X = 0) > p and is then cut to 0 by the caller's drawing.

use numerics::{beta, gamma};
use serde::Serialize;

/// Interpolated limit of a proportion at probability `p` for a target and a number of cases.
pub fn binomial_limit(target: f64, cases: usize, p: f64) -> f64 {
    let n = cases as f64;
    // P(X <= r) of a binomial by the incomplete beta function.
    let cumulative = |r: f64| if r >= n { 1.0 } else { beta::complement(r + 1.0, n - r, target) };
    interpolated(cumulative, (n * target).floor(), p) / n
}

/// Interpolated limit of a count at probability `p` for an expected number.
pub fn poisson_limit(expected: f64, p: f64) -> f64 {
    interpolated(|r| gamma::q(r + 1.0, expected), expected.floor(), p)
}

fn interpolated(cumulative: impl Fn(f64) -> f64, near: f64, p: f64) -> f64 {
    let mut r = near.max(0.0);
    while r > 0.0 && cumulative(r - 1.0) >= p {
        r -= 1.0;
    }
    while cumulative(r) < p {
        r += 1.0;
    }
    let here = cumulative(r);
    let before = if r > 0.0 { cumulative(r - 1.0) } else { 0.0 };
    r - (here - p) / (here - before)
}

/// How much more units differ than chance explains.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Overdispersion {
    /// z score of each unit against the target.
    pub z: Vec<f64>,
    /// Limits the scores were drawn in to.
    pub winsor: (f64, f64),
    /// Mean square of the winsorised scores; above 1 the units differ more than by chance.
    pub phi: f64,
    /// The same without winsorising.
    pub phi_raw: f64,
    /// Additive variance between units.
    pub tau2: f64,
}

/// Overdispersion of proportions (events, cases) about a target.
pub fn overdispersion(events: &[f64], cases: &[f64], target: f64) -> Overdispersion {
    let variance: Vec<f64> = cases.iter().map(|n| target * (1.0 - target) / n).collect();
    let z: Vec<f64> = events.iter().zip(cases).zip(&variance).map(|((x, n), v)| (x / n - target) / v.sqrt()).collect();
    let winsor = (quantile(&z, 0.1), quantile(&z, 0.9));
    let mean_square = |low: f64, high: f64| z.iter().map(|z| z.clamp(low, high).powi(2)).sum::<f64>() / z.len() as f64;
    let (phi, phi_raw) = (mean_square(winsor.0, winsor.1), mean_square(f64::NEG_INFINITY, f64::INFINITY));
    let units = z.len() as f64;
    let (w, w2) = variance.iter().fold((0.0, 0.0), |(a, b), v| (a + 1.0 / v, b + 1.0 / (v * v)));
    let tau2 = ((units * phi - (units - 1.0)) / (w - w2 / w)).max(0.0);
    Overdispersion { z, winsor, phi, phi_raw, tau2 }
}

impl Overdispersion {
    /// Multiplicative limits of a unit with a number of cases at a level; never narrower than chance alone.
    pub fn multiplicative_limits(&self, target: f64, cases: f64, level: f64) -> (f64, f64) {
        let half = numerics::normal::quantile(0.5 + level / 2.0)
            * (self.phi.max(1.0) * target * (1.0 - target) / cases).sqrt();
        (target - half, target + half)
    }

    /// Scores with the additive variance.
    pub fn additive_z(&self, events: &[f64], cases: &[f64], target: f64) -> Vec<f64> {
        let z = |x: f64, n: f64| (x / n - target) / (target * (1.0 - target) / n + self.tau2).sqrt();
        events.iter().zip(cases).map(|(&x, &n)| z(x, n)).collect()
    }
}

/// Linear quantile of a sample (type 7 of Hyndman, Fan 1996, Am Stat 50:361-365, doi 10.1080/00031305.1996.10473566).
fn quantile(values: &[f64], p: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let at = p * last as f64;
    let below = at.floor() as usize;
    sorted[below] + (at - below as f64) * (sorted[(below + 1).min(last)] - sorted[below])
}
