//! Beta function and the beta distribution.
//!
//! I_x(a, b) = 1/B(a, b) integral_0^x t^(a-1) (1-t)^(b-1) dt (DLMF 8.17.2); continued fraction 8.17.22 by Lentz's method on the side where
//! it converges, prefactor by Stirling's remainder. Work grows as sqrt(max(a, b)) near the mean.
//! Quantile: Newton on ln I against the logit of x; the logit of a beta variable has a log-concave density, so ln I is concave and
//! the iteration cannot run away.
//! Relative error: the smaller of I and 1 - I below 1e-13 (1e-12 beyond a + b = 1e6); quantile below 1e-12 relative. Limit: for a < 1e-4 and
//! x small, 1 - I is right to 1e-16 absolute only.

use crate::gamma::{digamma, trigamma};
use crate::normal::{self, LN_SQRT_2PI};
use crate::stirling;

/// ln B(a, b), a > 0, b > 0; no cancellation when one is large.
pub fn ln_beta(a: f64, b: f64) -> f64 {
    let (a, b) = (a.min(b), a.max(b));
    let n = a + b;
    (a - 0.5) * (a / n).ln() + (b - 0.5) * (-a / n).ln_1p() - 0.5 * n.ln()
        + LN_SQRT_2PI
        + stirling::remainder(a)
        + stirling::remainder(b)
        - stirling::remainder(n)
}

/// Regularised incomplete beta function I_x(a, b): the cumulative distribution of Beta(a, b). NaN for shapes that are not
/// positive or x outside 0..1.
pub fn regularised(a: f64, b: f64, x: f64) -> f64 {
    match shapes(a, b, x) {
        Some(shape) => shape.lower(x, 1.0 - x),
        None => f64::NAN,
    }
}

/// 1 - I_x(a, b), full relative accuracy in the upper tail.
pub fn complement(a: f64, b: f64, x: f64) -> f64 {
    match shapes(a, b, x) {
        Some(shape) => shape.mirrored().lower(1.0 - x, x),
        None => f64::NAN,
    }
}

/// I_x(a, b) where x and y = 1 - x are both known exactly.
pub(crate) fn regularised_pair(a: f64, b: f64, x: f64, y: f64) -> f64 {
    Shapes::new(a, b).lower(x, y)
}

/// Point x with I_x(a, b) = `p`. NaN for shapes that are not positive or p outside 0..1; 0 or 1 where the answer underflows.
pub fn quantile(a: f64, b: f64, p: f64) -> f64 {
    quantile_pair(a, b, p).0
}

/// The quantile x and 1 - x, each with full relative accuracy.
pub(crate) fn quantile_pair(a: f64, b: f64, p: f64) -> (f64, f64) {
    let Some(shape) = shapes(a, b, p) else { return (f64::NAN, f64::NAN) };
    if p > 0.5 {
        let (y, x) = shape.mirrored().quantile(1.0 - p);
        return (x, y);
    }
    shape.quantile(p)
}

/// ln of the density at x in 0..1.
pub fn log_pdf(a: f64, b: f64, x: f64) -> f64 {
    match shapes(a, b, x) {
        Some(shape) if x > 0.0 && x < 1.0 => shape.ln_front(x, 1.0 - x) - x.ln() - (-x).ln_1p(),
        _ => f64::NEG_INFINITY,
    }
}

fn shapes(a: f64, b: f64, unit: f64) -> Option<Shapes> {
    (a > 0.0 && b > 0.0 && a.is_finite() && b.is_finite() && (0.0..=1.0).contains(&unit)).then(|| Shapes::new(a, b))
}

#[derive(Clone, Copy)]
struct Shapes {
    a: f64,
    b: f64,
    ln_scale: f64,
}

impl Shapes {
    fn new(a: f64, b: f64) -> Self {
        let n = a + b;
        let ln_scale = 0.5 * (a / n).ln() + 0.5 * b.ln() - LN_SQRT_2PI + stirling::remainder(n)
            - stirling::remainder(a)
            - stirling::remainder(b);
        Self { a, b, ln_scale }
    }

    fn mirrored(self) -> Self {
        Self { a: self.b, b: self.a, ln_scale: self.ln_scale }
    }

    /// ln of x^a y^b / B(a, b).
    fn ln_front(&self, x: f64, y: f64) -> f64 {
        let n = self.a + self.b;
        self.ln_scale - stirling::deviance(self.a, n * x) - stirling::deviance(self.b, n * y)
    }

    /// I_x, with y = 1 - x.
    fn lower(&self, x: f64, y: f64) -> f64 {
        let (ln_value, is_lower) = self.ln_side(x, y);
        if is_lower { ln_value.exp() } else { -ln_value.exp_m1() }
    }

    /// ln I_x.
    fn ln_lower(&self, x: f64, y: f64) -> f64 {
        let (ln_value, is_lower) = self.ln_side(x, y);
        if is_lower { ln_value } else { (-ln_value.exp()).ln_1p() }
    }

    /// The logarithm of I_x (true) or of 1 - I_x (false), whichever the fraction gives directly.
    fn ln_side(&self, x: f64, y: f64) -> (f64, bool) {
        if x <= 0.0 {
            return (f64::NEG_INFINITY, true);
        }
        if y <= 0.0 {
            return (f64::NEG_INFINITY, false);
        }
        let front = self.ln_front(x, y);
        if x < (self.a + 1.0) / (self.a + self.b + 2.0) {
            (front - self.a.ln() + fraction(self.a, self.b, x).ln(), true)
        } else {
            (front - self.b.ln() + fraction(self.b, self.a, y).ln(), false)
        }
    }

    /// The point of a lower tail p <= 1/2, as (x, 1 - x).
    fn quantile(&self, p: f64) -> (f64, f64) {
        if p == 0.0 {
            return (0.0, 1.0);
        }
        let target = p.ln();
        // Leading term of I_x for small x.
        let small = (target + self.a.ln() + ln_beta(self.a, self.b)) / self.a;
        let centre = digamma(self.a) - digamma(self.b);
        let spread = (trigamma(self.a) + trigamma(self.b)).sqrt();
        let mut t = (centre + spread * normal::quantile(p)).clamp(small.clamp(-745.0, 700.0), 745.0);
        for _ in 0..200 {
            let (x, y) = logistic(t);
            if x <= 0.0 || (t < -700.0 && small < -700.0) {
                return (small.exp(), 1.0);
            }
            let value = self.ln_lower(x, y);
            let slope = (self.ln_front(x, y) - value).exp();
            let step = (value - target) / slope;
            t -= step.clamp(-100.0, 100.0);
            if step.abs() < 1e-11 || t > 745.0 {
                break;
            }
        }
        logistic(t)
    }
}

/// x = 1/(1 + e^-t) and 1 - x, neither by subtraction.
fn logistic(t: f64) -> (f64, f64) {
    let e = (-t.abs()).exp();
    let (large, little) = (1.0 / (1.0 + e), e / (1.0 + e));
    if t < 0.0 { (little, large) } else { (large, little) }
}

/// Continued fraction of DLMF 8.17.22.
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / away(1.0 - (a + b) * x / (a + 1.0));
    let mut h = d;
    for m in 1..2_000_000 {
        let m = f64::from(m);
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / away(1.0 + even * d);
        c = away(1.0 + even / c);
        h *= c * d;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / away(1.0 + odd * d);
        c = away(1.0 + odd / c);
        let factor = c * d;
        h *= factor;
        if (factor - 1.0).abs() < 2e-16 {
            break;
        }
    }
    h
}
