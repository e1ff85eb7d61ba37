//! Do groups differ in survival? The log-rank test and its G-rho family, within strata.
//!
//! Observed less expected events by group, `U_g = sum_j w_j (d_gj - d_j n_gj/n_j)`, with hypergeometric covariance `w_j^2 d_j (n_j - d_j)/(n_j - 1) (n_gj/n_j) (delta_gh - n_hj/n_j)`, summed
//! over strata; `w = S(t-)^rho` of all groups together (rho 0: log-rank; 1: Peto-Peto). `U' V^- U` is chi-square with (groups - 1) degrees. Mantel 1966, Cancer Chemother
//! Rep 50:163-170; Harrington, Fleming 1982, Biometrika 69:553-566, doi 10.1093/biomet/69.3.553. Limit: rows count as independent; with clusters use the robust score
//! test of a Cox model with the groups as covariates.

use crate::observations::{DataError, Observations, split};
use crate::risk_table::RiskTable;
use numerics::dense::Matrix;
use serde::Serialize;
use thiserror::Error;

/// Why groups cannot be compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CompareError {
    /// Columns do not fit.
    #[error(transparent)]
    Data(#[from] DataError),
    /// Fewer than two groups could have had an event.
    #[error("fewer than two groups were at risk when events happened: nothing to compare")]
    OneGroup,
    /// Nothing happened.
    #[error("no event happened: groups cannot be compared")]
    NoEvents,
    /// Late entry is not provided for.
    #[error("this test does not provide for delayed entry")]
    LateEntry,
}

/// Outcome of a comparison of groups.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RankTest {
    /// Events (weighted by w) by group.
    pub observed: Vec<f64>,
    /// Expected if groups did not differ.
    pub expected: Vec<f64>,
    /// Covariance of observed less expected, by row.
    pub variance: Vec<Vec<f64>>,
    /// Test statistic.
    pub chi_square: f64,
    /// Degrees of freedom.
    pub df: usize,
    /// Probability of as much or more if groups did not differ.
    pub p: f64,
}

/// Compares groups of rows within strata, any cause being the event.
///
/// # Errors
/// [`CompareError`].
pub fn log_rank(
    seen: &Observations<'_>,
    group: &[u32],
    strata: Option<&[u32]>,
    rho: f64,
) -> Result<RankTest, CompareError> {
    log_rank_of(&tables_by_stratum(seen, group, strata)?, rho)
}

/// Risk tables by stratum and group; a group absent from a stratum has none there.
pub(crate) fn tables_by_stratum(
    seen: &Observations<'_>,
    group: &[u32],
    strata: Option<&[u32]>,
) -> Result<Vec<Vec<Option<RiskTable>>>, DataError> {
    let mut codes = group.to_vec();
    codes.sort_unstable();
    codes.dedup();
    let one = vec![0; seen.len()];
    let mut all = Vec::new();
    for stratum in split(seen, strata.unwrap_or(&one))? {
        let own: Vec<u32> = stratum.rows.iter().map(|&r| *group.get(r).unwrap_or(&0)).collect();
        let mut tables = vec![None; codes.len()];
        for part in split(&stratum.observations(), &own)? {
            if let Ok(at) = codes.binary_search(&part.code) {
                tables[at] = Some(RiskTable::count(&part.observations()));
            }
        }
        all.push(tables);
    }
    if group.len() != seen.len() {
        return Err(DataError::Length { column: "group", found: group.len(), expected: seen.len() });
    }
    Ok(all)
}

/// Compares groups given as risk tables: by stratum, then by group (`None` where a group is absent from a stratum).
///
/// # Errors
/// [`CompareError`].
pub fn log_rank_of(strata: &[Vec<Option<RiskTable>>], rho: f64) -> Result<RankTest, CompareError> {
    let groups = strata.iter().map(Vec::len).max().unwrap_or(0);
    let (mut observed, mut expected) = (vec![0.0; groups], vec![0.0; groups]);
    let mut variance = vec![vec![0.0; groups]; groups];
    let mut happened = false;
    for tables in strata {
        let mut times: Vec<f64> = tables
            .iter()
            .flatten()
            .flat_map(|t| (0..t.len()).filter(|&r| t.all_events(r) > 0.0).map(|r| t.time[r]))
            .collect();
        times.sort_by(f64::total_cmp);
        times.dedup();
        let mut survival: f64 = 1.0;
        for time in times {
            let at = |t: &Option<RiskTable>| {
                t.as_ref().map_or((0.0, 0.0), |t| {
                    let row = t.time.partition_point(|&x| x < time);
                    let here = t.time.get(row) == Some(&time);
                    (t.at_risk.get(row).copied().unwrap_or(0.0), if here { t.all_events(row) } else { 0.0 })
                })
            };
            let here: Vec<(f64, f64)> = tables.iter().map(at).collect();
            let (n, d) = here.iter().fold((0.0, 0.0), |s, g| (s.0 + g.0, s.1 + g.1));
            happened |= d > 0.0;
            let w = survival.powf(rho);
            survival *= 1.0 - d / n;
            let spread = if n > 1.0 { w * w * d * (n - d) / (n - 1.0) } else { 0.0 };
            for g in 0..here.len() {
                observed[g] += w * here[g].1;
                expected[g] += w * d * here[g].0 / n;
                for h in 0..here.len() {
                    let same = if g == h { 1.0 } else { 0.0 };
                    variance[g][h] += spread * here[g].0 / n * (same - here[h].0 / n);
                }
            }
        }
    }
    if !happened {
        return Err(CompareError::NoEvents);
    }
    let used: Vec<usize> = (0..groups).filter(|&g| expected[g] > 0.0).collect();
    let score: Vec<f64> = used.iter().map(|&g| observed[g] - expected[g]).collect();
    let (chi_square, df) = quadratic(&score, |i, j| variance[used[i]][used[j]])?;
    let p = numerics::chi_square::sf(chi_square, df as f64);
    Ok(RankTest { observed, expected, variance, chi_square, df, p })
}

/// `U' V^- U` of a score whose entries sum to zero: the last is left out.
pub(crate) fn quadratic(score: &[f64], v: impl Fn(usize, usize) -> f64) -> Result<(f64, usize), CompareError> {
    let df = score.len().checked_sub(1).filter(|&df| df > 0).ok_or(CompareError::OneGroup)?;
    let solved = Matrix::from_fn(df, v).solve(&score[..df]).map_err(|_| CompareError::OneGroup)?;
    Ok((score[..df].iter().zip(&solved).map(|(a, b)| a * b).sum(), df))
}
