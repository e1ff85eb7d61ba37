//! Small studies, by rank and by filling in: Begg's rank test and trim-and-fill.
//!
//! Rank test: Kendall's tau-b between (y_i - b)/sqrt(v_i - 1/sum w) and v_i about the common-effect pool b; exact p value without ties, normal
//! with the variance for ties otherwise. Begg, Mazumdar 1994, Biometrics 50:1088-1101, doi 10.2307/2533446.
//! Trim-and-fill: studies believed missing on one side are counted (L0 or R0) and mirrored about the trimmed pool. Duval, Tweedie 2000, Biometrics
//! 56:455-463, doi 10.1111/j.0006-341X.2000.00455.x. It is a sensitivity analysis: scatter between studies alone can look like missing ones.

use super::PoolError;
use super::effect::Effect;
use super::influence::small_studies;
use super::regression::{Between, Errors, Regression, pool};
use numerics::normal;

/// Rank correlation of effect and variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RankTest {
    /// Kendall's tau-b.
    pub tau: f64,
    /// Two-sided p value.
    pub p: f64,
}

/// Begg's rank test; needs three studies.
///
/// # Errors
/// [`PoolError`] with fewer studies or effects that cannot be pooled.
pub fn rank_test(effects: &[Effect]) -> Result<RankTest, PoolError> {
    if effects.len() < 3 {
        return Err(PoolError::TooFew { k: effects.len(), needed: 3 });
    }
    let common = pool(effects, Between::Common, Errors::Wald)?;
    let deviates: Vec<f64> =
        effects.iter().map(|e| (e.y - common.b[0]) / (e.v - common.covariance[0]).max(1e-300).sqrt()).collect();
    let variances: Vec<f64> = effects.iter().map(|e| e.v).collect();
    Ok(kendall(&deviates, &variances))
}

/// Kendall's tau-b with its two-sided p value.
fn kendall(x: &[f64], y: &[f64]) -> RankTest {
    let n = x.len();
    let mut s = 0i64;
    for i in 0..n {
        for j in 0..i {
            let sign = |a: f64, b: f64| i64::from(a > b) - i64::from(a < b);
            s += sign(x[i], x[j]) * sign(y[i], y[j]);
        }
    }
    let (ties_x, ties_y) = (tie_sizes(x), tie_sizes(y));
    let pairs = |m: f64| m * (m - 1.0) / 2.0;
    let all = pairs(n as f64);
    let within = |t: &[f64]| t.iter().map(|&m| pairs(m)).sum::<f64>();
    let tau = s as f64 / ((all - within(&ties_x)) * (all - within(&ties_y))).max(1e-300).sqrt();
    let p = if ties_x.is_empty() && ties_y.is_empty() && n < 60 {
        let concordant = ((s + all as i64) / 2) as usize;
        exact_p(n, concordant)
    } else {
        let (m, sum) = (n as f64, |t: &[f64], f: &dyn Fn(f64) -> f64| t.iter().map(|&q| f(q)).sum::<f64>());
        let five = |q: f64| q * (q - 1.0) * (2.0 * q + 5.0);
        let two = |q: f64| q * (q - 1.0);
        let three = |q: f64| q * (q - 1.0) * (q - 2.0);
        let variance = (five(m) - sum(&ties_x, &five) - sum(&ties_y, &five)) / 18.0
            + sum(&ties_x, &two) * sum(&ties_y, &two) / (2.0 * two(m))
            + sum(&ties_x, &three) * sum(&ties_y, &three) / (9.0 * three(m)).max(1e-300);
        2.0 * normal::sf((s as f64 / variance.max(1e-300).sqrt()).abs())
    };
    RankTest { tau, p: p.min(1.0) }
}

/// Sizes of the groups of equal values, above 1.
fn tie_sizes(values: &[f64]) -> Vec<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.chunk_by(|a, b| a == b).map(|g| g.len() as f64).filter(|m| *m > 1.0).collect()
}

/// Two-sided exact p value of a number of concordant pairs among `n` without ties: the distribution of inversions of a permutation.
fn exact_p(n: usize, concordant: usize) -> f64 {
    let mut share = vec![1.0];
    for m in 2..=n {
        let mut next = vec![0.0; share.len() + m - 1];
        for (i, p) in share.iter().enumerate() {
            for value in &mut next[i..i + m] {
                *value += p / m as f64;
            }
        }
        share = next;
    }
    let lower: f64 = share[..=concordant].iter().sum();
    let upper: f64 = share[concordant..].iter().sum();
    2.0 * lower.min(upper)
}

/// How the number of missing studies is estimated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// From the sum of the signed ranks.
    L0,
    /// From the longest run of ranks on one side.
    R0,
}

/// A pool with the studies believed missing put in.
#[derive(Debug, Clone, PartialEq)]
pub struct Filled {
    /// Number put in.
    pub missing: usize,
    /// True when they were put in on the right (small effects were the ones seen).
    pub on_the_right: bool,
    /// The studies put in.
    pub added: Vec<Effect>,
    /// The pool of all, seen and put in.
    pub fit: Regression,
}

/// Trim-and-fill; the side is the one against the slope of the regression on the standard error. Needs three studies.
///
/// # Errors
/// [`PoolError`] with fewer studies or effects that cannot be pooled.
pub fn trim_and_fill(effects: &[Effect], between: Between, missing: Missing) -> Result<Filled, PoolError> {
    let on_the_right = small_studies(effects, between)?.slope < 0.0;
    let mirror = if on_the_right { -1.0 } else { 1.0 };
    let mut sorted: Vec<Effect> = effects.iter().map(|e| Effect { y: mirror * e.y, v: e.v }).collect();
    sorted.sort_by(|a, b| a.y.total_cmp(&b.y));
    let k = sorted.len();
    let (mut found, mut centre) = (0, 0.0);
    for _ in 0..100 {
        centre = pool(&sorted[..k - found], between, Errors::Wald)?.b[0];
        let next = count(&sorted, centre, missing).min(k - 2);
        if next == found {
            break;
        }
        found = next;
    }
    let added: Vec<Effect> =
        sorted[k - found..].iter().map(|e| Effect { y: mirror * (2.0 * centre - e.y), v: e.v }).collect();
    let all: Vec<Effect> = effects.iter().chain(&added).copied().collect();
    Ok(Filled { missing: found, on_the_right, added, fit: pool(&all, between, Errors::Wald)? })
}

/// Estimated number missing on the left of ascending effects about a centre.
fn count(sorted: &[Effect], centre: f64, missing: Missing) -> usize {
    let k = sorted.len() as f64;
    let mut order: Vec<usize> = (0..sorted.len()).collect();
    order.sort_by(|&a, &b| (sorted[a].y - centre).abs().total_cmp(&(sorted[b].y - centre).abs()).then(a.cmp(&b)));
    let mut rank = vec![0.0; sorted.len()];
    order.iter().enumerate().for_each(|(r, &i)| rank[i] = r as f64 + 1.0);
    let estimate = match missing {
        Missing::L0 => {
            let positive: f64 = sorted.iter().zip(&rank).filter(|(e, _)| e.y > centre).map(|(_, r)| r).sum();
            (4.0 * positive - k * (k + 1.0)) / (2.0 * k - 1.0)
        }
        Missing::R0 => {
            let largest = sorted.iter().zip(&rank).filter(|(e, _)| e.y < centre).map(|(_, r)| *r).fold(0.0, f64::max);
            k - largest - 1.0
        }
    };
    estimate.round_ties_even().max(0.0) as usize
}
