//! Cumulative baseline hazard and survival predicted for covariates.
//!
//! `H_0(t) = sum_k sum_l 1/(S0 - (l/d) E0)`; for covariates z `S = exp(-H_0 e^{z'b})` with variance of the cumulative hazard `e^{2 z'b} (sum 1/(...)^2 + q' V q)`, `q = sum h (m - z)`: Tsiatis 1981,
//! Ann Stat 9:93-108, doi 10.1214/aos/1176345335. Model-based covariance V.

use super::design::Design;
use super::fit::CoxFit;
use super::likelihood::Likelihood;
use super::{Cox, CoxError};
use crate::scale::{Limits, Scale};
use serde::Serialize;

/// One time of a prediction.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BaselineStep {
    /// Time.
    pub time: f64,
    /// Cumulative hazard for the covariates asked for.
    pub hazard: f64,
    /// Standard error of the cumulative hazard.
    pub hazard_se: f64,
}

/// Survival predicted for one set of covariates in one stratum.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Predicted {
    /// Code of the stratum (0 without strata).
    pub stratum: u32,
    /// Event times.
    pub steps: Vec<BaselineStep>,
}

impl Predicted {
    /// Hazard and its error at a time.
    pub fn at(&self, time: f64) -> BaselineStep {
        let reached = self.steps.partition_point(|s| s.time <= time);
        reached.checked_sub(1).map_or(BaselineStep { time, hazard: 0.0, hazard_se: 0.0 }, |i| self.steps[i])
    }

    /// Survival at a time with its standard error and limits.
    pub fn survival(&self, time: f64, level: f64, scale: Scale) -> (f64, f64, Option<Limits>) {
        let step = self.at(time);
        let s = (-step.hazard).exp();
        (s, s * step.hazard_se, scale.limits(s, s * step.hazard_se, level))
    }
}

impl CoxFit {
    /// Predicts for covariates `at` (all 0: the baseline), by stratum.
    ///
    /// # Errors
    /// [`CoxError`] as for fitting.
    pub fn predict(&self, model: &Cox<'_>, at: &[f64]) -> Result<Vec<Predicted>, CoxError> {
        let design = Design::new(model)?;
        let p = design.p;
        crate::observations::same_length("covariate", at.len(), p)?;
        let beta: Vec<f64> = self.coefficients.iter().zip(&design.sd).map(|(b, s)| b * s).collect();
        let here = Likelihood::at(&design, model.ties, &beta);
        let z: Vec<f64> = (0..p).map(|j| (at[j] - design.mean[j]) / design.sd[j]).collect();
        let ratio = z.iter().zip(&beta).map(|(z, b)| z * b).sum::<f64>().exp();
        let covariance: Vec<f64> =
            (0..p * p).map(|e| self.model_covariance[e / p][e % p] * design.sd[e / p] * design.sd[e % p]).collect();
        Ok(design
            .strata
            .iter()
            .map(|(stratum, range)| {
                let (mut hazard, mut own, mut q) = (0.0, 0.0, vec![0.0; p]);
                let steps = range
                    .clone()
                    .map(|k| {
                        for (term, (_, weight, h)) in here.tied[k].hazards().enumerate() {
                            hazard += h;
                            own += h * h / weight;
                            let mean = here.mean(k, term);
                            for j in 0..p {
                                q[j] += h * (mean[j + 1] - z[j]);
                            }
                        }
                        let mut variance = own;
                        for i in 0..p {
                            for j in 0..p {
                                variance += q[i] * covariance[i * p + j] * q[j];
                            }
                        }
                        BaselineStep {
                            time: design.time[k],
                            hazard: hazard * ratio,
                            hazard_se: ratio * variance.sqrt(),
                        }
                    })
                    .collect();
                Predicted { stratum: *stratum, steps }
            })
            .collect())
    }
}
