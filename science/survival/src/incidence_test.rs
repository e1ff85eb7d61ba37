//! Do groups differ in the cumulative incidence of one cause? `Gray`'s test.
//!
//! Scores compare subdistribution hazards with weights `(1 - F(t-))^rho`: with `R_g = n_g (1 - F_g-)/S_g-`, `U_g = sum w (d_g - d R_g/sum R)`. Covariance as in `Gray` 1988, Ann Stat
//! 16:1141-1154, doi 10.1214/aos/1176350951, section 2, with the correction for ties that is usual in practice. Limits: rows count as independent; no delayed entry.

use crate::observations::Observations;
use crate::rank_test::{CompareError, quadratic, tables_by_stratum};
use crate::risk_table::RiskTable;
use serde::Serialize;

/// Outcome of `Gray`'s test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IncidenceTest {
    /// Cause compared.
    pub cause: usize,
    /// Score by group but the last.
    pub score: Vec<f64>,
    /// Test statistic.
    pub chi_square: f64,
    /// Degrees of freedom.
    pub df: usize,
    /// Probability of as much or more if groups did not differ.
    pub p: f64,
}

/// Compares groups of rows within strata in the incidence of a cause (from 1).
///
/// # Errors
/// [`CompareError`].
pub fn incidence_test(
    seen: &Observations<'_>,
    group: &[u32],
    strata: Option<&[u32]>,
    cause: usize,
    rho: f64,
) -> Result<IncidenceTest, CompareError> {
    if seen.entry().is_some() {
        return Err(CompareError::LateEntry);
    }
    let strata = tables_by_stratum(seen, group, strata)?;
    let groups = strata.iter().map(Vec::len).max().unwrap_or(0);
    let (mut score, mut variance) = (vec![0.0; groups], vec![vec![0.0; groups]; groups]);
    let mut events = 0.0;
    for tables in &strata {
        events += tables.iter().flatten().flat_map(|t| t.events(cause)).sum::<f64>();
        add_stratum(tables, cause, rho, &mut score, &mut variance);
    }
    if events == 0.0 {
        return Err(CompareError::NoEvents);
    }
    let (chi_square, df) = quadratic(&score, |i, j| variance[i][j])?;
    score.truncate(df);
    Ok(IncidenceTest { cause, score, chi_square, df, p: numerics::chi_square::sf(chi_square, df as f64) })
}

/// One group as time goes on: left-continuous survival and incidence, and what its variance gathers.
#[derive(Clone, Copy)]
struct Side {
    survival: f64,
    incidence: f64,
    at_risk: f64,
    own: f64,
    other: f64,
    spread: f64,
}

fn add_stratum(tables: &[Option<RiskTable>], cause: usize, rho: f64, score: &mut [f64], variance: &mut [Vec<f64>]) {
    let k = tables.len();
    let mut times: Vec<f64> = tables.iter().flatten().flat_map(|t| t.time.iter().copied()).collect();
    times.sort_by(f64::total_cmp);
    times.dedup();
    let blank = Side { survival: 1.0, incidence: 0.0, at_risk: 0.0, own: 0.0, other: 0.0, spread: 0.0 };
    let mut side = vec![blank; k];
    let mut c = vec![vec![0.0; k]; k];
    let mut cross = vec![vec![0.0; k]; k];
    let mut f = 0.0;
    for time in times {
        for (s, table) in side.iter_mut().zip(tables) {
            let Some(t) = table else { continue };
            let row = t.time.partition_point(|&x| x < time);
            s.at_risk = t.at_risk.get(row).copied().unwrap_or(0.0);
            let here = t.time.get(row) == Some(&time);
            s.own = if here { t.events(cause).get(row).copied().unwrap_or(0.0) } else { 0.0 };
            s.other = if here { t.all_events(row) - s.own } else { 0.0 };
        }
        let (own, other) = side.iter().fold((0.0, 0.0), |d, s| (d.0 + s.own, d.1 + s.other));
        if own + other == 0.0 {
            continue;
        }
        let share = |s: &Side| if s.at_risk > 0.0 { s.at_risk / s.survival } else { 0.0 };
        let tr: f64 = side.iter().map(share).sum();
        let tq: f64 = side.iter().map(|s| share(s) * (1.0 - s.incidence)).sum();
        let next_f = f + own / tr;
        let w = f64::powf(1.0 - f, rho);
        let a = |i: usize, j: usize| {
            let same = if i == j { 1.0 } else { 0.0 };
            w * share(&side[i]) * (same - share(&side[j]) / tr)
        };
        for (i, row) in c.iter_mut().enumerate() {
            for (j, entry) in row.iter_mut().enumerate() {
                *entry += a(i, j) * own / (tr * (1.0 - f));
            }
        }
        let mut changes = Vec::new();
        for (g, s) in side.iter().enumerate().filter(|(_, s)| s.at_risk > 0.0) {
            let after = s.survival * (s.at_risk - s.own - s.other) / s.at_risk;
            if own > 0.0 {
                score[g] += w * (s.own - own * share(s) * (1.0 - s.incidence) / tq);
                let t4 = if after > 0.0 { 1.0 - (1.0 - next_f) / after } else { 1.0 };
                let ties = if own > 1.0 { 1.0 - (own - 1.0) / (tr * s.survival - 1.0) } else { 1.0 };
                let weight = ties * s.survival * own / (tr * s.at_risk);
                let t1: Vec<f64> = (0..k).map(|i| a(i, g) - t4 * c[i][g]).collect();
                changes.push((g, t4, weight, t1));
            }
            if after > 0.0 && s.other > 0.0 {
                let t4 = (1.0 - next_f) / after;
                let ties = if s.other > 1.0 { 1.0 - (s.other - 1.0) / (s.at_risk - 1.0) } else { 1.0 };
                let weight = ties * s.survival.powi(2) * s.other / s.at_risk.powi(2);
                changes.push((g, -t4, weight, (0..k).map(|i| t4 * c[i][g]).collect()));
            }
        }
        for (g, t4, weight, t1) in changes {
            side[g].spread += t4 * t4 * weight;
            for i in 0..k {
                cross[i][g] += t1[i] * t4 * weight;
                for j in 0..k {
                    variance[i][j] += t1[i] * t1[j] * weight;
                }
            }
        }
        for s in side.iter_mut().filter(|s| s.at_risk > 0.0) {
            s.incidence += s.survival * s.own / s.at_risk;
            s.survival *= (s.at_risk - s.own - s.other) / s.at_risk;
        }
        f = next_f;
    }
    for i in 0..k {
        for j in 0..k {
            for g in 0..k {
                variance[i][j] += c[i][g] * c[j][g] * side[g].spread + c[i][g] * cross[j][g] + c[j][g] * cross[i][g];
            }
        }
    }
}
