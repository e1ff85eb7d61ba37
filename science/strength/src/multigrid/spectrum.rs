//! Largest eigenvalue of D^-1 A, which scales the polynomial smoothers: told from below, so whoever uses it adds a reserve.
//!
//! Conjugate gradients on A preconditioned by D from a fixed start; their coefficients are the Lanczos matrix of D^-1 A, whose largest eigenvalue approaches that of
//! D^-1 A from below within a few steps (Golub, Van Loan, Matrix computations, memory). Power iteration took a hundred steps where cut cells spread the upper end of the
//! spectrum: after twelve it was up to a fifth too low, and the smoother was then not positive.

use super::parts::sum_blocks;

/// Steps: within 5 % on cut cells.
const STEPS: usize = 12;

/// Of vectors of `n` unknowns, those in `held` left out; `product` and `precondition` (D^-1) must leave them 0.
pub(crate) fn largest(
    n: usize,
    held: impl Iterator<Item = usize>,
    mut product: impl FnMut(&[f32], &mut [f32]),
    mut precondition: impl FnMut(&[f32], &mut [f32]),
) -> f64 {
    let mut r: Vec<f32> =
        (0..n as u32).map(|k| (k.wrapping_mul(2_654_435_761) >> 8) as f32 / 8_388_608.0 - 1.0).collect();
    held.for_each(|at| r[at] = 0.0);
    let (mut z, mut p, mut q) = (vec![0.0f32; n], vec![0.0f32; n], vec![0.0f32; n]);
    let (mut diagonal, mut beside) = (vec![], vec![]);
    let (mut before, mut carried) = (0.0, 0.0);
    for step in 0..STEPS {
        precondition(&r, &mut z);
        let rz = dot(&r, &z);
        if rz <= 0.0 || !rz.is_finite() {
            break;
        }
        let keep = if step == 0 { 0.0 } else { rz / before };
        if step > 0 {
            beside.push(keep.sqrt() * carried);
        }
        p.iter_mut().zip(&z).for_each(|(p, z)| *p = z + keep as f32 * *p);
        product(&p, &mut q);
        let curvature = dot(&p, &q);
        if curvature <= 0.0 || !curvature.is_finite() {
            beside.truncate(diagonal.len().saturating_sub(1));
            break;
        }
        diagonal.push(curvature / rz + keep * carried);
        let along = rz / curvature;
        r.iter_mut().zip(&q).for_each(|(r, q)| *r -= along as f32 * q);
        (before, carried) = (rz, 1.0 / along);
    }
    if diagonal.is_empty() { 1.0 } else { top(&diagonal, &beside) }
}

fn dot(a: &[f32], b: &[f32]) -> f64 {
    sum_blocks(a.len(), |range| {
        a[range.clone()].iter().zip(&b[range]).map(|(x, y)| f64::from(*x) * f64::from(*y)).sum()
    })
}

/// Largest eigenvalue of a symmetric tridiagonal matrix, by halving between bounds with Sturm's sequence.
fn top(diagonal: &[f64], beside: &[f64]) -> f64 {
    let off = |k: usize| beside.get(k).map_or(0.0, |b| b.abs());
    let reach = |k: usize| off(k) + if k > 0 { off(k - 1) } else { 0.0 };
    let mut low = diagonal.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let mut high = diagonal.iter().enumerate().map(|(k, d)| d + reach(k)).fold(low, f64::max);
    let is_above_all = |x: f64| {
        let mut pivot = 1.0;
        diagonal.iter().enumerate().all(|(k, d)| {
            let square = if k > 0 { off(k - 1).powi(2) } else { 0.0 };
            pivot = x - d - square / pivot;
            pivot > 0.0
        })
    };
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if is_above_all(middle) { high = middle } else { low = middle }
    }
    high
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chain_of_springs_has_its_known_top() {
        // Stiffness 2, -1 of n links: 2 + 2 cos(pi / (n + 1)).
        let n = 9;
        let found = top(&vec![2.0; n], &vec![-1.0; n - 1]);
        let exact = 2.0 + 2.0 * libm::cos(std::f64::consts::PI / (n as f64 + 1.0));
        assert!((found - exact).abs() < 1e-12, "{found} for {exact}");
    }

    #[test]
    fn the_top_of_a_spread_spectrum_is_found_from_below_and_within_the_reserve() {
        // Diagonal matrices with a dense upper end, where power iteration is slow.
        for n in [3usize, 50, 20_000] {
            let value = |k: usize| 3.0 * (k as f64 + 1.0) / n as f64;
            let product = |x: &[f32], y: &mut [f32]| {
                y.iter_mut().zip(x).enumerate().for_each(|(k, (y, x))| *y = value(k) as f32 * x);
            };
            let found = largest(n, std::iter::empty(), product, |r, z| z.copy_from_slice(r));
            assert!(found <= 3.0 * (1.0 + 1e-5) && found > 3.0 * 0.97, "{found} of {n}");
        }
    }

    #[test]
    fn what_is_held_does_not_count() {
        let product = |x: &[f32], y: &mut [f32]| {
            (y[0], y[1], y[2]) = (0.0, 2.0 * x[1], x[2]);
        };
        let found = largest(3, std::iter::once(0), product, |r, z| z.copy_from_slice(r));
        assert!((found - 2.0).abs() < 1e-4, "{found}");
    }
}
