//! From counts to effects with a sampling variance: log rate, logit, and the Freeman-Tukey transformations with their inverses.
//!
//! log rate: y = ln(x/t), v = 1/x; logit: y = ln(x/(n - x)), v = 1/x + 1/(n - x). Freeman, Tukey 1950, Ann Math Stat 21:607-611, doi
//! 10.1214/aoms/1177729756: rates y = (sqrt(x/t) + sqrt((x+1)/t))/2, v = 1/(4t); proportions y = (asin sqrt(x/(n+1)) + asin sqrt((x+1)/(n+1)))/2,
//! v = 1/(4n + 2); inverse of the latter: Miller 1978, Am Stat 32:138, with the harmonic mean of n.

use super::PoolError;

/// One study's effect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effect {
    /// Estimate on the scale of analysis.
    pub y: f64,
    /// Its sampling variance.
    pub v: f64,
}

/// What is done with studies of no events (or, for proportions, events only).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Zeros {
    /// Half an event is added to the studies concerned.
    AddHalfToThem,
    /// Half an event is added to every study if any is concerned.
    AddHalfToAllIfAny,
    /// They are refused: use a model that needs no correction.
    Refuse,
}

/// Events over exposure as log rates.
pub fn log_rates(events: &[f64], exposure: &[f64], zeros: Zeros) -> Result<Vec<Effect>, PoolError> {
    check_counts(events, exposure, f64::INFINITY)?;
    let concerned = |x: f64| x == 0.0;
    let add = additions(events.iter().map(|&x| concerned(x)), zeros)?;
    Ok(events
        .iter()
        .zip(exposure)
        .zip(add)
        .map(|((x, t), a)| Effect { y: ((x + a) / t).ln(), v: 1.0 / (x + a) })
        .collect())
}

/// Events of n as logits.
pub fn logits(events: &[f64], n: &[f64], zeros: Zeros) -> Result<Vec<Effect>, PoolError> {
    check_counts(events, n, 1.0)?;
    let add = additions(events.iter().zip(n).map(|(x, n)| *x == 0.0 || x == n), zeros)?;
    Ok(events
        .iter()
        .zip(n)
        .zip(add)
        .map(|((x, n), a)| {
            let (hit, miss) = (x + a, n - x + a);
            Effect { y: (hit / miss).ln(), v: 1.0 / hit + 1.0 / miss }
        })
        .collect())
}

/// Freeman-Tukey square roots of rates.
pub fn freeman_tukey_rates(events: &[f64], exposure: &[f64]) -> Result<Vec<Effect>, PoolError> {
    check_counts(events, exposure, f64::INFINITY)?;
    Ok(events
        .iter()
        .zip(exposure)
        .map(|(x, t)| Effect { y: 0.5 * ((x / t).sqrt() + ((x + 1.0) / t).sqrt()), v: 0.25 / t })
        .collect())
}

/// The rate of a Freeman-Tukey value at a (harmonic mean) exposure.
pub fn rate_of_freeman_tukey(y: f64, exposure: f64) -> f64 {
    if y * y * exposure <= 0.25 {
        return 0.0;
    }
    (1.0 / exposure - 8.0 * y * y + 16.0 * exposure * y.powi(4)) / (16.0 * y * y * exposure)
}

/// Freeman-Tukey double arcsines of proportions.
pub fn freeman_tukey_proportions(events: &[f64], n: &[f64]) -> Result<Vec<Effect>, PoolError> {
    check_counts(events, n, 1.0)?;
    Ok(events
        .iter()
        .zip(n)
        .map(|(x, n)| {
            let angle = |x: f64| (x / (n + 1.0)).sqrt().asin();
            Effect { y: 0.5 * (angle(*x) + angle(x + 1.0)), v: 1.0 / (4.0 * n + 2.0) }
        })
        .collect())
}

/// The proportion of a double arcsine at a (harmonic mean) number.
pub fn proportion_of_freeman_tukey(y: f64, n: f64) -> f64 {
    let angle = |x: f64| 0.5 * ((x / (n + 1.0)).sqrt().asin() + ((x + 1.0) / (n + 1.0)).sqrt().asin());
    if y <= angle(0.0) {
        return 0.0;
    }
    if y >= angle(n) {
        return 1.0;
    }
    let (sine, cosine) = (2.0 * y).sin_cos();
    let inner = 1.0 - (sine + (sine - 1.0 / sine) / n).powi(2);
    0.5 * (1.0 - cosine.signum() * inner.max(0.0).sqrt())
}

/// Harmonic mean of sizes.
pub fn harmonic_mean(sizes: &[f64]) -> f64 {
    sizes.len() as f64 / sizes.iter().map(|n| 1.0 / n).sum::<f64>()
}

/// Events must be counts of 0 or more, sizes above 0, and events at most `cap` times the size.
pub(crate) fn check_counts(events: &[f64], sizes: &[f64], cap: f64) -> Result<(), PoolError> {
    if events.len() != sizes.len() {
        return Err(PoolError::Lengths { effects: events.len(), others: sizes.len() });
    }
    for (i, (&x, &n)) in events.iter().zip(sizes).enumerate() {
        if !(x.is_finite() && x >= 0.0 && n.is_finite() && n > 0.0 && x <= cap * n) {
            return Err(PoolError::Count { study: i, events: x, size: n });
        }
    }
    Ok(())
}

fn additions(concerned: impl Iterator<Item = bool>, zeros: Zeros) -> Result<Vec<f64>, PoolError> {
    let concerned: Vec<bool> = concerned.collect();
    let any = concerned.iter().any(|c| *c);
    if zeros == Zeros::Refuse
        && let Some(study) = concerned.iter().position(|c| *c)
    {
        return Err(PoolError::NoEvents { study });
    }
    let all = zeros == Zeros::AddHalfToAllIfAny && any;
    Ok(concerned.into_iter().map(|c| if c || all { 0.5 } else { 0.0 }).collect())
}
