//! Mean time without the event within a horizon: the area under the survival curve up to tau.
//!
//! `mu = int_0^tau S dt`; variance `sum_j (int_{t_j}^tau S dt)^2 d_j/(n_j (n_j - d_j))`, or with clusters the infinitesimal jackknife: influence of a unit over (e, x],
//! `D(x) - D(e) - A(e) (C(x) - C(e)) + p (C(tau) - C(x))`, `C = int S`, `D = int S A`, A and p as for the curve. Irwin 1949, J Hyg 47:188-189, doi 10.1017/S0022172400014443; Royston,
//! Parmar 2011, Stat Med 30:2409-2421, doi 10.1002/sim.4274. Beyond the last time seen the curve is taken as level: `beyond` says so.

use crate::curve::kaplan_meier_of;
use crate::observations::Observations;
use crate::risk_table::RiskTable;
use serde::Serialize;

/// Restricted mean time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RestrictedMean {
    /// Horizon.
    pub tau: f64,
    /// Mean time without the event within the horizon.
    pub mean: f64,
    /// Its standard error.
    pub se: f64,
    /// The horizon lies beyond the last time seen while units still stood: the level stretch is an assumption.
    pub beyond: bool,
}

/// Restricted mean of rows, from time 0; cluster-robust where clusters are given.
pub fn restricted_mean(seen: &Observations<'_>, tau: f64) -> RestrictedMean {
    let table = RiskTable::count(seen);
    let mut mean = restricted_mean_of(&table, tau);
    if seen.cluster().is_some() {
        mean.se = clustered_error(seen, &table, tau);
    }
    mean
}

/// Restricted mean of a risk table.
pub fn restricted_mean_of(table: &RiskTable, tau: f64) -> RestrictedMean {
    let areas = Areas::of(table, tau);
    let mut variance = 0.0;
    for j in (0..table.len()).filter(|&j| table.time[j] <= tau) {
        let (n, d) = (table.at_risk[j], table.all_events(j));
        if d > 0.0 && d < n {
            variance += (areas.whole - areas.survival[j]).powi(2) * d / (n * (n - d));
        }
    }
    let last = table.time.last().copied().unwrap_or(0.0);
    let stands = kaplan_meier_of(table).steps.last().is_some_and(|s| s.survival > 0.0);
    RestrictedMean { tau, mean: areas.whole, se: variance.sqrt(), beyond: tau > last && stands }
}

/// Areas from 0 to each row of the table, cut at tau.
struct Areas {
    /// A just after each row.
    a: Vec<f64>,
    /// 1/(n - d) at each row.
    jump: Vec<f64>,
    survival: Vec<f64>,
    weighted: Vec<f64>,
    whole: f64,
}

impl Areas {
    fn of(table: &RiskTable, tau: f64) -> Self {
        let mut out = Self { a: vec![], jump: vec![], survival: vec![], weighted: vec![], whole: 0.0 };
        let (mut s, mut a, mut c, mut d_area, mut last) = (1.0, 0.0, 0.0, 0.0, 0.0);
        for j in 0..table.len() {
            let time = table.time[j].clamp(0.0, tau.max(0.0));
            c += s * (time - last);
            d_area += s * a * (time - last);
            last = time;
            let (n, d) = (table.at_risk[j], table.all_events(j));
            let rest = n - d;
            if d > 0.0 {
                a += if rest > 0.0 { d / (n * rest) } else { 0.0 };
                s *= if rest > 0.0 { 1.0 - d / n } else { 0.0 };
            }
            out.a.push(a);
            out.jump.push(if rest > 0.0 { 1.0 / rest } else { 0.0 });
            out.survival.push(c);
            out.weighted.push(d_area);
        }
        out.whole = c + s * (tau - last).max(0.0);
        out
    }
}

fn clustered_error(seen: &Observations<'_>, table: &RiskTable, tau: f64) -> f64 {
    let areas = Areas::of(table, tau);
    let (code, clusters) = seen.dense_clusters();
    let mut sums = vec![0.0; clusters];
    let row_of = |t: f64| table.time.partition_point(|&x| x < t);
    for (row, &x) in seen.exit().iter().enumerate() {
        let at = row_of(x);
        let (a0, c0, d0) = match seen.entry() {
            Some(entry) => {
                let e = row_of(entry[row]);
                (areas.a[e], areas.survival[e], areas.weighted[e])
            }
            None => (0.0, 0.0, 0.0),
        };
        let failed = seen.cause()[row] > 0 && x <= tau;
        let p = areas.a[at] - a0 - if failed { areas.jump[at] } else { 0.0 };
        let own = areas.weighted[at] - d0 - a0 * (areas.survival[at] - c0) + p * (areas.whole - areas.survival[at]);
        sums[code[row] as usize] += seen.weight_of(row) * own;
    }
    sums.iter().map(|s| s * s).sum::<f64>().sqrt()
}
