//! Exact intervals of one study: a Poisson rate (Garwood 1936, Biometrika 28:437-442) and a binomial proportion (Clopper, Pearson 1934, Biometrika
//! 26:404-413). Events need not be whole numbers: the gamma and beta quantiles carry on between them.

use numerics::{beta, chi_square};

/// Interval of a rate at `level`, events over `exposure` (above 0).
pub fn exact_rate_interval(events: f64, exposure: f64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    let low = if events > 0.0 { 0.5 * chi_square::quantile(tail, 2.0 * events) / exposure } else { 0.0 };
    (low, 0.5 * chi_square::quantile(1.0 - tail, 2.0 * events + 2.0) / exposure)
}

/// Interval of a proportion at `level`, events of `n`.
pub fn exact_proportion_interval(events: f64, n: f64, level: f64) -> (f64, f64) {
    let tail = 0.5 * (1.0 - level);
    let low = if events > 0.0 { beta::quantile(events, n - events + 1.0, tail) } else { 0.0 };
    let high = if events < n { beta::quantile(events + 1.0, n - events, 1.0 - tail) } else { 1.0 };
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn textbook_limits_come_back() {
        // 0 events: upper 95 % limit ln(40)/exposure; 5 events: 1.623 to 11.668 (Garwood's table, chi-square quantiles).
        let (low, high) = exact_rate_interval(0.0, 1.0, 0.95);
        assert!(low == 0.0 && (high - 40f64.ln()).abs() < 1e-9);
        let (low, high) = exact_rate_interval(5.0, 1.0, 0.95);
        assert!((low - 1.6235).abs() < 1e-3 && (high - 11.6683).abs() < 1e-3);
        // 0 of 10: 1 - 0.025^(1/10).
        let (low, high) = exact_proportion_interval(0.0, 10.0, 0.95);
        assert!(low == 0.0 && (high - (1.0 - 0.025f64.powf(0.1))).abs() < 1e-9);
        assert_eq!(exact_proportion_interval(10.0, 10.0, 0.95).1, 1.0);
    }
}
