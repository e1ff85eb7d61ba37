//! Maximum likelihood of a law with covariates.

use super::{Law, Span};
use numerics::dense::Matrix;
use serde::Serialize;
use thiserror::Error;

/// Newton steps after which there is no maximum to be found.
const STEPS: usize = 200;

/// One row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lifetime {
    /// When the event happened, as far as known.
    pub span: Span,
    /// Time from which it was watched (0: from the start).
    pub entry: f64,
    /// Number of alike rows it stands for.
    pub weight: f64,
    /// Cluster it belongs to.
    pub cluster: u32,
}

impl From<Span> for Lifetime {
    fn from(span: Span) -> Self {
        Self { span, entry: 0.0, weight: 1.0, cluster: 0 }
    }
}

/// Why a law cannot be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum LifetimeError {
    /// No rows, or columns of other length.
    #[error("a law needs at least one row, and every column as long as the rows")]
    Columns,
    /// Bounds that make no sense.
    #[error("row {row}: times must be above 0, the later bound after the earlier, and entry before both")]
    Span {
        /// Which, from 0.
        row: usize,
    },
    /// All rows are right-censored.
    #[error("no event happened: a law cannot be fitted")]
    NoEvents,
    /// No finite maximum, or covariates that follow from each other.
    #[error(
        "the likelihood has no single finite maximum: too few events for the coefficients, or covariates that follow from each other"
    )]
    NoMaximum,
}

/// A fitted law. Parameters: coefficients in order of columns, then log s where it is fitted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifetimeFit {
    /// Law.
    pub law: Law,
    /// Coefficients b of log time.
    pub coefficients: Vec<f64>,
    /// Scale s (1 for the exponential).
    pub scale: f64,
    /// Covariance of the parameters, by row.
    pub covariance: Vec<Vec<f64>>,
    /// Covariance over clusters.
    pub robust_covariance: Vec<Vec<f64>>,
    /// Log likelihood.
    pub log_likelihood: f64,
}

impl LifetimeFit {
    /// Standard errors of the parameters.
    pub fn se(&self) -> Vec<f64> {
        (0..self.covariance.len()).map(|i| self.covariance[i][i].sqrt()).collect()
    }

    /// Cluster-robust standard errors of the parameters.
    pub fn robust_se(&self) -> Vec<f64> {
        (0..self.robust_covariance.len()).map(|i| self.robust_covariance[i][i].sqrt()).collect()
    }

    /// Survival at a time for covariates, with its standard error.
    pub fn survival(&self, covariates: &[f64], time: f64) -> (f64, f64) {
        let eta = dot(covariates, &self.coefficients);
        let z = (time.ln() - eta) / self.scale;
        let s = self.law.survival(z);
        // Slope of S in z by the law itself, then z by each parameter.
        let h = 1e-5;
        let slope = (self.law.survival(z + h) - self.law.survival(z - h)) / (2.0 * h);
        let by: Vec<f64> = self.gradient(covariates, z).iter().map(|d| slope * d).collect();
        (s, self.spread(&by))
    }

    /// Time by which a share has failed for covariates, with its standard error.
    pub fn quantile(&self, covariates: &[f64], share: f64) -> (f64, f64) {
        let w = self.law.quantile(share);
        let time = (dot(covariates, &self.coefficients) + self.scale * w).exp();
        let mut by: Vec<f64> = covariates.iter().map(|x| time * x).collect();
        if self.law.has_scale() {
            by.push(time * self.scale * w);
        }
        (time, self.spread(&by))
    }

    /// z by each parameter.
    fn gradient(&self, covariates: &[f64], z: f64) -> Vec<f64> {
        let mut by: Vec<f64> = covariates.iter().map(|x| -x / self.scale).collect();
        if self.law.has_scale() {
            by.push(-z);
        }
        by
    }

