//! A number with the interval in which it lies.

use crate::significant;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Mean over the draws with their 5-95 % interval and median, in the unit of the quantity.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Interval {
    /// Mean over the draws: the headline.
    pub mean: f64,
    /// Median over the draws.
    pub median: f64,
    /// 5 % quantile.
    pub low: f64,
    /// 95 % quantile.
    pub high: f64,
}

impl Interval {
    /// A value without spread.
    pub fn exactly(value: f64) -> Self {
        Self { mean: value, median: value, low: value, high: value }
    }

    /// Width of the interval.
    pub fn width(&self) -> f64 {
        self.high - self.low
    }

    /// Every figure rounded to six significant digits, as printed and stored.
    pub fn rounded(&self) -> Self {
        let r = crate::six_figures;
        Self { mean: r(self.mean), median: r(self.median), low: r(self.low), high: r(self.high) }
    }

    /// `mean (low to high)` with as many digits as the width of the interval bears (two significant digits of the width).
    pub fn in_words(&self) -> String {
        let decimals = decimals_for(self.width(), self.mean);
        format!("{:.d$} ({:.d$} to {:.d$})", self.mean, self.low, self.high, d = decimals)
    }
}

/// Decimals such that the width shows about two significant digits; without width, three of the value.
fn decimals_for(width: f64, value: f64) -> usize {
    let scale = if width > 0.0 { width } else { value.abs() / 10.0 };
    if scale <= 0.0 || !scale.is_finite() {
        return 0;
    }
    let shown = significant(scale, 2);
    (1 - shown.abs().log10().floor() as i32).clamp(0, 6) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn width_sets_the_digits() {
        let wide = Interval { mean: 12.3456, median: 12.0, low: 3.21, high: 31.4 };
        assert_eq!(wide.in_words(), "12 (3 to 31)");
        let narrow = Interval { mean: 0.98765, median: 0.98, low: 0.95123, high: 0.99456 };
        assert_eq!(narrow.in_words(), "0.988 (0.951 to 0.995)");
    }
}
