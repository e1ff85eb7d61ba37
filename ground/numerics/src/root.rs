//! Root of a continuous function in a bracket: Brent 1973 (Prentice-Hall), chapter 4.

use thiserror::Error;

/// Why no root was found.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RootError {
    /// The ends have the same sign.
    #[error(
        "no sign change between {low} (value {at_low}) and {high} (value {at_high}): give ends that bracket the root"
    )]
    NoBracket {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Value at the lower end.
        at_low: f64,
        /// Value at the upper end.
        at_high: f64,
    },
    /// The function returned something that is not a number.
    #[error("the function is not a number at {0}")]
    NotANumber(f64),
}

/// Root of `f` between `lo` and `hi` to `tol` absolute (plus rounding). Errors when the ends do not bracket one.
pub fn brent(mut f: impl FnMut(f64) -> f64, lo: f64, hi: f64, tol: f64) -> Result<f64, RootError> {
    let mut value = |x: f64| {
        let y = f(x);
        if y.is_nan() { Err(RootError::NotANumber(x)) } else { Ok(y) }
    };
    let (mut a, mut b) = (lo, hi);
    let (mut fa, mut fb) = (value(a)?, value(b)?);
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if (fa > 0.0) == (fb > 0.0) {
        return Err(RootError::NoBracket { low: lo, high: hi, at_low: fa, at_high: fb });
    }
    let (mut c, mut fc) = (a, fa);
    let mut d = b - a;
    let mut e = d;
    // Bisection alone would need about 1100 halvings of the whole range of doubles.
    for _ in 0..2000 {
        if (fb > 0.0) == (fc > 0.0) {
            (c, fc) = (a, fa);
            d = b - a;
            e = d;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + 0.5 * tol;
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || fb == 0.0 {
            break;
        }
        if e.abs() >= tolerance && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (s * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            }
            p = p.abs();
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((e * q).abs()) {
                e = d;
                d = p / q;
            } else {
                d = half;
                e = half;
            }
        } else {
            d = half;
            e = half;
        }
        (a, fa) = (b, fb);
        b += if d.abs() > tolerance { d } else { tolerance.copysign(half) };
        fb = value(b)?;
    }
    Ok(b)
}

/// A bracket of a root of `f`, widened geometrically from `lo`..`hi` up to 60 times; `None` when the sign never changes.
pub fn bracket(mut f: impl FnMut(f64) -> f64, lo: f64, hi: f64) -> Option<(f64, f64)> {
    let (mut low, mut high) = (lo, hi);
    let (mut at_low, mut at_high) = (f(low), f(high));
    for _ in 0..60 {
        if at_low.is_nan() || at_high.is_nan() {
            return None;
        }
        if (at_low > 0.0) != (at_high > 0.0) {
            return Some((low, high));
        }
        let width = high - low;
        if at_low.abs() < at_high.abs() {
            low -= 1.6 * width;
            at_low = f(low);
        } else {
            high += 1.6 * width;
            at_high = f(high);
        }
    }
    None
}
