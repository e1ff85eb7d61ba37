//! Rounding of what is printed and stored.

/// `x` rounded to `digits` significant decimal digits (0 and non-finite values stay).
pub fn significant(x: f64, digits: usize) -> f64 {
    if x == 0.0 || !x.is_finite() {
        return x;
    }
    // Formatting rounds correctly in decimal; scaling by powers of ten would not.
    format!("{x:.*e}", digits.saturating_sub(1)).parse().unwrap_or(x)
}

/// `x` rounded to six significant digits, the precision of all output: beyond it machines may differ.
pub fn six_figures(x: f64) -> f64 {
    significant(x, 6)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn six_digits_are_kept() {
        assert_eq!(six_figures(1234567.8), 1234570.0);
        assert_eq!(six_figures(-0.00012345678), -0.000123457);
        assert_eq!(six_figures(0.0), 0.0);
        assert!(six_figures(f64::NAN).is_nan());
    }
}
