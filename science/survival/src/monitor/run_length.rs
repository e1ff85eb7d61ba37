//! How long a chart runs before it signals: exact where the steps allow it.
//!
//! `X = max(0, X + step)`, signal when `X >= h`; the run length counts cases up to and with the signal. On a lattice of whole steps the chart is a finite Markov
//! chain: mean from `(I - P) A = 1`, second moment from `(I - P) B = (I + P) A` (Brook, Evans 1972, Biometrika 59:539-549, doi 10.1093/biomet/59.3.539; lattice of the
//! Bernoulli chart: Reynolds, Stoumbos 1999, J Qual Technol 31:87-108, doi 10.1080/00224065.1999.11979900). With two steps off any lattice the states since the last
//! visit to 0 are `j up - i down`, an acyclic graph, solved backwards exactly. With mixed risks the chain is taken on `nodes` points with linear interpolation
//! between them (error falls with the square of the spacing; 1,000 nodes are good to about 1e-3).
//!
//! Limits: cases independent, risks as stated; with clusters real charts signal sooner by chance.

use super::cusum::{Weights, shifted_risk, weights};
use serde::Serialize;
use thiserror::Error;

/// Why there is no run length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum RunLengthError {
    /// Probability outside 0..1, limit not above 0, or steps of the wrong sign.
    #[error("a run length needs a risk between 0 and 1, a limit above 0, a step up and a step down")]
    Range,
    /// The chart practically never signals.
    #[error("the chart practically never signals at this limit")]
    Endless,
}

/// Distribution of the run length.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    chain: Banded,
    mean: Vec<f64>,
    second: Vec<f64>,
    step: usize,
    risk: f64,
}

impl Lattice {
    /// Chart with steps -1 (success) and `m - 1` (failure, m >= 2) and a limit of `h` steps.
    ///
    /// # Errors
    /// [`RunLengthError::Range`].
    pub fn new(risk: f64, m: usize, h: usize) -> Result<Self, RunLengthError> {
        if !(risk > 0.0 && risk < 1.0 && m >= 2 && h >= 1) {
            return Err(RunLengthError::Range);
        }
        let mut system = Banded::new(h, 1, m - 1);
        for i in 0..h {
            system.add(i, i, 1.0);
            system.add(i, i.saturating_sub(1), risk - 1.0);
            if i + m - 1 < h {
                system.add(i, i + m - 1, -risk);
            }
        }
        let chain = system.clone();
        let factor = system.factorised();
        let mean = factor.solve(vec![1.0; h]);
        // (I + P) A = 2 A - (I - P) A = 2 A - 1.
        let second = factor.solve(mean.iter().map(|a| 2.0 * a - 1.0).collect());
        Ok(Self { chain, mean, second, step: m - 1, risk })
    }

    /// Mean run length from a state (0, or half the limit for a head start).
    pub fn mean(&self, start: usize) -> f64 {
        self.mean[start.min(self.mean.len() - 1)]
    }

    /// Standard deviation of the run length from a state.
    pub fn sd(&self, start: usize) -> f64 {
        let start = start.min(self.mean.len() - 1);
        (self.second[start] - self.mean[start].powi(2)).max(0.0).sqrt()
    }

    /// Probability of a signal within a number of cases, from a state.
    pub fn signal_within(&self, cases: usize, start: usize) -> f64 {
        let n = self.chain.n;
        let mut at = vec![0.0; n];
        at[start.min(n - 1)] = 1.0;
        for _ in 0..cases {
            let mut next = vec![0.0; n];
            for (i, &mass) in at.iter().enumerate() {
                next[i.saturating_sub(1)] += (1.0 - self.risk) * mass;
                if i + self.step < n {
                    next[i + self.step] += self.risk * mass;
                }
            }
            at = next;
        }
        1.0 - at.iter().sum::<f64>()
    }
}

