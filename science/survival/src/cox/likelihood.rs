//! Partial likelihood, score and information in one pass over rows, whatever the number of event times.
//!
//! The information `sum_k (S2_k/S0_k - m_k m_k')` needs the p x p sum S2 at every event time when taken as written. Turned round it is one weighted Gram matrix over
//! rows, `sum_i r_i (A(last_i) - A(first_i - 1)) x_i x_i' - sum_k m_k m_k'`, with `A(k) = sum 1/S0` running: rows are read once, nothing is subtracted from S2 when a unit
//! enters late, and Efron's ties only lower the weight of the tied events. Risk sets are two sums by event time, of rows that leave and of rows that come late (those
//! there from the start need no entry in the second), swept once from the last time back. The sweeps over rows run in the widest vectors of the machine, multiplying
//! and adding apart, so that their results are the same on all of them.

use super::Ties;
use super::design::Design;

/// Rows whose block of covariates stays in the nearest cache.
const BLOCK: usize = 256;

/// Everything at one value of the coefficients.
pub(super) struct Likelihood<'a> {
    design: &'a Design,
    /// Log partial likelihood.
    pub log: f64,
    /// w exp(x'b) by row.
    pub risk: Vec<f64>,
    /// Sums over tied denominators l by event time: see [`Tied`].
    pub tied: Vec<Tied>,
    /// Means by event time, one row of `stride` for each tied denominator, from `tied[k].means`.
    pub means: Vec<f64>,
}

/// What the tied denominators of one event time sum to.
#[derive(Clone, Copy, Default)]
pub(super) struct Tied {
    /// Events (rows).
    pub events: u32,
    /// Mean weight of the events.
    pub weight: f64,
    /// Place of the first of its means.
    pub means: usize,
    /// Number of its denominators (events for Efron, 1 for Breslow).
    pub terms: u32,
    /// S0.
    pub sum: f64,
    /// E0 (0 for Breslow).
    pub tied_sum: f64,
}

impl Tied {
    /// Shares l/d of the tied events taken out and the weight of each term.
    fn terms(&self) -> impl Iterator<Item = (f64, f64)> + use<> {
        let (d, terms, weight) = (f64::from(self.events), self.terms, self.weight);
        let each = weight * d / f64::from(terms.max(1));
        (0..terms).map(move |l| (if terms > 1 { f64::from(l) / d } else { 0.0 }, each))
    }

    /// By term: share taken out, weight, weight over denominator.
    pub fn hazards(&self) -> impl Iterator<Item = (f64, f64, f64)> + use<> {
        let (sum, tied) = (self.sum, self.tied_sum);
        self.terms().map(move |(share, weight)| (share, weight, weight / (sum - share * tied)))
    }
}

impl<'a> Likelihood<'a> {
    pub fn at(design: &'a Design, ties: Ties, beta: &[f64]) -> Self {
        simd::Arch::new().dispatch(
            #[inline(always)]
            || Self::swept(design, ties, beta),
        )
    }

    #[inline(always)]
    fn swept(design: &'a Design, ties: Ties, beta: &[f64]) -> Self {
        let (q, times) = (design.stride, design.time.len());
        let mut risk = vec![0.0; design.rows()];
        let mut leaving = vec![0.0; times * q];
        let mut entering = vec![0.0; if design.late { times * q } else { 0 }];
        let mut tied_sums = vec![0.0; times * q];
        let mut tied = vec![Tied::default(); times];
        let mut padded = vec![0.0; q];
        padded[1..=beta.len()].copy_from_slice(beta);
        let mut log = 0.0;
        for (i, x) in design.x.chunks_exact(q).enumerate() {
            let eta = dot(x, &padded);
            let w = design.weight_of(i);
            let r = w * eta.exp();
            risk[i] = r;
            let last = design.last[i] as usize;
            add_scaled(&mut leaving[last * q..(last + 1) * q], x, r);
            if design.comes_late(i) {
                let first = design.first[i] as usize;
                add_scaled(&mut entering[first * q..(first + 1) * q], x, r);
            }
            if design.event[i] {
                log += w * eta;
                tied[last].events += 1;
                tied[last].weight += w;
                if ties == Ties::Efron {
                    add_scaled(&mut tied_sums[last * q..(last + 1) * q], x, r);
                }
            }
        }
        let mut out = Self { design, log, risk, tied, means: Vec::new() };
        for (_, range) in &design.strata {
            out.walk(range.clone(), &leaving, &entering, &tied_sums, ties);
        }
        out
    }

