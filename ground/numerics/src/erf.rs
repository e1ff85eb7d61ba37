//! Error function, its complement and the scaled complement.
//!
//! erf(x) = 2/sqrt(pi) integral_0^x exp(-t^2) dt, erfc(x) = 1 - erf(x), erfcx(x) = exp(x^2) erfc(x) (DLMF 7.2, dlmf.nist.gov/7.2).
//! |x| <= 1: Chebyshev series of erf(x)/x in x^2. Beyond: Chebyshev series of (1 + 2x) erfcx(x) in (x - 3.75)/(x + 3.75), the
//! variable of Shepherd, Laframboise 1981, Math Comp 36:249-253, doi 10.1090/S0025-5718-1981-0595058-X, with coefficients of our own
//! (see `tests/reference/coefficients.py`).
//! Relative error below 1e-15 for erf and erfcx, below 2e-15 for erfc down to its underflow at x = 26.5.

use crate::chebyshev::{self, ERF_OVER_X, ERFCX_SCALED};

/// exp(-x^2) with the square split, so that the rounding of x^2 is not magnified.
pub(crate) fn exp_minus_square(x: f64) -> f64 {
    let head = (x * 16.0).trunc() / 16.0;
    (-head * head).exp() * (-(x - head) * (x + head)).exp()
}

fn erf_small(x: f64) -> f64 {
    x * chebyshev::sum(&ERF_OVER_X, 2.0 * x * x - 1.0)
}

fn erfcx_positive(x: f64) -> f64 {
    if x.is_infinite() {
        return 0.0;
    }
    chebyshev::sum(&ERFCX_SCALED, (x - 3.75) / (x + 3.75)) / (1.0 + 2.0 * x)
}

/// Error function.
pub fn erf(x: f64) -> f64 {
    if x.abs() <= 1.0 {
        return erf_small(x);
    }
    (1.0 - exp_minus_square(x) * erfcx_positive(x.abs())).copysign(x)
}

/// Complementary error function, full relative accuracy in the right tail.
pub fn erfc(x: f64) -> f64 {
    if x.is_nan() {
        return x;
    }
    if x.abs() <= 0.5 {
        return 1.0 - erf_small(x);
    }
    if x > 27.3 {
        return 0.0;
    }
    let tail = if x < -6.0 { 0.0 } else { exp_minus_square(x) * erfcx_positive(x.abs()) };
    if x > 0.0 { tail } else { 2.0 - tail }
}

/// Scaled complement exp(x^2) erfc(x); infinite below about -26.6.
pub fn erfcx(x: f64) -> f64 {
    if x >= 0.0 {
        return erfcx_positive(x);
    }
    2.0 / exp_minus_square(x) - erfcx_positive(-x)
}
