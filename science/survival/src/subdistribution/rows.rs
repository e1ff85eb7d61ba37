//! Rows in order of time, who is at risk with which weight, and the pseudo-likelihood with its derivatives.

use super::{CensoringTies, dot};
use crate::cox::Covariate;
use crate::observations::Observations;
use crate::order::ascending;

/// Rows in order of time with standardised covariates, and the censoring curve.
pub(super) struct Rows {
    pub p: usize,
    pub time: Vec<f64>,
    pub kind: Vec<Kind>,
    pub x: Vec<f64>,
    pub mean: Vec<f64>,
    pub sd: Vec<f64>,
    pub weight: Vec<f64>,
    pub source: Vec<u32>,
    /// G just before each row's time.
    pub before: Vec<f64>,
    /// Event times of the cause: time, G before, first row at that time, first row after.
    pub events: Vec<EventTime>,
    /// Censoring times: time, number censored over number at risk, number at risk, first row after.
    pub censorings: Vec<(f64, f64, f64)>,
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Censored,
    Own,
    Other,
}

#[derive(Clone, Copy)]
pub(super) struct EventTime {
    pub time: f64,
    pub g: f64,
    pub first: usize,
    pub after: usize,
}

pub(super) struct Sums {
    pub log: f64,
    pub score: Vec<f64>,
    pub information: Vec<f64>,
    pub risk: Vec<f64>,
    /// Hazard increment at each event time.
    pub hazard: Vec<f64>,
    /// Mean covariates at each event time.
    pub means: Vec<f64>,
}

impl Rows {
    pub fn new(seen: &Observations<'_>, covariates: &[Covariate<'_>], cause: u32, ties: CensoringTies) -> Self {
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

    pub fn walk(&mut self, ties: CensoringTies) {
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

    pub fn row(&self, i: usize) -> &[f64] {
        &self.x[i * self.p..(i + 1) * self.p]
    }

    pub fn sums(&self, beta: &[f64]) -> Sums {
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
    pub fn held(&self, hazard: &[f64]) -> Vec<f64> {
        self.through(|k| hazard[k])
    }

    /// Sum of `f` over the event times a row was at risk, with its weight at each.
    pub fn through(&self, f: impl Fn(usize) -> f64) -> Vec<f64> {
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
}

fn add(sum: &mut [f64], x: &[f64], scale: f64) {
    let p = x.len();
    for (s, x) in sum.iter_mut().zip(x) {
        *s += scale * x;
    }
    sum[p] += scale;
}
