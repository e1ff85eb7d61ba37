//! One value per draw of `World`: the form in which uncertainty travels.

use crate::Interval;
use serde::{Deserialize, Serialize};

/// Values of one quantity, one per draw of [`crate::World`]; never empty.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Draws(Vec<f64>);

impl Draws {
    /// From a function of the draw's number.
    pub fn from_fn(n: usize, f: impl FnMut(usize) -> f64) -> Self {
        Self((0..n.max(1)).map(f).collect())
    }

    /// The same value in every draw.
    pub fn constant(n: usize, value: f64) -> Self {
        Self(vec![value; n.max(1)])
    }

    /// From values in draw order; `None` when there are none.
    pub fn from_vec(values: Vec<f64>) -> Option<Self> {
        (!values.is_empty()).then_some(Self(values))
    }

    /// Number of draws.
    #[allow(clippy::len_without_is_empty)] // never empty by construction
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Value at draw `k` (numbers beyond the last wrap round).
    pub fn get(&self, k: usize) -> f64 {
        self.0[k % self.0.len()]
    }

    /// Values in draw order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = f64> + '_ {
        self.0.iter().copied()
    }

    /// Values in draw order.
    pub fn as_slice(&self) -> &[f64] {
        &self.0
    }

    /// The same function of every draw.
    pub fn map(&self, f: impl Fn(f64) -> f64) -> Self {
        Self(self.0.iter().map(|&x| f(x)).collect())
    }

    /// A function of two quantities, within each draw. Of different lengths, the shorter is read round again.
    pub fn zip(&self, other: &Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self::from_fn(self.len().max(other.len()), |k| f(self.get(k), other.get(k)))
    }

    /// Sum of two quantities.
    pub fn plus(&self, other: &Self) -> Self {
        self.zip(other, |a, b| a + b)
    }

    /// Product of two quantities.
    pub fn times(&self, other: &Self) -> Self {
        self.zip(other, |a, b| a * b)
    }

    /// This quantity scaled by a constant.
    pub fn scaled(&self, factor: f64) -> Self {
        self.map(|x| x * factor)
    }

    /// Mean over the draws (compensated sum, fixed order).
    pub fn mean(&self) -> f64 {
        numerics::sum::compensated(self.iter()) / self.len() as f64
    }

    /// Variance over the draws (divided by their number).
    pub fn variance(&self) -> f64 {
        let mean = self.mean();
        numerics::sum::compensated(self.iter().map(|x| (x - mean).powi(2))) / self.len() as f64
    }

    /// Quantile at `p` in 0..1, linear between order statistics (type 7 of Hyndman, Fan 1996, Am Stat 50:361-365).
    pub fn quantile(&self, p: f64) -> f64 {
        quantile_of_sorted(&self.sorted(), p)
    }

    /// Several quantiles, each found by selection in what the one before left unsorted; they must ascend.
    pub fn quantiles<const M: usize>(&self, ps: [f64; M]) -> [f64; M] {
        let mut values = self.0.clone();
        let last = values.len() - 1;
        let mut from = 0;
        ps.map(|p| {
            let h = p.clamp(0.0, 1.0) * last as f64;
            let i = (h.floor() as usize).max(from);
            let (_, &mut low, above) = values[from..].select_nth_unstable_by(i - from, f64::total_cmp);
            from = i;
            let next = above.iter().copied().min_by(f64::total_cmp).unwrap_or(low);
            low + (h - i as f64).max(0.0) * (next - low)
        })
    }

    /// Mean with its 5-95 % interval: the headline form.
    pub fn interval(&self) -> Interval {
        let [low, median, high] = self.quantiles([0.05, 0.5, 0.95]);
        Interval { mean: self.mean(), median, low, high }
    }

    /// Share of the draws in which a statement holds.
    pub fn share(&self, holds: impl Fn(f64) -> bool) -> f64 {
        self.0.iter().filter(|&&x| holds(x)).count() as f64 / self.len() as f64
    }

    /// Share of the draws in which this quantity is below the other.
    pub fn share_below(&self, other: &Self) -> f64 {
        self.zip(other, |a, b| if a < b { 1.0 } else { 0.0 }).mean()
    }

    /// True when every draw is a finite number.
    pub fn is_finite(&self) -> bool {
        self.0.iter().all(|x| x.is_finite())
    }

    fn sorted(&self) -> Vec<f64> {
        let mut sorted = self.0.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted
    }
}

fn quantile_of_sorted(sorted: &[f64], p: f64) -> f64 {
    let h = p.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let i = h.floor() as usize;
    let j = (i + 1).min(sorted.len() - 1);
    sorted[i] + (h - i as f64) * (sorted[j] - sorted[i])
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn quantiles_of_one_to_five() {
        // Hyndman, Fan 1996 type 7: for 1..5, p = 0.1 lies at 1.4.
        let d = Draws::from_vec(vec![3.0, 1.0, 5.0, 2.0, 4.0]).unwrap();
        assert_eq!(d.quantile(0.1), 1.4);
        assert_eq!(d.quantile(0.5), 3.0);
        assert_eq!(d.quantile(1.0), 5.0);
    }

    proptest! {
        #[test]
        fn an_interval_brackets_its_median(values in prop::collection::vec(-1e6f64..1e6, 1..200)) {
            let interval = Draws::from_vec(values).unwrap().interval();
            prop_assert!(interval.low <= interval.median && interval.median <= interval.high);
        }

        #[test]
        fn selection_agrees_with_sorting(values in prop::collection::vec(-1e6f64..1e6, 1..80)) {
            let draws = Draws::from_vec(values).unwrap();
            let ps = [0.0, 0.05, 0.25, 0.25, 0.5, 0.93, 1.0];
            for (p, found) in ps.into_iter().zip(draws.quantiles(ps)) {
                prop_assert_eq!(found, draws.quantile(p));
            }
        }

        #[test]
        fn order_of_draws_does_not_change_a_quantile(mut values in prop::collection::vec(-1e6f64..1e6, 1..60), p in 0.0f64..1.0) {
            let a = Draws::from_vec(values.clone()).unwrap().quantile(p);
            values.reverse();
            prop_assert_eq!(a, Draws::from_vec(values).unwrap().quantile(p));
        }
    }
}
