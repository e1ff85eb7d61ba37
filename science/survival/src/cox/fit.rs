//! Newton's method on the partial likelihood, and what the fit tells.

use super::design::Design;
use super::likelihood::Likelihood;
use super::{Cox, CoxError, Ties};
use numerics::dense::{DenseError, Matrix};
use serde::Serialize;

/// Step, in standard deviations of a covariate, after which the error, of the order of its square, is below 1e-10.
const SETTLED: f64 = 3e-6;
/// Newton steps after which a finite maximum would long have been found.
const STEPS: usize = 40;

/// A chi-square test.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CoxTest {
    /// Statistic.
    pub chi_square: f64,
    /// Degrees of freedom.
    pub df: usize,
    /// p.
    pub p: f64,
}

impl CoxTest {
    pub(super) fn new(chi_square: f64, df: usize) -> Self {
        Self { chi_square, df, p: numerics::chi_square::sf(chi_square, df as f64) }
    }
}

/// A fitted model.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoxFit {
    /// Names of covariates.
    pub names: Vec<String>,
    /// Coefficients: log hazard ratios per unit of each covariate.
    pub coefficients: Vec<f64>,
    /// Model-based standard errors.
    pub model_se: Vec<f64>,
    /// Cluster-robust standard errors, where clusters were given.
    pub robust_se: Option<Vec<f64>>,
    /// Model-based covariance, by row.
    pub model_covariance: Vec<Vec<f64>>,
    /// Robust covariance.
    pub robust_covariance: Option<Vec<Vec<f64>>>,
    /// Log partial likelihood with all coefficients 0, and at the fit.
    pub log_likelihood: (f64, f64),
    /// Score test of all coefficients 0.
    pub score_test: CoxTest,
    /// Likelihood ratio test of all coefficients 0.
    pub ratio_test: CoxTest,
    /// Wald test of all coefficients 0, with the robust covariance where there is one.
    pub wald_test: CoxTest,
    /// Score test with covariance over clusters.
    pub robust_score_test: Option<CoxTest>,
    /// Rows that were at risk at an event.
    pub rows: usize,
    /// Rows that ended in an event.
    pub events: usize,
    /// Clusters.
    pub clusters: Option<usize>,
    /// Newton steps.
    pub steps: usize,
    /// Way of taking ties.
    pub ties: Ties,
}

impl CoxFit {
    /// Covariance to judge by: robust where clusters were given.
    pub fn covariance(&self) -> &[Vec<f64>] {
        self.robust_covariance.as_deref().unwrap_or(&self.model_covariance)
    }

    /// Standard errors to judge by: robust where clusters were given.
    pub fn se(&self) -> &[f64] {
        self.robust_se.as_deref().unwrap_or(&self.model_se)
    }
}

