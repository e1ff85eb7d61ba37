//! Survival curve and cumulative hazard: the product-limit estimate with its errors.
//!
//! `S(t) = prod_{t_j <= t} (1 - d_j/n_j)`, `H(t) = sum d_j/n_j`; d events among n at risk. Variance of log S: `sum d/(n (n - d))` (Greenwood), of H:
//! `sum d/n^2` (Aalen); with clusters both by the infinitesimal jackknife over clusters (module `clustered`), which is the default wherever clusters
//! are given. Kaplan, Meier 1958, J Am Stat Assoc 53:457-481, doi 10.1080/01621459.1958.10501452; Greenwood 1926; Nelson 1972, Technometrics
//! 14:945-966, doi 10.1080/00401706.1972.10488991; Aalen 1978, Ann Stat 6:701-726, doi 10.1214/aos/1176344247. At the row where all at risk fail S = 0 and has no
//! error.

use crate::clustered;
use crate::observations::Observations;
use crate::risk_table::RiskTable;
use crate::scale::{Limits, Scale};
use serde::Serialize;

/// One row of the curve: the value from this time on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Step {
    /// Time.
    pub time: f64,
    /// Units at risk just before.
    pub at_risk: f64,
    /// Events.
    pub events: f64,
    /// Censored.
    pub censored: f64,
    /// Survival S.
    pub survival: f64,
    /// Standard error of log S.
    pub log_se: f64,
    /// Cumulative hazard H (Nelson-Aalen).
    pub hazard: f64,
    /// Standard error of H.
    pub hazard_se: f64,
}

impl Step {
    /// Standard error of S.
    pub fn se(&self) -> f64 {
        self.survival * self.log_se
    }

    /// Limits of S at a level.
    pub fn limits(&self, level: f64, scale: Scale) -> Option<Limits> {
        scale.limits(self.survival, self.se(), level)
    }
}

/// A quantile of the time with its limits; absent where the curve does not come down so far.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TimeQuantile {
    /// Time by which the share has failed.
    pub time: Option<f64>,
    /// Lower limit.
    pub low: Option<f64>,
    /// Upper limit.
    pub high: Option<f64>,
}

/// Survival by time.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SurvivalCurve {
    /// Rows, ascending in time.
    pub steps: Vec<Step>,
    /// Units ever watched.
    pub units: f64,
    /// Number of clusters the errors rest on; none where rows count as independent.
    pub clusters: Option<usize>,
}

/// Product-limit curve of rows; any cause is the event. With clusters the errors are cluster-robust.
pub fn kaplan_meier(seen: &Observations<'_>) -> SurvivalCurve {
    let table = RiskTable::count(seen);
    let mut curve = kaplan_meier_of(&table);
    if seen.cluster().is_some() {
        let (log_se, hazard_se) = clustered::survival_errors(seen, &table);
        for ((step, log_se), hazard_se) in curve.steps.iter_mut().zip(log_se).zip(hazard_se) {
            step.log_se = if step.survival > 0.0 { log_se } else { f64::NAN };
            step.hazard_se = hazard_se;
        }
        curve.clusters = Some(seen.dense_clusters().1);
    }
    curve
}

/// Product-limit curve of a risk table; any cause is the event ([`RiskTable::only`] for one). Errors are Greenwood's and Aalen's: a table
/// no longer knows its clusters.
pub fn kaplan_meier_of(table: &RiskTable) -> SurvivalCurve {
    let (mut survival, mut hazard, mut greenwood, mut aalen) = (1.0, 0.0, 0.0, 0.0);
    let steps = (0..table.len())
        .map(|j| {
            let (n, d) = (table.at_risk[j], table.all_events(j));
            if d > 0.0 {
                survival *= if d < n { 1.0 - d / n } else { 0.0 };
                hazard += d / n;
                greenwood += if d < n { d / (n * (n - d)) } else { f64::NAN };
                aalen += d / (n * n);
            }
            Step {
                time: table.time[j],
                at_risk: n,
                events: d,
                censored: table.censored[j],
                survival,
                log_se: greenwood.sqrt(),
                hazard,
                hazard_se: aalen.sqrt(),
            }
        })
        .collect();
    SurvivalCurve { steps, units: table.units(), clusters: None }
}

