//! Regression on the subdistribution hazard of one cause where causes compete.
//!
//! Units that failed from another cause at T stay at risk with weight G(t-)/G(T-), G the Kaplan-Meier curve of censoring; ties after Breslow. Errors allow for the estimation of G: with
//! eta_i the weighted score residual and psi_i that of the censoring curve, the covariance is `I^-1 sum (eta + psi)(eta + psi)' I^-1`, summed over clusters where they are
//! given. Fine, `Gray` 1999, J Am Stat Assoc 94:496-509, doi 10.1080/01621459.1999.10474144. As in Cox the information is one Gram matrix over rows. Limits: censoring does not depend on
//! covariates; no delayed entry, no strata; effects are on the incidence, not on the rate among those still at risk.

mod errors;
mod rows;

use crate::cox::{Covariate, CoxError};
use crate::observations::Observations;
use numerics::dense::Matrix;
use rows::Rows;
use serde::Serialize;

/// Who counts as at risk of censoring at a time when others fail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CensoringTies {
    /// Units that fail at that very time, too (the common form).
    #[default]
    FailuresStay,
    /// Only those left after the failures of that time.
    FailuresLeave,
}

/// A fitted model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SubdistributionFit {
    /// Names of covariates.
    pub names: Vec<String>,
    /// Log subdistribution hazard ratios.
    pub coefficients: Vec<f64>,
    /// Standard errors that allow for the censoring curve (over clusters where given).
    pub se: Vec<f64>,
    /// Standard errors from the information alone.
    pub model_se: Vec<f64>,
    /// Covariance, by row.
    pub covariance: Vec<Vec<f64>>,
    /// Log pseudo-likelihood with all coefficients 0, and at the fit.
    pub log_likelihood: (f64, f64),
    /// Event times with the cumulative baseline subdistribution hazard.
    pub baseline: Vec<(f64, f64)>,
}

impl SubdistributionFit {
    /// Incidence by a time for covariates.
    pub fn incidence(&self, covariates: &[f64], time: f64) -> f64 {
        let reached = self.baseline.partition_point(|b| b.0 <= time);
        let hazard = reached.checked_sub(1).map_or(0.0, |i| self.baseline[i].1);
        -(-hazard * dot(covariates, &self.coefficients).exp()).exp_m1()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Fits a model of one cause (from 1).
///
/// # Errors
/// [`CoxError`]; rows with late entry are refused.
pub fn subdistribution(
    seen: &Observations<'_>,
    covariates: &[Covariate<'_>],
    cause: u32,
    ties: CensoringTies,
) -> Result<SubdistributionFit, CoxError> {
    crate::cox::Cox::new(*seen, covariates)?;
    if seen.entry().is_some() {
        return Err(CoxError::LateEntry);
    }
    let rows = Rows::new(seen, covariates, cause, ties);
    if rows.events.is_empty() {
        return Err(CoxError::NoEvents);
    }
    let p = covariates.len();
    let name = |j: usize| covariates[j].name.to_owned();
    let mut beta = vec![0.0; p];
    let mut here = rows.sums(&beta);
    let null = here.log;
    for step_number in 0.. {
        let factor = Matrix::from_fn(p, |i, j| here.information[i * p + j]).cholesky();
        let step = match factor {
            Ok(l) => l.solve(&here.score),
            Err(_) => return Err(CoxError::NoInformation { covariate: name(p - 1) }),
        };
        let worst = (0..p).max_by(|&a, &b| step[a].abs().total_cmp(&step[b].abs())).unwrap_or(0);
        if step_number > 40 {
            return Err(CoxError::Separated { covariate: name(worst) });
        }
        let mut share = 1.0;
        loop {
            let trial: Vec<f64> = beta.iter().zip(&step).map(|(b, s)| b + share * s).collect();
            let next = rows.sums(&trial);
            if next.log.is_finite() && next.log >= here.log - 1e-11 * here.log.abs() {
                (beta, here) = (trial, next);
                break;
            }
            share *= 0.5;
            if share < 1e-6 {
                return Err(CoxError::Separated { covariate: name(worst) });
            }
        }
        if step[worst].abs() < 1e-8 {
            break;
        }
    }
    rows.finish(seen, &beta, here, null, covariates)
}
