//! Errors over clusters from grouped score residuals.
//!
//! Residual of row i: `d (x - mean of the tied terms) - r_i sum_k sum_l (1 - d_ik l/d) h_kl (x - m_kl)` over the event times it was at risk, from running sums; the
//! covariance is `V (sum_c u_c u_c') V` over clusters c.

use super::Cox;
use super::design::Design;
use super::lanes::{add_scaled, weighted_gram, wide};
use super::likelihood::Likelihood;

/// Robust covariance in standardised covariates; every row its own cluster where none are given.
pub(super) fn covariance(model: &Cox<'_>, design: &Design, here: &Likelihood<'_>, inverse: &[f64]) -> Vec<f64> {
    let middle = score_variance(model, design, here);
    let p = design.p;
    let product = |a: &[f64], b: &[f64]| -> Vec<f64> {
        (0..p * p).map(|at| (0..p).map(|k| a[at / p * p + k] * b[k * p + at % p]).sum()).collect()
    };
    product(&product(inverse, &middle), inverse)
}

/// `sum_c u_c u_c'` over clusters.
pub(super) fn score_variance(model: &Cox<'_>, design: &Design, here: &Likelihood<'_>) -> Vec<f64> {
    let (codes, clusters) = model.seen.dense_clusters();
    let sums = grouped_residuals(design, here, &codes, clusters);
    let (p, q) = (design.p, design.stride);
    let gram = simd::Arch::new().dispatch(Gram { rows: &sums, q, weights: &vec![1.0; clusters] });
    (0..p * p)
        .map(|at| {
            let (i, j) = ((at / p).max(at % p) + 1, (at / p).min(at % p) + 1);
            gram[i * q + j]
        })
        .collect()
}

/// Score residuals summed by code, a row of `stride` each (entry 0 is no covariate).
pub(super) fn grouped_residuals(design: &Design, here: &Likelihood<'_>, codes: &[u32], groups: usize) -> Vec<f64> {
    simd::Arch::new().dispatch(Residuals { design, here, codes, groups })
}

/// A weighted Gram matrix, as work for the widest vectors.
struct Gram<'a> {
    rows: &'a [f64],
    q: usize,
    weights: &'a [f64],
}

impl simd::WithSimd for Gram<'_> {
    type Output = Vec<f64>;

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) -> Vec<f64> {
        wide!(self.q, weighted_gram(self.rows, self.q, self.weights))
    }
}

/// Grouped residuals, as work for the widest vectors.
struct Residuals<'a, 'b> {
    design: &'b Design,
    here: &'b Likelihood<'a>,
    codes: &'b [u32],
    groups: usize,
}

impl simd::WithSimd for Residuals<'_, '_> {
    type Output = Vec<f64>;

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, _: S) -> Vec<f64> {
        residuals(self.design, self.here, self.codes, self.groups)
    }
}

#[inline(always)]
fn residuals(design: &Design, here: &Likelihood<'_>, codes: &[u32], groups: usize) -> Vec<f64> {
    let q = design.stride;
    let times = here.tied.len();
    // Running sums of h and h m, what tied events are spared, and their mean, by event time.
    let (mut hazard, mut spared) = (vec![0.0; times + 1], vec![0.0; times]);
    let (mut moved, mut spared_mean, mut average) =
        (vec![0.0; (times + 1) * q], vec![0.0; times * q], vec![0.0; times * q]);
    for k in 0..times {
        let at = k * q..(k + 1) * q;
        hazard[k + 1] = hazard[k];
        moved.copy_within(at.clone(), (k + 1) * q);
        let tied = here.tied[k];
        for (term, (share, _, h)) in tied.hazards().enumerate() {
            let mean = here.mean(k, term);
            hazard[k + 1] += h;
            spared[k] += share * h;
            add_scaled(&mut moved[(k + 1) * q..(k + 2) * q], mean, h);
            add_scaled(&mut spared_mean[at.clone()], mean, share * h);
            add_scaled(&mut average[at.clone()], mean, 1.0 / f64::from(tied.terms));
        }
    }
    let mut sums = vec![0.0; groups * q];
    for (i, x) in design.x.chunks_exact(q).enumerate() {
        let (first, last) = (design.first[i] as usize, design.last[i] as usize);
        let code = codes[design.source[i] as usize] as usize;
        let sum = &mut sums[code * q..(code + 1) * q];
        let event = design.event[i];
        let w = if event { design.weight_of(i) } else { 0.0 };
        let r = here.risk[i];
        let h = hazard[last + 1] - hazard[first] - if event { spared[last] } else { 0.0 };
        add_scaled(sum, x, w - r * h);
        add_scaled(sum, &moved[(last + 1) * q..(last + 2) * q], r);
        // The running sums go on over strata; before the first time they are 0.
        if first > 0 {
            add_scaled(sum, &moved[first * q..(first + 1) * q], -r);
        }
        if event {
            add_scaled(sum, &average[last * q..(last + 1) * q], -w);
            add_scaled(sum, &spared_mean[last * q..(last + 1) * q], -r);
        }
    }
    sums
}
