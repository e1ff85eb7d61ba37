//! Minima without derivatives: one variable (Brent 1973, Prentice-Hall, chapter 5) and a few
//! (Nelder, Mead 1965, Computer J 7:308-313, doi 10.1093/comjnl/7.4.308), deterministic.

/// A point and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Minimum<X> {
    /// Where.
    pub at: X,
    /// The value there.
    pub value: f64,
    /// True when the tolerance was met before the limit of evaluations.
    pub converged: bool,
}

/// Local minimum of `f` on `lo`..`hi` to `tol` absolute in x (not below 1e-8 relative: a minimum is flat).
pub fn brent(mut f: impl FnMut(f64) -> f64, lo: f64, hi: f64, tol: f64) -> Minimum<f64> {
    const GOLDEN: f64 = 0.381966011250105151795;
    let (mut a, mut b) = (lo.min(hi), lo.max(hi));
    let mut x = a + GOLDEN * (b - a);
    let (mut w, mut v) = (x, x);
    let mut fx = f(x);
    let (mut fw, mut fv) = (fx, fx);
    let (mut d, mut e) = (0.0_f64, 0.0_f64);
    for _ in 0..500 {
        let middle = 0.5 * (a + b);
        let near = 1.5e-8 * x.abs() + tol.max(1e-300);
        if (x - middle).abs() <= 2.0 * near - 0.5 * (b - a) {
            return Minimum { at: x, value: fx, converged: true };
        }
        let mut parabola = false;
        if e.abs() > near {
            let r = (x - w) * (fx - fv);
            let mut q = (x - v) * (fx - fw);
            let mut p = (x - v) * q - (x - w) * r;
            q = 2.0 * (q - r);
            if q > 0.0 {
                p = -p;
            }
            q = q.abs();
            let before = e;
            e = d;
            if p.abs() < (0.5 * q * before).abs() && p > q * (a - x) && p < q * (b - x) {
                d = p / q;
                let u = x + d;
                if u - a < 2.0 * near || b - u < 2.0 * near {
                    d = near.copysign(middle - x);
                }
                parabola = true;
            }
        }
        if !parabola {
            e = if x < middle { b - x } else { a - x };
            d = GOLDEN * e;
        }
        let u = x + if d.abs() >= near { d } else { near.copysign(d) };
        let fu = f(u);
        if fu <= fx {
            if u < x {
                b = x;
            } else {
                a = x;
            }
            (v, fv, w, fw, x, fx) = (w, fw, x, fx, u, fu);
        } else {
            if u < x {
                a = u;
            } else {
                b = u;
            }
            if fu <= fw || w == x {
                (v, fv, w, fw) = (w, fw, u, fu);
            } else if fu <= fv || v == x || v == w {
                (v, fv) = (u, fu);
            }
        }
    }
    Minimum { at: x, value: fx, converged: false }
}

/// Local minimum of `f` from `start` with first steps `steps` (same length), until the values of the simplex differ by less than
/// `tol` absolute, at most `limit` evaluations. A value that is not a number counts as infinite.
pub fn nelder_mead(
    mut f: impl FnMut(&[f64]) -> f64,
    start: &[f64],
    steps: &[f64],
    tol: f64,
    limit: usize,
) -> Minimum<Vec<f64>> {
    let n = start.len();
    let mut value = |x: &[f64]| {
        let y = f(x);
        if y.is_nan() { f64::INFINITY } else { y }
    };
    let mut simplex: Vec<(Vec<f64>, f64)> = Vec::with_capacity(n + 1);
    simplex.push((start.to_vec(), value(start)));
    for i in 0..n {
        let mut x = start.to_vec();
        x[i] += steps.get(i).copied().filter(|s| *s != 0.0).unwrap_or(0.1);
        let y = value(&x);
        simplex.push((x, y));
    }
    let mut evaluations = n + 1;
    let mut converged = false;
    while evaluations < limit {
        simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
        let (best, worst) = (simplex[0].1, simplex[n].1);
        if n == 0 || (worst - best).abs() <= tol {
            converged = true;
            break;
        }
        let centre: Vec<f64> = (0..n).map(|i| simplex[..n].iter().map(|s| s.0[i]).sum::<f64>() / n as f64).collect();
        let along = |t: f64, simplex: &[(Vec<f64>, f64)]| -> Vec<f64> {
            centre.iter().zip(&simplex[n].0).map(|(c, w)| c + t * (w - c)).collect()
        };
        let reflected = along(-1.0, &simplex);
        let at_reflected = value(&reflected);
        evaluations += 1;
        if at_reflected < best {
            let expanded = along(-2.0, &simplex);
            let at_expanded = value(&expanded);
            evaluations += 1;
            simplex[n] = if at_expanded < at_reflected { (expanded, at_expanded) } else { (reflected, at_reflected) };
        } else if at_reflected < simplex[n - 1].1 {
            simplex[n] = (reflected, at_reflected);
        } else {
            let contracted = along(if at_reflected < worst { -0.5 } else { 0.5 }, &simplex);
            let at_contracted = value(&contracted);
            evaluations += 1;
            if at_contracted < worst.min(at_reflected) {
                simplex[n] = (contracted, at_contracted);
            } else {
                let anchor = simplex[0].0.clone();
                for vertex in &mut simplex[1..] {
                    for (x, a) in vertex.0.iter_mut().zip(&anchor) {
                        *x = a + 0.5 * (*x - a);
                    }
                    vertex.1 = value(&vertex.0);
                }
                evaluations += n;
            }
        }
    }
    simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
    let (at, value) = simplex.swap_remove(0);
    Minimum { at, value, converged }
}