    fn spread(&self, by: &[f64]) -> f64 {
        let each = |i: usize| (0..by.len()).map(|j| by[i] * self.covariance[i][j] * by[j]).sum::<f64>();
        (0..by.len()).map(each).sum::<f64>().sqrt()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Fits a law; `columns` are the covariates (give a column of ones for the intercept).
///
/// # Errors
/// [`LifetimeError`].
pub fn lifetimes(rows: &[Lifetime], columns: &[&[f64]], law: Law) -> Result<LifetimeFit, LifetimeError> {
    check(rows, columns)?;
    let p = columns.len();
    let n = p + usize::from(law.has_scale());
    let mut at = start(rows, columns, n)?;
    let mut here = sums(rows, columns, law, &at);
    for _ in 0..STEPS {
        let step = damped_step(&here, n).ok_or(LifetimeError::NoMaximum)?;
        let mut share = 1.0;
        let next = loop {
            let trial: Vec<f64> = at.iter().zip(&step).map(|(a, s)| a + share * s).collect();
            let sums = sums(rows, columns, law, &trial);
            if sums.log.is_finite() && sums.log >= here.log - 1e-11 * here.log.abs() {
                at = trial;
                break sums;
            }
            share *= 0.5;
            if share < 1e-8 {
                return Err(LifetimeError::NoMaximum);
            }
        };
        here = next;
        // Newton's error falls with its square: a step of 1e-7 standard errors leaves 1e-14.
        let size = step.iter().enumerate().map(|(i, s)| s.abs() * here.information[i * n + i].max(0.0).sqrt());
        if share == 1.0 && size.fold(0.0, f64::max) < 1e-7 {
            return finish(here, rows, columns, law, &at, n);
        }
    }
    Err(LifetimeError::NoMaximum)
}

fn check(rows: &[Lifetime], columns: &[&[f64]]) -> Result<(), LifetimeError> {
    if rows.is_empty() || columns.is_empty() || columns.iter().any(|c| c.len() != rows.len()) {
        return Err(LifetimeError::Columns);
    }
    for (row, r) in rows.iter().enumerate() {
        let (low, high) = r.span.bounds();
        let ordered = match r.span {
            Span::At(t) | Span::Before(t) => t > 0.0 && t.is_finite(),
            Span::After(t) => t >= 0.0 && t.is_finite(),
            Span::Between(a, b) => a > 0.0 && a < b && b.is_finite(),
        };
        let watched = r.entry >= 0.0 && (r.entry == 0.0 || (r.entry <= low && r.entry < high));
        if !(ordered && watched && r.weight >= 0.0 && columns.iter().all(|c| c[row].is_finite())) {
            return Err(LifetimeError::Span { row });
        }
    }
    if rows.iter().all(|r| matches!(r.span, Span::After(_)) || r.weight == 0.0) {
        return Err(LifetimeError::NoEvents);
    }
    Ok(())
}

/// Least squares of the log of one time a row, scale from the spread about it.
fn start(rows: &[Lifetime], columns: &[&[f64]], n: usize) -> Result<Vec<f64>, LifetimeError> {
    let p = columns.len();
    let middle = |r: &Lifetime| match r.span {
        Span::At(t) | Span::After(t) => t.max(1e-6).ln(),
        Span::Before(t) => (0.5 * t).ln(),
        Span::Between(a, b) => (0.5 * (a + b)).ln(),
    };
    let y: Vec<f64> = rows.iter().map(middle).collect();
    let normal = Matrix::from_fn(p, |i, j| dot(columns[i], columns[j]));
    let right: Vec<f64> = columns.iter().map(|c| dot(c, &y)).collect();
    let mut at = normal.solve(&right).map_err(|_| LifetimeError::NoMaximum)?;
    let error = |row: usize| (y[row] - (0..p).map(|j| columns[j][row] * at[j]).sum::<f64>()).powi(2);
    let spread = (rows.iter().enumerate().map(|(row, _)| error(row)).sum::<f64>() / rows.len() as f64).sqrt();
    at.resize(n, spread.clamp(0.05, 2.0).ln());
    Ok(at)
}

struct Sums {
    log: f64,
    score: Vec<f64>,
    information: Vec<f64>,
}

fn sums(rows: &[Lifetime], columns: &[&[f64]], law: Law, at: &[f64]) -> Sums {
    let (p, n) = (columns.len(), at.len());
    let mut out = Sums { log: 0.0, score: vec![0.0; n], information: vec![0.0; n * n] };
    let mut x = vec![0.0; n];
    for (row, r) in rows.iter().enumerate() {
        for (x, c) in x.iter_mut().zip(columns) {
            *x = c[row];
        }
        let eta = dot(&x[..p], &at[..p]);
        let jet = law.log_likelihood(r.span, r.entry, eta, at.get(p).copied().unwrap_or(0.0));
        out.log += r.weight * jet.value;
        for i in 0..p {
            out.score[i] += r.weight * jet.slope[0] * x[i];
            for j in 0..=i {
                out.information[i * n + j] -= r.weight * jet.bend[0] * x[i] * x[j];
            }
        }
        if n > p {
            out.score[p] += r.weight * jet.slope[1];
            for (j, x) in x.iter().enumerate().take(p) {
                out.information[p * n + j] -= r.weight * jet.bend[1] * x;
            }
            out.information[p * n + p] -= r.weight * jet.bend[2];
        }
    }
    for i in 0..n {
        for j in 0..i {
            out.information[j * n + i] = out.information[i * n + j];
        }
    }
    out
}

/// Newton's step, towards the gradient as far as the information is not positive.
fn damped_step(here: &Sums, n: usize) -> Option<Vec<f64>> {
    let mut damp = 0.0;
    for _ in 0..40 {
        let m = Matrix::from_fn(n, |i, j| {
            let own = here.information[i * n + j];
            if i == j { own + damp * own.abs().max(1e-3) } else { own }
        });
        if let Ok(l) = m.cholesky() {
            let step = l.solve(&here.score);
            return step.iter().all(|s| s.is_finite()).then_some(step);
        }
        damp = if damp == 0.0 { 1e-3 } else { damp * 4.0 };
    }
    None
}

fn finish(
    here: Sums,
    rows: &[Lifetime],
    columns: &[&[f64]],
    law: Law,
    at: &[f64],
    n: usize,
) -> Result<LifetimeFit, LifetimeError> {
    let p = columns.len();
    let factor = Matrix::from_fn(n, |i, j| here.information[i * n + j]).cholesky();
    let inverse = factor.map_err(|_| LifetimeError::NoMaximum)?.inverse();
    let ids: Vec<u32> = rows.iter().map(|r| r.cluster).collect();
    let (codes, clusters) = crate::codes::dense(&ids);
    let mut scores = vec![0.0; clusters * n];
    for (row, r) in rows.iter().enumerate() {
        let x: Vec<f64> = columns.iter().map(|c| c[row]).collect();
        let jet = law.log_likelihood(r.span, r.entry, dot(&x, &at[..p]), at.get(p).copied().unwrap_or(0.0));
        let own = &mut scores[codes[row] as usize * n..][..n];
        for (s, x) in own.iter_mut().zip(x.iter().chain([&1.0])).take(p) {
            *s += r.weight * jet.slope[0] * x;
        }
        if n > p {
            own[p] += r.weight * jet.slope[1];
        }
    }
    let influence: Vec<Vec<f64>> = scores.chunks_exact(n).map(|s| inverse.times(s)).collect();
    let square = |f: &dyn Fn(usize, usize) -> f64| -> Vec<Vec<f64>> {
        (0..n).map(|i| (0..n).map(|j| f(i, j)).collect()).collect()
    };
    Ok(LifetimeFit {
        law,
        coefficients: at[..p].to_vec(),
        scale: at.get(p).map_or(1.0, |s| s.exp()),
        covariance: square(&|i, j| inverse.get(i, j)),
        robust_covariance: square(&|i, j| influence.iter().map(|u| u[i] * u[j]).sum()),
        log_likelihood: here.log,
    })
}
