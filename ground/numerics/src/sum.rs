//! Sums in a fixed order.

/// Sum with Neumaier's compensation (1974, ZAMM 54:39-51, doi 10.1002/zamm.19740540106): error independent of the count.
pub fn compensated(values: impl IntoIterator<Item = f64>) -> f64 {
    let (mut sum, mut lost) = (0.0f64, 0.0f64);
    for v in values {
        let next = sum + v;
        lost += if sum.abs() >= v.abs() { (sum - next) + v } else { (v - next) + sum };
        sum = next;
    }
    // An infinite sum makes the lost part undefined; the sum itself is then the answer.
    if lost.is_finite() { sum + lost } else { sum }
}

/// ln(sum of exp(x)) without overflow; minus infinity for no values.
pub fn log_sum_exp(values: &[f64]) -> f64 {
    let top = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !top.is_finite() {
        return top;
    }
    top + values.iter().map(|v| (v - top).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_terms_survive_large_ones() {
        assert_eq!(compensated([1.0, 1e100, 1.0, -1e100]), 2.0);
        assert!((log_sum_exp(&[1000.0, 1000.0]) - (1000.0 + 2f64.ln())).abs() < 1e-12);
        assert_eq!(log_sum_exp(&[]), f64::NEG_INFINITY);
    }
}