/// Exact mean run length of a chart with two steps at a true risk.
///
/// # Errors
/// [`RunLengthError`].
pub fn two_step(steps: Weights, risk: f64, limit: f64) -> Result<f64, RunLengthError> {
    let (up, down) = (steps.failure, -steps.success);
    if !(risk > 0.0 && risk < 1.0 && limit > 0.0 && up > 0.0 && down > 0.0) {
        return Err(RunLengthError::Range);
    }
    let mut chain = 50;
    loop {
        let (a, b, cut) = since_zero(up, down, risk, limit, chain);
        // Longer chains of failures without return or signal are cut; their probability must not matter.
        if cut < 1e-14 * (1.0 - b) {
            return Ok((1.0 + risk * a) / (risk * (1.0 - b)));
        }
        if chain > 20_000 {
            return Err(RunLengthError::Endless);
        }
        chain *= 2;
    }
}

/// States of one number of failures since 0, from the least number of successes on: cases to come as constant, share of A(0), share cut.
type Level = (i64, Vec<(f64, f64, f64)>);

/// From the first failure after 0: cases to come as `a + b A(0)`, and the probability of more than `chain` failures.
fn since_zero(up: f64, down: f64, risk: f64, limit: f64, chain: usize) -> (f64, f64, f64) {
    let lowest = |j: usize| (((j as f64 * up - limit) / down).floor() as i64 - 1).max(0);
    let mut later: Option<Level> = None;
    for j in (1..=chain).rev() {
        let (low, high) = (lowest(j), (j as f64 * up / down).ceil() as i64 + 1);
        let mut here = vec![(0.0, 0.0, 0.0); (high - low + 1) as usize];
        for i in (low..=high).rev() {
            let x = j as f64 * up - i as f64 * down;
            here[(i - low) as usize] = if x <= 0.0 {
                (0.0, 1.0, 0.0)
            } else if x >= limit {
                (0.0, 0.0, 0.0)
            } else {
                let fail = match &later {
                    Some((from, states)) => {
                        usize::try_from(i - from).ok().and_then(|k| states.get(k)).copied().unwrap_or_default()
                    }
                    None => (0.0, 0.0, 1.0),
                };
                let pass = here[(i + 1 - low) as usize];
                let mix = |f: f64, s: f64| risk * f + (1.0 - risk) * s;
                (1.0 + mix(fail.0, pass.0), mix(fail.1, pass.1), mix(fail.2, pass.2))
            };
        }
        later = Some((low, here));
    }
    // One failure from 0 is level 1 at i = 0.
    later.and_then(|(low, states)| states.get(usize::try_from(-low).unwrap_or(0)).copied()).unwrap_or_default()
}

/// Mean run length of a chart whose steps follow a discrete law (values, probabilities), on `nodes` points.
///
/// # Errors
/// [`RunLengthError::Range`].
pub fn mixed(values: &[f64], probabilities: &[f64], limit: f64, nodes: usize) -> Result<f64, RunLengthError> {
    let steepest = |sign: f64| values.iter().map(|v| sign * v).fold(0.0, f64::max);
    if limit <= 0.0 || nodes < 2 || values.len() != probabilities.len() || steepest(1.0) == 0.0 {
        return Err(RunLengthError::Range);
    }
    let d = limit / nodes as f64;
    let band = |reach: f64| ((reach / d).ceil() as usize + 2).min(nodes + 1);
    let mut system = Banded::new(nodes + 1, band(steepest(-1.0)), band(steepest(1.0)));
    for i in 0..=nodes {
        system.add(i, i, 1.0);
        for (&v, &q) in values.iter().zip(probabilities) {
            let y = i as f64 * d + v;
            if y < limit - 1e-12 {
                let k = y.max(0.0) / d;
                let below = (k + 1e-12).floor();
                let share = k - below;
                system.add(i, below as usize, -q * (1.0 - share));
                system.add(i, (below as usize + 1).min(nodes), -q * share);
            }
        }
    }
    Ok(system.factorised().solve(vec![1.0; nodes + 1])[0])
}

