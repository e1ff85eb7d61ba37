//! Chebyshev polynomials of the fourth kind with optimised weights, the one smoother of all levels.
//!
//! With D a block diagonal and L >= largest eigenvalue of D^-1 A:
//! z_i = (2i-3)/(2i+1) z_{i-1} + (8i-4)/(2i+1) / L D^-1 r_{i-1}, x_i = x_{i-1} + beta_i z_i, r_i = r_{i-1} - A z_i.
//! It needs no lower bound of the spectrum and is a polynomial in D^-1 A, so the same sweep before and after the coarse correction gives a
//! symmetric cycle. Source: Lottes 2023, Numer. Linear Algebra Appl. 30(6) e2518, 10.1002/nla.2518; weights as tabulated by
//! Phillips, Fischer 2022, arXiv 2210.03179.

/// A step: what is kept of the last correction, taken of the preconditioned residual, and the weight of the new correction.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    pub keep: f32,
    pub take: f32,
    pub weight: f32,
}

/// The polynomial of degree 3, weights beta.
pub(crate) const STEPS: [Step; 3] = [step(1, 1.00842544782028), step(2, 1.08867839208730), step(3, 1.33753125909618)];

const fn step(number: u8, weight: f32) -> Step {
    let i = number as f32;
    let keep = if number == 1 { 0.0 } else { (2.0 * i - 3.0) / (2.0 * i + 1.0) };
    Step { keep, take: (8.0 * i - 4.0) / (2.0 * i + 1.0), weight }
}
