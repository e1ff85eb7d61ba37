//! What a fit tells, and its errors: weighted score residuals with what the estimated censoring curve adds.

use super::SubdistributionFit;
use super::rows::{Kind, Rows, Sums};
use crate::cox::{Covariate, CoxError};
use crate::observations::Observations;
use numerics::dense::Matrix;

impl Rows {
    pub fn finish(
        &self,
        seen: &Observations<'_>,
        beta: &[f64],
        here: Sums,
        null: f64,
        covariates: &[Covariate<'_>],
    ) -> Result<SubdistributionFit, CoxError> {
        let p = self.p;
        let factor = Matrix::from_fn(p, |i, j| here.information[i * p + j]).cholesky();
        let inverse =
            factor.map_err(|_| CoxError::NoInformation { covariate: covariates[0].name.to_owned() })?.inverse();
        let residuals = self.residuals(&here);
        let (codes, clusters) = seen.dense_clusters();
        let mut sums = vec![vec![0.0; p]; clusters];
        for (i, r) in residuals.chunks_exact(p).enumerate() {
            for (s, r) in sums[codes[self.source[i] as usize] as usize].iter_mut().zip(r) {
                *s += r;
            }
        }
        let influence: Vec<Vec<f64>> = sums.iter().map(|s| inverse.times(s)).collect();
        let covariance: Vec<Vec<f64>> = (0..p)
            .map(|i| {
                (0..p).map(|j| influence.iter().map(|u| u[i] * u[j]).sum::<f64>() / (self.sd[i] * self.sd[j])).collect()
            })
            .collect();
        let shift: f64 = (0..p).map(|j| beta[j] * self.mean[j] / self.sd[j]).sum();
        let mut cumulative = 0.0;
        let baseline = self
            .events
            .iter()
            .zip(&here.hazard)
            .map(|(e, h)| {
                cumulative += h * (-shift).exp();
                (e.time, cumulative)
            })
            .collect();
        Ok(SubdistributionFit {
            names: covariates.iter().map(|c| c.name.to_owned()).collect(),
            coefficients: (0..p).map(|j| beta[j] / self.sd[j]).collect(),
            se: (0..p).map(|j| covariance[j][j].sqrt()).collect(),
            model_se: (0..p).map(|j| inverse.get(j, j).sqrt() / self.sd[j]).collect(),
            covariance,
            log_likelihood: (null, here.log),
            baseline,
        })
    }

    /// eta + psi by row, in order of time.
    pub fn residuals(&self, here: &Sums) -> Vec<f64> {
        let (p, n) = (self.p, self.time.len());
        let mut out = vec![0.0; n * p];
        let held = self.held(&here.hazard);
        let own_mean = |i: usize, j: usize| {
            let k = self.events.partition_point(|e| e.time < self.time[i]);
            here.means[k * p + j]
        };
        for j in 0..p {
            let moved = self.through(|k| here.hazard[k] * here.means[k * p + j]);
            for i in 0..n {
                let x = self.row(i)[j];
                let event = if self.kind[i] == Kind::Own { self.weight[i] * (x - own_mean(i, j)) } else { 0.0 };
                out[i * p + j] = event - here.risk[i] * (x * held[i] - moved[i]);
            }
            self.add_censoring(here, j, &mut out);
        }
        out
    }

    /// psi of covariate `j`: what the uncertainty of the censoring curve adds. Ties as in the source, `I(s >= u > T_i)` for event time s, censoring time u.
    pub fn add_censoring(&self, here: &Sums, j: usize, out: &mut [f64]) {
        let p = self.p;
        let times = self.events.len();
        let (mut b, mut c) = (vec![0.0; times + 1], vec![0.0; times + 1]);
        for k in (0..times).rev() {
            let h = self.events[k].g * here.hazard[k];
            b[k] = b[k + 1] + h;
            c[k] = c[k + 1] + h * here.means[k * p + j];
        }
        // q(u)/n(u) at each censoring time, and its sum against the censoring hazard up to there.
        let (mut rx, mut r, mut next) = (0.0, 0.0, 0);
        let mut running = 0.0;
        let mut at: Vec<(f64, f64, f64)> = Vec::with_capacity(self.censorings.len());
        for &(time, hazard, at_risk) in &self.censorings {
            while next < self.time.len() && self.time[next] < time {
                if self.kind[next] == Kind::Other {
                    let share = here.risk[next] / self.before[next];
                    rx += share * self.row(next)[j];
                    r += share;
                }
                next += 1;
            }
            let k = self.events.partition_point(|e| e.time < time);
            let q = (rx * b[k] - r * c[k]) / at_risk;
            running += q * hazard;
            at.push((time, q, running));
        }
        for i in 0..self.time.len() {
            let reached = at.partition_point(|a| a.0 <= self.time[i]);
            let Some(last) = reached.checked_sub(1).map(|k| at[k]) else { continue };
            let own = if self.kind[i] == Kind::Censored { last.1 } else { 0.0 };
            out[i * p + j] += self.weight[i] * (own - last.2);
        }
    }
}
