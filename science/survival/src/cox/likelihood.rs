//! Partial likelihood, score and information in one pass over rows, whatever the number of event times.
//!
//! The information `sum_k (S2_k/S0_k - m_k m_k')` needs the p x p sum S2 at every event time when taken as written. Turned round it is one weighted Gram matrix over
//! rows, `sum_i r_i (A(last_i) - A(first_i - 1)) x_i x_i' - sum_k m_k m_k'`, with `A(k) = sum 1/S0` running: rows are read once, nothing is subtracted from S2 when a unit
//! enters late, and Efron's ties only lower the weight of the tied events. Risk sets are two sums by event time, of rows that leave and of rows that come late (those
//! there from the start need no entry in the second), swept once from the last time back. Rows are taken a few at a time, one thing after another (predictors, their
//! exponentials, sums of all, of those that come late, of events), so that each loop is without branches and runs in vectors (`lanes`).

use super::Ties;
use super::design::Design;
use super::lanes::{add_scaled, dot, row, row_mut, weighted_gram, wide};

/// Rows taken at once: they stay in the nearest cache.
const TAKEN: usize = 128;

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
        simd::Arch::new().dispatch(Sweep { design, ties, beta })
    }

    #[inline(always)]
    fn swept<const W: usize>(design: &'a Design, ties: Ties, beta: &[f64]) -> Self {
        let (q, times) = (design.stride, design.time.len());
        let mut risk = vec![0.0; design.rows()];
        let mut leaving = vec![0.0; times * q];
        let mut entering = vec![0.0; if design.late.is_empty() { 0 } else { times * q }];
        let mut tied_sums = vec![0.0; times * q];
        let mut tied = vec![Tied::default(); times];
        let mut padded = vec![0.0; q];
        padded[1..=beta.len()].copy_from_slice(beta);
        let mut log = 0.0;
        let (mut late, mut events) = (design.late.iter().peekable(), design.events.iter().peekable());
        let mut eta = [0.0; TAKEN];
        for start in (0..design.rows()).step_by(TAKEN) {
            let taken = start..(start + TAKEN).min(design.rows());
            for (eta, i) in eta.iter_mut().zip(taken.clone()) {
                *eta = dot(row::<W>(&design.x, i, q), row::<W>(&padded, 0, q));
            }
            for (i, eta) in taken.clone().zip(&eta) {
                risk[i] = design.weight_of(i) * eta.exp();
            }
            for i in taken.clone() {
                add_scaled(row_mut::<W>(&mut leaving, design.last[i] as usize, q), row::<W>(&design.x, i, q), risk[i]);
            }
            while let Some(&i) = late.next_if(|i| (**i as usize) < taken.end) {
                let (i, first) = (i as usize, design.first[i as usize] as usize);
                add_scaled(row_mut::<W>(&mut entering, first, q), row::<W>(&design.x, i, q), risk[i]);
            }
            while let Some(&i) = events.next_if(|i| (**i as usize) < taken.end) {
                let (i, last) = (i as usize, design.last[i as usize] as usize);
                let w = design.weight_of(i);
                log += w * eta[i - start];
                tied[last].events += 1;
                tied[last].weight += w;
                if ties == Ties::Efron {
                    add_scaled(row_mut::<W>(&mut tied_sums, last, q), row::<W>(&design.x, i, q), risk[i]);
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
            if !self.design.late.is_empty() {
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
        simd::Arch::new().dispatch(Moments { here: self, multiplier, score_only })
    }

    #[inline(always)]
    fn summed<const W: usize>(&self, multiplier: impl Fn(usize) -> f64, score_only: bool) -> (Vec<f64>, Vec<f64>) {
        let (q, p, design) = (self.design.stride, self.design.p, self.design);
        let mut running = vec![0.0; self.tied.len() + 1];
        let mut taken = vec![0.0; self.tied.len()];
        let mut score = vec![0.0; q];
        // Weight of each mean, in the order in which these stand.
        let mut terms = vec![0.0; self.means.len() / q];
        for (k, tied) in self.tied.iter().enumerate() {
            let g = multiplier(k);
            let (mut a, mut b) = (0.0, 0.0);
            for (term, (share, weight, hazard)) in tied.hazards().enumerate() {
                a += g * hazard;
                b += g * hazard * share;
                let at = tied.means / q + term;
                add_scaled(&mut score, row::<W>(&self.means, at, q), -g * weight);
                terms[at] = g * weight;
            }
            running[k + 1] = running[k] + a;
            taken[k] = b;
        }
        for &i in &design.events {
            let (i, last) = (i as usize, design.last[i as usize] as usize);
            add_scaled(&mut score, row::<W>(&design.x, i, q), multiplier(last) * design.weight_of(i));
        }
        score.drain(..1);
        score.truncate(p);
        if score_only {
            return (score, Vec::new());
        }
        let stretches = design.first.iter().zip(&design.last);
        let mut weights: Vec<f64> =
            stretches.map(|(&first, &last)| running[last as usize + 1] - running[first as usize]).collect();
        for &i in &design.events {
            weights[i as usize] -= taken[design.last[i as usize] as usize];
        }
        weights.iter_mut().zip(&self.risk).for_each(|(w, r)| *w *= r);
        let gram = weighted_gram::<W>(&design.x, q, &weights);
        let outer = weighted_gram::<W>(&self.means, q, &terms);
        let information = (0..p * p)
            .map(|at| {
                let (i, j) = ((at / p).max(at % p) + 1, (at / p).min(at % p) + 1);
                gram[i * q + j] - outer[i * q + j]
            })
            .collect();
        (score, information)
    }
}

/// The sweep over rows, as work for the widest vectors. (A closure would be compiled for the narrowest: what calls it is not inlined.)
struct Sweep<'a, 'b> {
    design: &'a Design,
    ties: Ties,
    beta: &'b [f64],
}

impl<'a> simd::WithSimd for Sweep<'a, '_> {
    type Output = Likelihood<'a>;

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) -> Likelihood<'a> {
        wide!(self.design.stride, Likelihood::swept(self.design, self.ties, self.beta))
    }
}

/// Score and information, as work for the widest vectors.
struct Moments<'a, 'b, F> {
    here: &'b Likelihood<'a>,
    multiplier: F,
    score_only: bool,
}

impl<F: Fn(usize) -> f64> simd::WithSimd for Moments<'_, '_, F> {
    type Output = (Vec<f64>, Vec<f64>);

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) -> Self::Output {
        wide!(self.here.design.stride, Likelihood::summed(self.here, self.multiplier, self.score_only))
    }
}