pub(super) fn fit(model: &Cox<'_>) -> Result<CoxFit, CoxError> {
    let design = Design::new(model)?;
    let p = design.p;
    let name = |j: usize| model.covariates[j].name.to_owned();
    let events = design.event.iter().filter(|e| **e).count();
    let mut beta = vec![0.0; p];
    let mut here = Likelihood::at(&design, model.ties, &beta);
    let null = here.log;
    let (mut score, mut information) = here.moments(|_| 1.0, false);
    let (null_score, null_information) = (score.clone(), information.clone());
    let mut steps = 0;
    loop {
        check_information(&information, &null_information, p).map_err(|(j, parted)| match parted {
            true => CoxError::Separated { covariate: name(j) },
            false => CoxError::NoInformation { covariate: name(j) },
        })?;
        let step = solve(&information, p, &score).map_err(|j| CoxError::NoInformation { covariate: name(j) })?;
        let (worst, size) =
            step.iter().map(|s| s.abs()).enumerate().fold((0, 0.0), |m, s| if s.1 > m.1 { s } else { m });
        steps += 1;
        if steps > STEPS {
            return Err(CoxError::Separated { covariate: name(worst) });
        }
        let mut share = 1.0;
        let mut next;
        loop {
            let trial: Vec<f64> = beta.iter().zip(&step).map(|(b, s)| b + share * s).collect();
            next = Likelihood::at(&design, model.ties, &trial);
            // At the top the likelihood no longer tells better from worse: rounding is allowed for.
            let fallen = next.log < here.log - 1e-10 * here.log.abs();
            if next.log.is_finite() && !fallen {
                beta = trial;
                break;
            }
            share *= 0.5;
            if share < 1e-6 {
                return Err(CoxError::Separated { covariate: name(worst) });
            }
        }
        here = next;
        (score, information) = here.moments(|_| 1.0, false);
        if size < SETTLED && share == 1.0 {
            break;
        }
    }
    let inverse = inverse(&information, p).ok_or_else(|| CoxError::NoInformation { covariate: name(0) })?;
    let clustered = model.seen.cluster().is_some();
    let robust = clustered.then(|| super::robust::covariance(model, &design, &here, &inverse));
    let robust_score_test = if clustered { robust_score_test(model).ok() } else { None };
    let scaled = |v: &[f64]| -> Vec<Vec<f64>> {
        (0..p).map(|i| (0..p).map(|j| v[i * p + j] / (design.sd[i] * design.sd[j])).collect()).collect()
    };
    let errors = |v: &[Vec<f64>]| (0..p).map(|j| v[j][j].sqrt()).collect::<Vec<_>>();
    let (model_covariance, robust_covariance) = (scaled(&inverse), robust.as_deref().map(scaled));
    let judged = robust.as_deref().unwrap_or(&inverse);
    let wald = solve(judged, p, &beta).map_or(f64::NAN, |x| dot(&beta, &x));
    let score_statistic = solve(&null_information, p, &null_score).map_or(f64::NAN, |x| dot(&null_score, &x));
    Ok(CoxFit {
        names: (0..p).map(name).collect(),
        coefficients: beta.iter().zip(&design.sd).map(|(b, s)| b / s).collect(),
        model_se: errors(&model_covariance),
        robust_se: robust_covariance.as_deref().map(errors),
        model_covariance,
        robust_covariance,
        log_likelihood: (null, here.log),
        score_test: CoxTest::new(score_statistic, p),
        ratio_test: CoxTest::new(2.0 * (here.log - null), p),
        wald_test: CoxTest::new(wald, p),
        robust_score_test,
        rows: design.rows(),
        events,
        clusters: model.seen.cluster().map(|_| model.seen.dense_clusters().1),
        steps,
        ties: model.ties,
    })
}

pub(super) fn robust_score_test(model: &Cox<'_>) -> Result<CoxTest, CoxError> {
    let design = Design::new(model)?;
    let p = design.p;
    let null = Likelihood::at(&design, model.ties, &vec![0.0; p]);
    let (score, _) = null.moments(|_| 1.0, true);
    let variance = super::robust::score_variance(model, &design, &null);
    let solved = solve(&variance, p, &score)
        .map_err(|j| CoxError::NoInformation { covariate: model.covariates[j].name.to_owned() })?;
    Ok(CoxTest::new(dot(&score, &solved), p))
}

/// A covariate whose information vanished: from the start (it tells nothing) or on the way (it parts the events).
fn check_information(information: &[f64], at_start: &[f64], p: usize) -> Result<(), (usize, bool)> {
    for j in 0..p {
        let (now, start) = (information[j * p + j], at_start[j * p + j]);
        // Standardised covariates carry about one unit of information an event.
        if start < 1e-12 {
            return Err((j, false));
        }
        if now < 1e-10 * start {
            return Err((j, true));
        }
    }
    Ok(())
}

/// Solution of a symmetric positive system; the row that has no pivot otherwise.
pub(super) fn solve(matrix: &[f64], p: usize, right: &[f64]) -> Result<Vec<f64>, usize> {
    // A covariate that follows from the others leaves a pivot at rounding level.
    let m = Matrix::from_fn(p, |i, j| matrix[i * p + j]);
    match m.cholesky() {
        Ok(l) => match (0..p).find(|&j| l.get(j, j).powi(2) < 1e-12 * matrix[j * p + j]) {
            Some(j) => Err(j),
            None => Ok(l.solve(right)),
        },
        Err(DenseError::NotPositiveDefinite(j) | DenseError::Singular(j)) => Err(j),
    }
}

fn inverse(matrix: &[f64], p: usize) -> Option<Vec<f64>> {
    let inverse = Matrix::from_fn(p, |i, j| matrix[i * p + j]).cholesky().ok()?.inverse();
    Some((0..p * p).map(|at| inverse.get(at / p, at % p)).collect())
}

pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}
