//! How well a fit orders units: the share of comparable pairs in which the one that fails first had the higher risk.
//!
//! A pair is comparable when one fails while the other is at risk and stays (same stratum); equal risks count half. Harrell, Califf, Pryor, Lee, Rosati 1982, JAMA 247:2543-2546, doi
//! 10.1001/jama.1982.03320430047030. Counted in n log n by a tree over the ranks of risks (Fenwick 1994, Softw Pract Exper 24:327-336, doi 10.1002/spe.4380240306). Limit: no error is given.

use super::design::Design;
use super::fit::CoxFit;
use super::{Cox, CoxError};
use crate::order::ascending;

impl CoxFit {
    /// Concordance of the fit of `model` (the one it came from): 0.5 tells nothing, 1 orders all pairs. NaN where no pair is comparable.
    ///
    /// # Errors
    /// [`CoxError`] as for fitting.
    pub fn concordance(&self, model: &Cox<'_>) -> Result<f64, CoxError> {
        let design = Design::new(model)?;
        let risk: Vec<f64> = design
            .source
            .iter()
            .map(|&s| model.covariates.iter().zip(&self.coefficients).map(|(c, b)| c.values[s as usize] * b).sum())
            .collect();
        let (rank, ranks) = ranks(&risk);
        let (mut lasts, mut firsts) = (vec![Vec::new(); design.time.len()], vec![Vec::new(); design.time.len()]);
        for i in 0..design.rows() {
            lasts[design.last[i] as usize].push(i);
            firsts[design.first[i] as usize].push(i);
        }
        let (mut right, mut pairs) = (0.0, 0.0);
        for (_, times) in &design.strata {
            let mut tree = Tree::new(ranks);
            for k in times.clone().rev() {
                let (events, stay): (Vec<usize>, Vec<usize>) = lasts[k].iter().partition(|&&i| design.event[i]);
                stay.iter().for_each(|&i| tree.add(rank[i], design.weight_of(i)));
                for &i in &events {
                    let (below, upto) = (tree.below(rank[i]), tree.below(rank[i] + 1));
                    right += design.weight_of(i) * (below + 0.5 * (upto - below));
                    pairs += design.weight_of(i) * tree.below(ranks);
                }
                events.iter().for_each(|&i| tree.add(rank[i], design.weight_of(i)));
                firsts[k].iter().for_each(|&i| tree.add(rank[i], -design.weight_of(i)));
            }
        }
        Ok(right / pairs)
    }
}

/// Ranks from 0 with equal values equal, and their number.
fn ranks(values: &[f64]) -> (Vec<usize>, usize) {
    let mut rank = vec![0; values.len()];
    let (mut next, mut last) = (0, f64::NAN);
    for row in ascending(values) {
        let value = values[row as usize];
        // The same covariates may sum to values a rounding apart.
        if next == 0 || value - last > 1e-12 * last.abs().max(1.0) {
            next += 1;
            last = value;
        }
        rank[row as usize] = next - 1;
    }
    (rank, next)
}

/// Sums of weights below a rank.
struct Tree {
    sums: Vec<f64>,
}

impl Tree {
    fn new(ranks: usize) -> Self {
        Self { sums: vec![0.0; ranks + 1] }
    }

    fn add(&mut self, rank: usize, weight: f64) {
        let mut at = rank + 1;
        while at < self.sums.len() {
            self.sums[at] += weight;
            at += at & at.wrapping_neg();
        }
    }

    fn below(&self, rank: usize) -> f64 {
        let (mut at, mut sum) = (rank, 0.0);
        while at > 0 {
            sum += self.sums[at];
            at -= at & at.wrapping_neg();
        }
        sum
    }
}
