//! Quantiles of draws, for pictures that show a distribution by a few marks.
//!
//! Linear interpolation between order statistics at `h = (n - 1) p` (definition 7 of Hyndman and Fan 1996, The American
//! Statistician 50:361-365, doi 10.1080/00031305.1996.10473566).

/// The `p`-quantile (`0 <= p <= 1`) of values already sorted upwards; `None` when there are none.
pub fn quantile(sorted: &[f64], p: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let h = p.clamp(0.0, 1.0) * last as f64;
    let below = (h.floor() as usize).min(last);
    let above = (below + 1).min(last);
    Some(sorted[below] + (h - below as f64) * (sorted[above] - sorted[below]))
}

/// `n` quantiles at `(i + 1/2) / n`, each standing for `1/n` of the draws; the draws need not be sorted.
pub fn quantiles(draws: &[f64], n: usize) -> Vec<f64> {
    let mut sorted = draws.to_vec();
    sorted.sort_by(f64::total_cmp);
    (0..n).filter_map(|i| quantile(&sorted, (i as f64 + 0.5) / n as f64)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_a_ramp_are_the_ramp() {
        let ramp: Vec<f64> = (0..=100).rev().map(f64::from).collect();
        assert_eq!(quantiles(&ramp, 4), vec![12.5, 37.5, 62.5, 87.5]);
        assert_eq!(quantile(&[], 0.5), None);
        assert_eq!(quantile(&[3.0], 0.9), Some(3.0));
    }
}