    /// Event times of a stratum from the last back: sums at risk, denominators, means.
    #[inline(always)]
    fn walk(
        &mut self,
        times: std::ops::Range<usize>,
        leaving: &[f64],
        entering: &[f64],
        tied_sums: &[f64],
        ties: Ties,
    ) {
        let q = self.design.stride;
        let mut sum = vec![0.0; q];
        for k in times.rev() {
            let at = k * q..(k + 1) * q;
            add_scaled(&mut sum, &leaving[at.clone()], 1.0);
            let own = &mut self.tied[k];
            let d = own.events;
            own.weight /= f64::from(d.max(1));
            own.means = self.means.len();
            own.terms = if ties == Ties::Efron { d } else { d.min(1) };
            own.sum = sum[0];
            own.tied_sum = tied_sums[k * q];
            for (share, weight) in own.terms() {
                let below = own.sum - share * own.tied_sum;
                self.log -= weight * below.ln();
                self.means.extend(sum.iter().zip(&tied_sums[at.clone()]).map(|(s, e)| (s - share * e) / below));
            }
            // Rows that enter just before this time are not at risk at the earlier ones.
            if self.design.late {
                add_scaled(&mut sum, &entering[at], -1.0);
            }
        }
    }

    /// Mean vector of a term of an event time.
    pub fn mean(&self, k: usize, term: usize) -> &[f64] {
        let q = self.design.stride;
        let at = self.tied[k].means + term * q;
        &self.means[at..at + q]
    }

    /// Score and information with a multiplier a time (1 for the ordinary ones), in standardised covariates: `U = sum g (x - m)`,
    /// `I = sum g (S2/S0 - m m')`.
    pub fn moments(&self, multiplier: impl Fn(usize) -> f64, score_only: bool) -> (Vec<f64>, Vec<f64>) {
        simd::Arch::new().dispatch(
            #[inline(always)]
            || self.summed(multiplier, score_only),
        )
    }

    #[inline(always)]
    fn summed(&self, multiplier: impl Fn(usize) -> f64, score_only: bool) -> (Vec<f64>, Vec<f64>) {
        let (q, p) = (self.design.stride, self.design.p);
        let mut running = vec![0.0; self.tied.len() + 1];
        let mut taken = vec![0.0; self.tied.len()];
        let mut score = vec![0.0; q];
        let mut outer = vec![0.0; q * q];
        for (k, tied) in self.tied.iter().enumerate() {
            let g = multiplier(k);
            let (mut a, mut b) = (0.0, 0.0);
            for (term, (share, weight, hazard)) in tied.hazards().enumerate() {
                a += g * hazard;
                b += g * hazard * share;
                let m = self.mean(k, term);
                for i in 0..=p {
                    score[i] -= g * weight * m[i];
                    let gm = g * weight * m[i];
                    for j in 0..=i {
                        outer[i * q + j] += gm * m[j];
                    }
                }
            }
            running[k + 1] = running[k] + a;
            taken[k] = b;
        }
        let design = self.design;
        let mut weights = Vec::with_capacity(design.rows());
        for i in 0..design.rows() {
            let last = design.last[i] as usize;
            let event = design.event[i];
            if event {
                add_scaled(&mut score, design.row(i), multiplier(last) * design.weight_of(i));
            }
            let own = if event { taken[last] } else { 0.0 };
            weights.push(self.risk[i] * (running[last + 1] - running[design.first[i] as usize] - own));
        }
        score.drain(..1);
        score.truncate(p);
        if score_only {
            return (score, Vec::new());
        }
        let gram = weighted_gram(&design.x, q, &weights);
        let information = (0..p * p)
            .map(|at| {
                let (i, j) = ((at / p).max(at % p) + 1, (at / p).min(at % p) + 1);
                gram[i * q + j] - outer[i * q + j]
            })
            .collect();
        (score, information)
    }
}

#[inline(always)]
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    for (a, b) in a.chunks_exact(4).zip(b.chunks_exact(4)) {
        for l in 0..4 {
            sums[l] += a[l] * b[l];
        }
    }
    (sums[0] + sums[2]) + (sums[1] + sums[3])
}

#[inline(always)]
pub(super) fn add_scaled(sum: &mut [f64], x: &[f64], scale: f64) {
    for (s, x) in sum.chunks_exact_mut(4).zip(x.chunks_exact(4)) {
        for l in 0..4 {
            s[l] += scale * x[l];
        }
    }
}

/// `sum_i w_i x_i x_i'`, lower blocks of 4 x 4.
#[inline(always)]
pub(super) fn weighted_gram(x: &[f64], q: usize, weights: &[f64]) -> Vec<f64> {
    let mut gram = vec![0.0; q * q];
    for (x, w) in x.chunks(BLOCK * q).zip(weights.chunks(BLOCK)) {
        for i in (0..q).step_by(4) {
            for j in (0..=i).step_by(4) {
                let block = block(x, q, w, i, j);
                for u in 0..4 {
                    for v in 0..4 {
                        gram[(i + u) * q + j + v] += block[u][v];
                    }
                }
            }
        }
    }
    gram
}

#[inline(always)]
fn block(x: &[f64], q: usize, weights: &[f64], i: usize, j: usize) -> [[f64; 4]; 4] {
    let mut sums = [[0.0; 4]; 4];
    for (row, &w) in x.chunks_exact(q).zip(weights) {
        let (a, b) = (&row[i..i + 4], &row[j..j + 4]);
        for u in 0..4 {
            let wa = w * a[u];
            for v in 0..4 {
                sums[u][v] += wa * b[v];
            }
        }
    }
    sums
}
