//! Minima.

/// Minimum of `f` on `low..high` by golden-section steps with parabolic acceleration (Brent 1973, chapter 5); returns (x, f(x)).
pub fn brent(mut f: impl FnMut(f64) -> f64, low: f64, high: f64, tolerance: f64) -> (f64, f64) {
    const GOLD: f64 = 0.381_966_011_250_105_1;
    let (mut a, mut b) = (low, high);
    let mut x = a + GOLD * (b - a);
    let (mut w, mut v) = (x, x);
    let mut fx = f(x);
    let (mut fw, mut fv) = (fx, fx);
    let (mut step, mut before) = (0.0f64, 0.0f64);
    for _ in 0..500 {
        let middle = 0.5 * (a + b);
        let tol = tolerance * x.abs() + 1e-12;
        if (x - middle).abs() <= 2.0 * tol - 0.5 * (b - a) {
            break;
        }
        let mut golden = true;
        if before.abs() > tol {
            let r = (x - w) * (fx - fv);
            let q0 = (x - v) * (fx - fw);
            let p0 = (x - v) * q0 - (x - w) * r;
            let q1 = 2.0 * (q0 - r);
            let (p, q) = if q1 > 0.0 { (-p0, q1) } else { (p0, -q1) };
            if p.abs() < (0.5 * q * before).abs() && p > q * (a - x) && p < q * (b - x) {
                before = step;
                step = p / q;
                let u = x + step;
                if u - a < 2.0 * tol || b - u < 2.0 * tol {
                    step = tol.copysign(middle - x);
                }
                golden = false;
            }
        }
        if golden {
            before = if x < middle { b - x } else { a - x };
            step = GOLD * before;
        }
        let u = if step.abs() >= tol { x + step } else { x + tol.copysign(step) };
        let fu = f(u);
        if fu <= fx {
            if u < x { b = x } else { a = x }
            (v, fv, w, fw, x, fx) = (w, fw, x, fx, u, fu);
        } else {
            if u < x { a = u } else { b = u }
            if fu <= fw || w == x {
                (v, fv, w, fw) = (w, fw, u, fu);
            } else if fu <= fv || v == x || v == w {
                (v, fv) = (u, fu);
            }
        }
    }
    (x, fx)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_foot_of_a_skew_valley() {
        // x ln x has its minimum at 1/e.
        let (x, fx) = brent(|x: f64| x * x.ln(), 0.01, 2.0, 1e-9);
        assert!((x - (-1f64).exp()).abs() < 1e-7 && (fx + (-1f64).exp()).abs() < 1e-12);
    }
}
