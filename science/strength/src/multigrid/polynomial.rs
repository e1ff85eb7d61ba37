//! Chebyshev polynomials of the fourth kind with optimised weights, the one smoother of all levels.
//!
//! With D a block diagonal and L >= largest eigenvalue of D^-1 A:
//! z_i = (2i-3)/(2i+1) z_{i-1} + (8i-4)/(2i+1) / L D^-1 r_{i-1}, x_i = x_{i-1} + beta_i z_i, r_i = r_{i-1} - A z_i.
//! It needs no lower bound of the spectrum and is a polynomial in D^-1 A, so the same sweep before and after the coarse correction gives a
//! symmetric cycle. Source: Lottes 2023, Numer. Linear Algebra Appl. 30(6) e2518, 10.1002/nla.2518; weights as tabulated by
//! Phillips, Fischer 2022, arXiv 2210.03179 (read in three open solver libraries, which agree).

/// A step: what is kept of the last correction, taken of the preconditioned residual, and the weight of the new correction.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub keep: f32,
    pub take: f32,
    pub weight: f32,
}

/// On the levels of the lattice: degree 3.
pub(crate) const ON_LATTICE: [Step; 3] = steps([1.00842544782028, 1.08867839208730, 1.33753125909618]);

/// On the quadratic level: degree 7. What is slow there is the smoother (cut cells), not what lies beneath, and iterations fall as the degree rises at the same time in all.
pub(crate) const ON_QUADRATIC: [Step; 7] = steps([
    1.00083464397912,
    1.00843949430122,
    1.03008707768713,
    1.07408384092003,
    1.15036186707366,
    1.27116474046139,
    1.45186658649364,
]);

const fn steps<const N: usize>(weights: [f32; N]) -> [Step; N] {
    let mut out = [Step { keep: 0.0, take: 0.0, weight: 0.0 }; N];
    let mut n = 0;
    while n < N {
        let i = (n + 1) as f32;
        let keep = if n == 0 { 0.0 } else { (2.0 * i - 3.0) / (2.0 * i + 1.0) };
        out[n] = Step { keep, take: (8.0 * i - 4.0) / (2.0 * i + 1.0), weight: weights[n] };
        n += 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a sweep leaves of an error of eigenvalue `x` L.
    fn left(steps: &[Step], x: f64) -> f64 {
        let (mut z, mut u, mut r) = (0.0, 0.0, 1.0);
        for s in steps {
            z = f64::from(s.keep) * z + f64::from(s.take) * r;
            u += f64::from(s.weight) * z;
            r -= x * z;
        }
        1.0 - x * u
    }

    #[test]
    fn no_error_grows_up_to_the_reserve_and_higher_degrees_leave_less_of_slow_ones() {
        for (steps, reserve) in [(&ON_LATTICE[..], 1.11), (&ON_QUADRATIC[..], 1.04)] {
            for k in 1..=4000 {
                let x = reserve * f64::from(k) / 4000.0;
                assert!(left(steps, x).abs() < 1.0, "{x}");
            }
        }
        // The worst over the upper three quarters: the seventh degree leaves a third, the third half.
        let worst =
            |steps: &[Step]| (0..=1000).map(|k| left(steps, 0.05 + 0.00095 * f64::from(k)).abs()).fold(0.0, f64::max);
        assert!(worst(&ON_QUADRATIC) < 0.36 && worst(&ON_LATTICE) > 0.5);
    }
}