/// Survival `exp(-H)` of a risk table with the hazard of ties spread, `H = sum_j sum_{k < d_j} 1/(n_j - k)` and variance `sum_j sum_k 1/(n_j - k)^2`: as if tied events had
/// come one after another. Counts must be whole. Fleming, Harrington 1984, Commun Stat Theory Methods 13:2469-2486, doi 10.1080/03610928408828837.
pub fn fleming_harrington_of(table: &RiskTable) -> SurvivalCurve {
    let mut curve = kaplan_meier_of(table);
    let (mut hazard, mut variance) = (0.0, 0.0);
    for step in &mut curve.steps {
        for k in 0..step.events.round() as usize {
            let left = step.at_risk - k as f64;
            hazard += 1.0 / left;
            variance += 1.0 / (left * left);
        }
        step.hazard = hazard;
        step.hazard_se = f64::sqrt(variance);
        step.survival = f64::exp(-hazard);
        step.log_se = step.hazard_se;
    }
    curve
}

impl SurvivalCurve {
    /// The value at a time; before the first row everything survives. `at_risk` is that just before `time`.
    pub fn at(&self, time: f64) -> Step {
        let next = self.steps.partition_point(|s| s.time < time);
        let at_risk = self.steps.get(next).map_or(0.0, |s| s.at_risk);
        let reached = self.steps.partition_point(|s| s.time <= time);
        match reached.checked_sub(1).map(|i| self.steps[i]) {
            Some(step) if step.time == time => step,
            Some(step) => Step { time, at_risk, events: 0.0, censored: 0.0, ..step },
            None => Step {
                time,
                at_risk,
                events: 0.0,
                censored: 0.0,
                survival: 1.0,
                log_se: 0.0,
                hazard: 0.0,
                hazard_se: 0.0,
            },
        }
    }

    /// Number of events.
    pub fn events(&self) -> f64 {
        self.steps.iter().map(|s| s.events).sum()
    }

    /// Last time anything was seen.
    pub fn last(&self) -> f64 {
        self.steps.last().map_or(0.0, |s| s.time)
    }

    /// Time by which a share has failed, with limits where the limits of the curve cross the same height. Where the curve runs exactly at
    /// that height the middle of the stretch is given. Brookmeyer, Crowley 1982, Biometrics 38:29-41, doi 10.2307/2530286.
    pub fn quantile(&self, share: f64, level: f64, scale: Scale) -> TimeQuantile {
        let limits = |s: &Step| if s.survival == 0.0 { None } else { s.limits(level, scale) };
        let started = |s: &Step| s.events > 0.0 || s.survival < 1.0;
        let curve = || self.steps.iter().filter(|s| started(s));
        // A curve without limits from some time on has no crossing there.
        let lows = curve().map(|s| (s.time, limits(s).map_or(f64::NAN, |l| l.low)));
        let highs = curve().map(|s| (s.time, limits(s).map_or(f64::NAN, |l| l.high)));
        TimeQuantile {
            time: crossing(curve().map(|s| (s.time, s.survival)), 1.0 - share),
            low: crossing(lows, 1.0 - share),
            high: crossing(highs, 1.0 - share),
        }
    }
}

/// First time a falling step curve is at or below a height; the middle of the step where it is exactly there.
fn crossing(curve: impl Iterator<Item = (f64, f64)>, height: f64) -> Option<f64> {
    // Products of ratios meet a round height only to rounding.
    let near = 1e-9;
    let mut start = None;
    for (time, value) in curve {
        match start {
            None if value < height - near => return Some(time),
            None if value <= height + near => start = Some(time),
            Some(from) if value < height - near => return Some((from + time) / 2.0),
            _ => {}
        }
    }
    start
}