/// A chart with its promises.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Design {
    /// Odds ratio watched for.
    pub odds_ratio: f64,
    /// What a case adds.
    pub weights: Weights,
    /// Limit h.
    pub limit: f64,
    /// Mean cases to a false alarm while nothing changed.
    pub false_alarm: f64,
    /// Mean cases to a signal from the start once the odds have changed by the ratio: what it takes to see the change.
    pub delay: f64,
}

impl Design {
    /// Mean cases to a signal once the odds of this risk have changed by the ratio, where it is another than the chart was designed for.
    ///
    /// # Errors
    /// [`RunLengthError`].
    pub fn delay_from(&self, risk: f64) -> Result<f64, RunLengthError> {
        two_step(self.weights, shifted_risk(risk, self.odds_ratio), self.limit)
    }
}

/// The lowest limit whose mean run length without change is at least `in_control` cases, for a constant risk.
///
/// # Errors
/// [`RunLengthError`].
pub fn design(risk: f64, odds_ratio: f64, in_control: f64) -> Result<Design, RunLengthError> {
    if !(risk > 0.0 && risk < 1.0 && odds_ratio > 1.0 && in_control >= 2.0) {
        return Err(RunLengthError::Range);
    }
    let steps = weights(risk, odds_ratio);
    let (mut low, mut high) = (0.0, 1.0);
    while two_step(steps, risk, high)? < in_control {
        low = high;
        high *= 2.0;
        if high > 64.0 {
            return Err(RunLengthError::Endless);
        }
    }
    for _ in 0..40 {
        let middle = 0.5 * (low + high);
        if two_step(steps, risk, middle)? < in_control {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Design {
        odds_ratio,
        weights: steps,
        limit: high,
        false_alarm: two_step(steps, risk, high)?,
        delay: two_step(steps, shifted_risk(risk, odds_ratio), high)?,
    })
}

/// A banded matrix, factorised without pivots: `I - P` of a chain that leaves is an M-matrix, for which that is stable.
#[derive(Debug, Clone, PartialEq)]
struct Banded {
    n: usize,
    below: usize,
    above: usize,
    rows: Vec<f64>,
}

impl Banded {
    fn new(n: usize, below: usize, above: usize) -> Self {
        Self { n, below, above, rows: vec![0.0; n * (below + above + 1)] }
    }

    fn at(&self, i: usize, j: usize) -> usize {
        i * (self.below + self.above + 1) + (j + self.below - i)
    }

    fn add(&mut self, i: usize, j: usize, value: f64) {
        let at = self.at(i, j);
        self.rows[at] += value;
    }

    fn factorised(mut self) -> Self {
        for k in 0..self.n {
            let last = (k + self.above).min(self.n - 1);
            for i in k + 1..=(k + self.below).min(self.n - 1) {
                let factor = self.rows[self.at(i, k)] / self.rows[self.at(k, k)];
                if factor == 0.0 {
                    continue;
                }
                let (from, to, width) = (self.at(k, k), self.at(i, k), last - k);
                self.rows[to] = factor;
                for t in 1..=width {
                    self.rows[to + t] -= factor * self.rows[from + t];
                }
            }
        }
        self
    }

    fn solve(&self, mut b: Vec<f64>) -> Vec<f64> {
        for i in 0..self.n {
            let first = i.saturating_sub(self.below);
            b[i] -= (first..i).map(|j| self.rows[self.at(i, j)] * b[j]).sum::<f64>();
        }
        for i in (0..self.n).rev() {
            let last = (i + self.above).min(self.n - 1);
            let known: f64 = (i + 1..=last).map(|j| self.rows[self.at(i, j)] * b[j]).sum();
            b[i] = (b[i] - known) / self.rows[self.at(i, i)];
        }
        b
    }
}
