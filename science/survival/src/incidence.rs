//! Cumulative incidence by cause where causes compete: the Aalen-Johansen estimate with its errors.
//!
//! `F_k(t) = sum_{t_j <= t} S(t_j-) d_kj/n_j`, S the survival from all causes; `sum_k F_k = 1 - S`. Variance at t (Greenwood type, equal to the infinitesimal
//! jackknife), with `D_j = F_k(t) - F_k(t_j)`: `sum_j D_j^2 d_j/(n_j (n_j - d_j)) + S_j-^2 d_kj (n_j - d_kj)/n_j^3 - 2 D_j S_j- d_kj/n_j^2`, kept as running sums. With
//! clusters: infinitesimal jackknife over clusters, in the functions 1, F_k(t), B(t) of module `clustered`. Aalen, Johansen 1978, Scand J Stat 5:141-150;
//! Marubini, Valsecchi 1995, Analysing Survival Data from Clinical Trials and Observational Studies, section 10.

use crate::clustered::{Gram, Walk};
use crate::observations::Observations;
use crate::risk_table::RiskTable;
use crate::scale::{Limits, Scale};
use serde::Serialize;

/// Incidence of one cause from a time on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct IncidenceStep {
    /// Time.
    pub time: f64,
    /// Units at risk just before.
    pub at_risk: f64,
    /// Events of this cause.
    pub events: f64,
    /// Probability of having failed from this cause.
    pub incidence: f64,
    /// Its standard error.
    pub se: f64,
}

impl IncidenceStep {
    /// Limits at a level. On the scales `Plain` and `Log` of the incidence itself; on the others of its complement, so that `LogLog` is the usual
    /// complementary log-log interval of an incidence.
    pub fn limits(&self, level: f64, scale: Scale) -> Option<Limits> {
        match scale {
            Scale::Plain | Scale::Log => scale.limits(self.incidence, self.se, level),
            _ => scale
                .limits(1.0 - self.incidence, self.se, level)
                .map(|l| Limits { low: 1.0 - l.high, high: 1.0 - l.low }),
        }
    }
}

/// Cumulative incidence of one cause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Incidence {
    /// Cause, from 1.
    pub cause: usize,
    /// Rows, ascending in time.
    pub steps: Vec<IncidenceStep>,
    /// Units ever watched.
    pub units: f64,
    /// Number of clusters the errors rest on; none where rows count as independent.
    pub clusters: Option<usize>,
}

impl Incidence {
    /// The value at a time; 0 before the first row.
    pub fn at(&self, time: f64) -> IncidenceStep {
        let next = self.steps.partition_point(|s| s.time < time);
        let at_risk = self.steps.get(next).map_or(0.0, |s| s.at_risk);
        let reached = self.steps.partition_point(|s| s.time <= time);
        match reached.checked_sub(1).map(|i| self.steps[i]) {
            Some(step) if step.time == time => step,
            Some(step) => IncidenceStep { time, at_risk, events: 0.0, ..step },
            None => IncidenceStep { time, at_risk, events: 0.0, incidence: 0.0, se: 0.0 },
        }
    }

    /// Number of events of this cause.
    pub fn events(&self) -> f64 {
        self.steps.iter().map(|s| s.events).sum()
    }
}

/// Incidence by cause of rows, causes 1.. in order; with clusters the errors are cluster-robust.
pub fn aalen_johansen(seen: &Observations<'_>) -> Vec<Incidence> {
    let table = RiskTable::count(seen);
    let mut all = aalen_johansen_of(&table);
    if seen.cluster().is_some() {
        let clusters = seen.dense_clusters().1;
        for one in &mut all {
            for (step, se) in one.steps.iter_mut().zip(clustered_errors(seen, &table, one.cause)) {
                step.se = se;
            }
            one.clusters = Some(clusters);
        }
    }
    all
}

/// Incidence by cause of a risk table.
pub fn aalen_johansen_of(table: &RiskTable) -> Vec<Incidence> {
    (1..=table.causes()).map(|cause| one_cause(table, cause)).collect()
}

