//! Cumulative sums of log likelihood ratios, case by case or in continuous time.
//!
//! Case t of predicted risk p adds `W = log((1-p+R0 p) RA/((1-p+RA p) R0))` when it fails and `log((1-p+R0 p)/(1-p+RA p))` otherwise: the log likelihood ratio of odds ratio
//! RA against R0 (Steiner, Cook, Farewell, Treasure 2000, Biostatistics 1:441-452, doi 10.1093/biostatistics/1.4.441). The chart is
//! `X_t = max(0, X_{t-1} + W_t)` and signals when `X_t >= h` (Page 1954, Biometrika 41:100-115, doi 10.1093/biomet/41.1-2.100). With equal risks it is the Bernoulli chart.
//!
//! In continuous time, with A(t) the events expected so far and hazard ratio R: `C_t = max(0, C - (R - 1) dA)` between events, `+ log R` at one (Biswas, Kalbfleisch
//! 2008, Stat Med 27:3382-3406, doi 10.1002/sim.3216). For R < 1 the same with the signs of the ratio, which then watches for improvement.
//!
//! Limits: risks are taken as known; a chart says that something changed, not why.

use serde::Serialize;

/// What a case adds to the chart.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Weights {
    /// When it fails.
    pub failure: f64,
    /// When it does not.
    pub success: f64,
}

/// Weights of a case with predicted risk (0..1) for an odds ratio against no change.
pub fn weights(risk: f64, odds_ratio: f64) -> Weights {
    let odds = 1.0 - risk + odds_ratio * risk;
    Weights { failure: (odds_ratio / odds).ln(), success: -odds.ln() }
}

/// Risk after the odds were multiplied.
pub fn shifted_risk(risk: f64, odds_ratio: f64) -> f64 {
    odds_ratio * risk / (1.0 - risk + odds_ratio * risk)
}

/// A chart over cases.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Path {
    /// Value after each case, before any restart.
    pub values: Vec<f64>,
    /// Cases (from 0) at which it signalled.
    pub signals: Vec<usize>,
    /// For each signal the case (from 0) at which the rise began: the first after the chart last stood at 0.
    pub since: Vec<usize>,
}

/// Runs a chart over what each case adds, from `start` (0, or half the limit for a head start); after a signal it begins anew at 0 when
/// `restart` is set.
pub fn path(added: impl IntoIterator<Item = f64>, limit: f64, start: f64, restart: bool) -> Path {
    let mut out = Path { values: Vec::new(), signals: Vec::new(), since: Vec::new() };
    let (mut value, mut rising) = (start, 0);
    for (case, w) in added.into_iter().enumerate() {
        if value == 0.0 {
            rising = case;
        }
        value = f64::max(0.0, value + w);
        out.values.push(value);
        if value >= limit {
            out.signals.push(case);
            out.since.push(rising);
            if restart {
                value = 0.0;
            }
        }
    }
    out
}

/// Expected less observed failures so far, case by case: how many more or fewer than predicted.
pub fn expected_minus_observed(risk: &[f64], failed: &[bool]) -> Vec<f64> {
    let mut sum = 0.0;
    risk.iter()
        .zip(failed)
        .map(|(p, &f)| {
            sum += p - if f { 1.0 } else { 0.0 };
            sum
        })
        .collect()
}

/// A chart in continuous time at one event.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TimeStep {
    /// Time of the event.
    pub time: f64,
    /// Events so far.
    pub observed: usize,
    /// Events expected so far.
    pub expected: f64,
    /// Value just before.
    pub before: f64,
    /// Value after.
    pub value: f64,
}

/// Runs a chart in continuous time over events (ascending), each with the number of events expected up to it from all units followed.
/// A signal is a step with `value >= h`.
pub fn time_path(events: &[(f64, f64)], hazard_ratio: f64) -> Vec<TimeStep> {
    let (mut value, mut last) = (0.0, 0.0);
    events
        .iter()
        .enumerate()
        .map(|(i, &(time, expected))| {
            let before = f64::max(0.0, value - (hazard_ratio - 1.0) * (expected - last));
            value = f64::max(0.0, before + hazard_ratio.ln());
            last = expected;
            TimeStep { time, observed: i + 1, expected, before, value }
        })
        .collect()
}

/// Limits of a sequential probability ratio test: stop and say changed at the upper, stop and say unchanged at the lower.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SequentialLimits {
    /// Upper, log((1 - beta)/alpha).
    pub upper: f64,
    /// Lower, log(beta/(1 - alpha)).
    pub lower: f64,
}

/// Limits for error rates alpha (false alarm) and beta (miss). Wald 1945, Ann Math Stat 16:117-186, doi 10.1214/aoms/1177731118.
pub fn sequential_limits(alpha: f64, beta: f64) -> SequentialLimits {
    SequentialLimits { upper: ((1.0 - beta) / alpha).ln(), lower: (beta / (1.0 - alpha)).ln() }
}
