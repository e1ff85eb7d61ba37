//! Roots of functions of one variable.

/// Why no root was found.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RootError {
    /// The function has the same sign at both ends.
    #[error("no sign change between {low} ({at_low}) and {high} ({at_high}): widen the bracket")]
    NotBracketed {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Value there.
        at_low: f64,
        /// Value there.
        at_high: f64,
    },
}

/// Root of `f` between `low` and `high`, where it changes sign, to `tolerance` in x (Brent 1973, Algorithms for minimization
/// without derivatives, chapter 4).
///
/// # Errors
/// [`RootError::NotBracketed`] when `f` has one sign at both ends or is not a number there.
pub fn brent(mut f: impl FnMut(f64) -> f64, low: f64, high: f64, tolerance: f64) -> Result<f64, RootError> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (f(a), f(b));
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if fa.is_nan() || fb.is_nan() || fa.signum() == fb.signum() {
        return Err(RootError::NotBracketed { low, high, at_low: fa, at_high: fb });
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut before = step;
    for _ in 0..300 {
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let least = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let middle = 0.5 * (c - b);
        if middle.abs() <= least || fb == 0.0 {
            break;
        }
        if before.abs() >= least && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if a == c {
                (2.0 * middle * s, 1.0 - s)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (s * (2.0 * middle * q * (q - r) - (b - a) * (r - 1.0)), (q - 1.0) * (r - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            }
            p = p.abs();
            if 2.0 * p < (3.0 * middle * q - (least * q).abs()).min((before * q).abs()) {
                before = step;
                step = p / q;
            } else {
                step = middle;
                before = middle;
            }
        } else {
            step = middle;
            before = middle;
        }
        (a, fa) = (b, fb);
        b += if step.abs() > least { step } else { least.copysign(middle) };
        fb = f(b);
    }
    Ok(b)
}

/// Root of an increasing function on `low..high` (the upper end may be infinite) by Newton steps with the given slope, kept
/// inside a shrinking bracket; to machine precision where the function allows.
pub fn increasing(start: f64, low: f64, high: f64, f: impl Fn(f64) -> f64, slope: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high, mut x) = (low, high, start);
    for _ in 0..400 {
        let value = f(x);
        if value == 0.0 {
            return x;
        }
        if value < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let newton = x - value / slope(x);
        let next = if newton.is_finite() && newton > low && newton < high {
            newton
        } else if high.is_infinite() {
            2.0 * x.max(1e-300)
        } else if low <= 0.0 {
            // Towards zero the bracket shrinks by orders of magnitude, not by halves.
            if high > 1e-8 { 0.5 * high } else { high * 1e-3 }
        } else if high / low > 4.0 {
            (low * high).sqrt()
        } else {
            0.5 * (low + high)
        };
        if (next - x).abs() <= 4.0 * f64::EPSILON * x.abs() || next == 0.0 {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brent_finds_the_root_of_a_cosine() {
        let x = brent(|x: f64| x.cos() - x, 0.0, 1.0, 1e-14).unwrap();
        assert!((x - 0.7390851332151607).abs() < 1e-13);
        assert!(matches!(brent(|x| x * x + 1.0, -1.0, 1.0, 1e-9), Err(RootError::NotBracketed { .. })));
        assert!(brent(|_| f64::NAN, -1.0, 1.0, 1e-9).is_err());
    }
}
