//! Regression on the subdistribution hazard of one cause where causes compete.
//!
//! Units that failed from another cause at T stay at risk with weight G(t-)/G(T-), G the Kaplan-Meier curve of censoring; ties after Breslow. Errors allow for the estimation of G: with
//! eta_i the weighted score residual and psi_i that of the censoring curve, the covariance is `I^-1 sum (eta + psi)(eta + psi)' I^-1`, summed over clusters where they are
//! given. Fine, Gray 1999, J Am Stat Assoc 94:496-509, doi 10.1080/01621459.1999.10474144. As in Cox the information is one Gram matrix over rows. Limits: censoring does not depend on
//! covariates; no delayed entry, no strata; effects are on the incidence, not on the rate among those still at risk.

use crate::cox::{Covariate, CoxError};
use crate::observations::Observations;
use crate::order::ascending;
use numerics::dense::Matrix;
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
pub struct FineGrayFit {
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

impl FineGrayFit {
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
pub fn fine_gray(
    seen: &Observations<'_>,
    covariates: &[Covariate<'_>],
    cause: u32,
    ties: CensoringTies,
) -> Result<FineGrayFit, CoxError> {
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

/// Rows in order of time with standardised covariates, and the censoring curve.
struct Rows {
    p: usize,
    time: Vec<f64>,
    kind: Vec<Kind>,
    x: Vec<f64>,
    mean: Vec<f64>,
    sd: Vec<f64>,
    weight: Vec<f64>,
    source: Vec<u32>,
    /// G just before each row's time.
    before: Vec<f64>,
    /// Event times of the cause: time, G before, first row at that time, first row after.
    events: Vec<EventTime>,
    /// Censoring times: time, number censored over number at risk, number at risk, first row after.
    censorings: Vec<(f64, f64, f64)>,
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Censored,
    Own,
    Other,
}

#[derive(Clone, Copy)]
struct EventTime {
    time: f64,
    g: f64,
    first: usize,
    after: usize,
}

struct Sums {
    log: f64,
    score: Vec<f64>,
    information: Vec<f64>,
    risk: Vec<f64>,
    /// Hazard increment at each event time.
    hazard: Vec<f64>,
    /// Mean covariates at each event time.
    means: Vec<f64>,
}

impl Rows {
    fn new(seen: &Observations<'_>, covariates: &[Covariate<'_>], cause: u32, ties: CensoringTies) -> Self {
        let source = ascending(seen.exit());
        let (n, p) = (source.len(), covariates.len());
        let time: Vec<f64> = source.iter().map(|&s| seen.exit()[s as usize]).collect();
        let kind: Vec<Kind> = source
            .iter()
            .map(|&s| match seen.cause()[s as usize] {
                0 => Kind::Censored,
                c if c == cause => Kind::Own,
                _ => Kind::Other,
            })
            .collect();
        let weight: Vec<f64> = source.iter().map(|&s| seen.weight_of(s as usize)).collect();
        let mut x = vec![0.0; n * p];
        let (mut mean, mut sd) = (Vec::new(), Vec::new());
        for (j, c) in covariates.iter().enumerate() {
            let centre = c.values.iter().sum::<f64>() / n as f64;
            let spread = (c.values.iter().map(|v| (v - centre).powi(2)).sum::<f64>() / n as f64).sqrt();
            let spread = if spread > 0.0 { spread } else { 1.0 };
            for (i, &s) in source.iter().enumerate() {
                x[i * p + j] = (c.values[s as usize] - centre) / spread;
            }
            mean.push(centre);
            sd.push(spread);
        }
        let mut rows = Self {
            p,
            time,
            kind,
            x,
            mean,
            sd,
            weight,
            source,
            before: vec![1.0; n],
            events: vec![],
            censorings: vec![],
        };
        rows.walk(ties);
        rows
    }

    fn walk(&mut self, ties: CensoringTies) {
        let mut left: f64 = self.weight.iter().sum();
        let (mut g, mut first) = (1.0, 0);
        while first < self.time.len() {
            let time = self.time[first];
            let mut after = first;
            let (mut censored, mut failed, mut own) = (0.0, 0.0, false);
            while after < self.time.len() && self.time[after] == time {
                self.before[after] = g;
                match self.kind[after] {
                    Kind::Censored => censored += self.weight[after],
                    kind => {
                        failed += self.weight[after];
                        own |= kind == Kind::Own;
                    }
                }
                after += 1;
            }
            if own {
                self.events.push(EventTime { time, g, first, after });
            }
            let at_risk = left - if ties == CensoringTies::FailuresLeave { failed } else { 0.0 };
            if censored > 0.0 {
                g *= 1.0 - censored / at_risk;
                self.censorings.push((time, censored / at_risk, at_risk));
            }
            left -= censored + failed;
            first = after;
        }
    }

    fn row(&self, i: usize) -> &[f64] {
        &self.x[i * self.p..(i + 1) * self.p]
    }

    fn sums(&self, beta: &[f64]) -> Sums {
        let (p, n, times) = (self.p, self.time.len(), self.events.len());
        let risk: Vec<f64> = (0..n).map(|i| self.weight[i] * dot(self.row(i), beta).exp()).collect();
        // Still at risk from each event time on (backwards), and failed otherwise before it (forwards).
        let mut sums = vec![vec![0.0; p + 1]; times];
        let mut running = vec![0.0; p + 1];
        let mut next = n;
        for (k, event) in self.events.iter().enumerate().rev() {
            while next > event.first {
                next -= 1;
                add(&mut running, self.row(next), risk[next]);
            }
            sums[k].copy_from_slice(&running);
        }
        running.fill(0.0);
        next = 0;
        for (k, event) in self.events.iter().enumerate() {
            while next < event.first {
                if self.kind[next] == Kind::Other {
                    add(&mut running, self.row(next), risk[next] / self.before[next]);
                }
                next += 1;
            }
            for (s, r) in sums[k].iter_mut().zip(&running) {
                *s += event.g * r;
            }
        }
        let mut out =
            Sums { log: 0.0, score: vec![0.0; p], information: vec![0.0; p * p], risk, hazard: vec![], means: vec![] };
        for (event, sum) in self.events.iter().zip(&sums) {
            let mut d = 0.0;
            for i in (event.first..event.after).filter(|&i| self.kind[i] == Kind::Own) {
                d += self.weight[i];
                out.log += self.weight[i] * dot(self.row(i), beta);
                for (s, x) in out.score.iter_mut().zip(self.row(i)) {
                    *s += self.weight[i] * x;
                }
            }
            out.log -= d * sum[p].ln();
            out.hazard.push(d / sum[p]);
            let means: Vec<f64> = (0..p).map(|j| sum[j] / sum[p]).collect();
            for i in 0..p {
                out.score[i] -= d * means[i];
                for j in 0..p {
                    out.information[i * p + j] -= d * means[i] * means[j];
                }
            }
            out.means.extend(means);
        }
        let held = self.held(&out.hazard);
        for (i, h) in held.iter().enumerate() {
            let x = self.row(i);
            for a in 0..p {
                for b in 0..p {
                    out.information[a * p + b] += out.risk[i] * h * x[a] * x[b];
                }
            }
        }
        out
    }

    /// Hazard each row went through, weights included.
    fn held(&self, hazard: &[f64]) -> Vec<f64> {
        self.through(|k| hazard[k])
    }

    /// Sum of `f` over the event times a row was at risk, with its weight at each.
    fn through(&self, f: impl Fn(usize) -> f64) -> Vec<f64> {
        let times = self.events.len();
        let (mut until, mut later) = (vec![0.0; times + 1], vec![0.0; times + 1]);
        for k in 0..times {
            until[k + 1] = until[k] + f(k);
        }
        for k in (0..times).rev() {
            later[k] = later[k + 1] + self.events[k].g * f(k);
        }
        (0..self.time.len())
            .map(|i| {
                let reached = self.events.partition_point(|e| e.time <= self.time[i]);
                let after = if self.kind[i] == Kind::Other { later[reached] / self.before[i] } else { 0.0 };
                until[reached] + after
            })
            .collect()
    }

    fn finish(
        &self,
        seen: &Observations<'_>,
        beta: &[f64],
        here: Sums,
        null: f64,
        covariates: &[Covariate<'_>],
    ) -> Result<FineGrayFit, CoxError> {
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
        Ok(FineGrayFit {
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
    fn residuals(&self, here: &Sums) -> Vec<f64> {
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
    fn add_censoring(&self, here: &Sums, j: usize, out: &mut [f64]) {
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

fn add(sum: &mut [f64], x: &[f64], scale: f64) {
    let p = x.len();
    for (s, x) in sum.iter_mut().zip(x) {
        *s += scale * x;
    }
    sum[p] += scale;
}