fn one_cause(table: &RiskTable, cause: usize) -> Incidence {
    let events = table.events(cause);
    let (mut survival, mut f) = (1.0, 0.0);
    // Sums over j of weight g = d/(n (n - d)) and c = S d_k/n^2 times powers of F(t_j), so that D_j is expanded at any t.
    let (mut g, mut gf, mut gff, mut c, mut cf, mut own) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    let mut steps = Vec::with_capacity(table.len());
    for (j, &dk) in events.iter().enumerate() {
        let (n, d) = (table.at_risk[j], table.all_events(j));
        if d > 0.0 && survival > 0.0 {
            f += survival * dk / n;
            // At the last failure nothing follows (D = 0), so its term falls away.
            let weight = if d < n { d / (n * (n - d)) } else { 0.0 };
            let cross = survival * dk / (n * n);
            g += weight;
            gf += weight * f;
            gff += weight * f * f;
            c += cross;
            cf += cross * f;
            own += survival * survival * dk * (n - dk) / (n * n * n);
            survival *= if d < n { 1.0 - d / n } else { 0.0 };
        }
        let variance = f * f * g - 2.0 * f * gf + gff + own - 2.0 * (f * c - cf);
        steps.push(IncidenceStep {
            time: table.time[j],
            at_risk: n,
            events: dk,
            incidence: f,
            se: variance.max(0.0).sqrt(),
        });
    }
    Incidence { cause, steps, units: table.units(), clusters: None }
}

/// Influence of a unit at risk over (e, x] on F(t), t < x: `B(t) - B(e) - A(e) (F(t) - F(e))` with `B = sum -S_j- d_kj/n_j^2 + A(t_j-) dF_j`; from x on it moves with
/// `p (F(t) - F(x))`, `p = A(x) - A(e) - 1{failed}/(n - d)`, after the jump `S_x-/n_x` of a failure from this cause.
fn clustered_errors(seen: &Observations<'_>, table: &RiskTable, cause: usize) -> Vec<f64> {
    let events = table.events(cause);
    let (code, clusters) = seen.dense_clusters();
    let mut gram = Gram::<3>::new(clusters);
    // What each unit added on entry is taken back when it leaves.
    let mut on_entry: Vec<(f64, f64, f64)> = vec![(0.0, 0.0, 0.0); if seen.entry().is_some() { seen.len() } else { 0 }];
    if seen.entry().is_none() {
        for (row, &c) in code.iter().enumerate() {
            gram.add(c, [0.0, 0.0, seen.weight_of(row)]);
        }
    }
    let mut walk = Walk::new(seen);
    let (mut survival, mut a, mut b, mut f) = (1.0, 0.0, 0.0, 0.0);
    let mut errors = Vec::with_capacity(table.len());
    for (j, &dk) in events.iter().enumerate() {
        let (n, d, time) = (table.at_risk[j], table.all_events(j), table.time[j]);
        let rest = n - d;
        let before = survival;
        if d > 0.0 {
            let df = before * dk / n;
            b += a * df - before * dk / (n * n);
            f += df;
            a += if rest > 0.0 { d / (n * rest) } else { 0.0 };
            survival *= if rest > 0.0 { 1.0 - d / n } else { 0.0 };
        }
        while let Some(row) = walk.leaving(seen, time) {
            let (w, failed) = (seen.weight_of(row), seen.cause()[row] > 0);
            let (a0, b0, f0) = on_entry.get(row).copied().unwrap_or((0.0, 0.0, 0.0));
            let p = a - a0 - if failed && rest > 0.0 { 1.0 / rest } else { 0.0 };
            let jump = if seen.cause()[row] as usize == cause { before / n } else { 0.0 };
            // So far: b - b0 - a0 (f - f0) + jump; from here on p (F - f).
            let constant = b - b0 - a0 * (f - f0) + jump - p * f;
            gram.add(code[row], [w * (constant - (a0 * f0 - b0)), w * (p + a0), -w]);
        }
        errors.push(gram.variance([1.0, f, b]).sqrt());
        while let Some(row) = walk.entering(seen, time) {
            let w = seen.weight_of(row);
            on_entry[row] = (a, b, f);
            gram.add(code[row], [w * (a * f - b), -w * a, w]);
        }
    }
    errors
}
