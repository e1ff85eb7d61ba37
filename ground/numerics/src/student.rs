//! Student's t distribution.

use crate::beta;

/// Chance of a value at most t with `df` degrees of freedom (Abramowitz, Stegun 26.7.1 by the incomplete beta function).
pub fn cdf(t: f64, df: f64) -> f64 {
    let tail = 0.5 * beta::regularised(0.5 * df, 0.5, df / (df + t * t));
    if t > 0.0 { 1.0 - tail } else { tail }
}

/// The value below which a share `p` lies.
pub fn quantile(p: f64, df: f64) -> f64 {
    if !(0.0..=1.0).contains(&p) || df.is_nan() || df <= 0.0 {
        return f64::NAN;
    }
    if p == 0.5 {
        return 0.0;
    }
    let tail = p.min(1.0 - p);
    // Far from the middle x is small and exact; near it, its complement is.
    let x = beta::quantile(0.5 * df, 0.5, 2.0 * tail);
    let rest = beta::quantile(0.5, 0.5 * df, 1.0 - 2.0 * tail);
    let t = if x < 0.5 { (df * (1.0 - x) / x).sqrt() } else { (df * rest / (1.0 - rest)).sqrt() };
    if p < 0.5 { -t } else { t }
}
