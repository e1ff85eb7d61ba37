//! The beta function and its incomplete form.
//!
//! Regularised I_x(a, b) by the continued fraction of DLMF 8.17.22 (modified Lentz), on the side where it converges; its front
//! factor keeps its digits for large shapes through Stirling remainders. Quantile by bracketed Newton steps.

use crate::gamma::ln_gamma;

/// ln B(a, b).
pub fn ln_beta(a: f64, b: f64) -> f64 {
    if a >= 10.0 && b >= 10.0 {
        // Stirling throughout: no cancellation between large ln Gamma values.
        let s = a + b;
        let remainder = |x: f64| {
            let z = 1.0 / (x * x);
            (1.0 / 12.0 - z * (1.0 / 360.0 - z * (1.0 / 1260.0 - z * (1.0 / 1680.0 - z / 1188.0)))) / x
        };
        return 0.5 * (2.0 * std::f64::consts::PI).ln() + (a - 0.5) * (a / s).ln() + b * (-a / s).ln_1p() - 0.5 * b.ln()
            + remainder(a)
            + remainder(b)
            - remainder(s);
    }
    ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b)
}

/// Regularised incomplete beta function I_x(a, b): the chance of a beta variable at most x.
pub fn regularised(a: f64, b: f64, x: f64) -> f64 {
    lower_upper(a, b, x).0
}

/// 1 - I_x(a, b), accurate where it is small.
pub fn complement(a: f64, b: f64, x: f64) -> f64 {
    lower_upper(a, b, x).1
}

fn lower_upper(a: f64, b: f64, x: f64) -> (f64, f64) {
    if a.is_nan() || b.is_nan() || a <= 0.0 || b <= 0.0 || !(0.0..=1.0).contains(&x) {
        return (f64::NAN, f64::NAN);
    }
    if x == 0.0 {
        return (0.0, 1.0);
    }
    if x == 1.0 {
        return (1.0, 0.0);
    }
    if x <= (a + 1.0) / (a + b + 2.0) {
        let lower = (front(a, b, x) * fraction(a, b, x) / a).min(1.0);
        (lower, 1.0 - lower)
    } else {
        let upper = (front(a, b, x) * fraction(b, a, 1.0 - x) / b).min(1.0);
        (1.0 - upper, upper)
    }
}

/// x^a (1-x)^b / B(a, b), written about the mode a/(a+b) where both shapes are large.
fn front(a: f64, b: f64, x: f64) -> f64 {
    if a < 10.0 || b < 10.0 {
        return (a * x.ln() + b * (-x).ln_1p() - ln_beta(a, b)).exp();
    }
    let s = a + b;
    let centred = a * (x * s / a - 1.0).ln_1p() + b * ((a - x * s) / b).ln_1p();
    let rest = ln_beta(a, b) - a * (a / s).ln() - b * (b / s).ln();
    (centred - rest).exp()
}

fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let keep = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / keep(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    for m in 1..200_000 {
        let m = m as f64;
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / keep(1.0 + even * d);
        c = keep(1.0 + even / c);
        h *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / keep(1.0 + odd * d);
        c = keep(1.0 + odd / c);
        let step = d * c;
        h *= step;
        if (step - 1.0).abs() < 1e-16 {
            break;
        }
    }
    h
}

/// The value below which a share `prob` of a beta variable with shapes a and b lies.
pub fn quantile(a: f64, b: f64, prob: f64) -> f64 {
    if a.is_nan() || b.is_nan() || a <= 0.0 || b <= 0.0 || !(0.0..=1.0).contains(&prob) {
        return f64::NAN;
    }
    if prob == 0.0 || prob == 1.0 {
        return prob;
    }
    // Start from the leading terms at both ends or the normal approximation in between.
    let low = ((prob.ln() + a.ln() + ln_beta(a, b)) / a).exp();
    let high = 1.0 - (((-prob).ln_1p() + b.ln() + ln_beta(a, b)) / b).exp();
    let mean = a / (a + b);
    let middle = mean + crate::normal::quantile(prob) * (mean * (1.0 - mean) / (a + b + 1.0)).sqrt();
    let start = if middle > 0.0 && middle < 1.0 && a > 1.0 && b > 1.0 {
        middle
    } else if low < 0.5 {
        low
    } else {
        high
    };
    crate::root::increasing(
        start.clamp(1e-300, 1.0 - f64::EPSILON),
        0.0,
        1.0,
        |x| {
            let (lower, upper) = lower_upper(a, b, x);
            if prob < 0.5 { lower - prob } else { (1.0 - prob) - upper }
        },
        |x| ((a - 1.0) * x.ln() + (b - 1.0) * (-x).ln_1p() - ln_beta(a, b)).exp(),
    )
}
