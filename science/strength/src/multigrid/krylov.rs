//! Flexible conjugate gradients in f64 with any symmetric preconditioner.
//!
//! p = z - (z . A p) / (p . A p) p: each direction is made conjugate to the one before by the product itself, which tolerates that the
//! preconditioner works in f32.
//! Source: Notay 2000, SIAM J. Sci. Comput. 22(4) 1444-1460, 10.1137/S1064827599362314.

use rayon::prelude::*;

use super::error::SolveError;
use super::parts::{dot, lanes};

/// A symmetric positive definite operator.
pub trait LinearOperator {
    /// Length of its vectors.
    fn unknowns(&self) -> usize;
    /// y = A x.
    fn apply(&self, x: &[f64], y: &mut [f64]);
}

/// An approximate inverse, symmetric and positive definite up to rounding.
pub trait Preconditioner {
    /// z = M^-1 r.
    fn apply(&mut self, r: &[f64], z: &mut [f64]);
}

/// How an iteration ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Convergence {
    /// Iterations made.
    pub iterations: usize,
    /// Norm of the residual over that of the right side: at the start, after each iteration by the recurrence, and last of all as computed anew.
    pub history: Vec<f64>,
}

impl Convergence {
    /// Norm of the residual over that of the right side at the end.
    pub fn reached(&self) -> f64 {
        self.history.last().copied().unwrap_or(0.0)
    }
}

/// Solves A x = b from the start in `x` until the residual, computed anew from `x`, is at most 1.1 `tolerance` times the right side.
///
/// # Errors
/// [`SolveError::NotConverged`] after `most` iterations, [`SolveError::Indefinite`] where A or M is not positive,
/// [`SolveError::NotFinite`], [`SolveError::Length`], [`SolveError::Interrupted`]. `x` is then not to be used.
pub fn flexible_cg(
    a: &dyn LinearOperator,
    m: &mut dyn Preconditioner,
    b: &[f64],
    x: &mut [f64],
    tolerance: f64,
    most: usize,
    progress: &dyn answer::Progress,
) -> Result<Convergence, SolveError> {
    let n = a.unknowns();
    for (what, found) in [("right side", b.len()), ("start", x.len())] {
        if found != n {
            return Err(SolveError::Length { what, found, expected: n });
        }
    }
    let scale = dot(b, b).sqrt();
    if !scale.is_finite() {
        return Err(SolveError::NotFinite { what: "the load" });
    }
    if scale == 0.0 {
        x.fill(0.0);
        return Ok(Convergence { iterations: 0, history: vec![0.0] });
    }
    // The residual is kept in units of |b|, so that the levels in f32 neither overflow nor underflow.
    let unit = 1.0 / scale;
    let mut r: Vec<f64> = b.iter().map(|v| v * unit).collect();
    let mut q = vec![0.0; n];
    let mut z = vec![0.0; n];
    let mut p = vec![0.0; n];
    if x.iter().any(|v| *v != 0.0) {
        true_residual(a, [b, x], unit, &mut q, &mut r);
    }
    let mut reached = dot(&r, &r).sqrt();
    let mut history = vec![reached];
    let mut curvature = 1.0;
    let (mut fresh, mut restarts) = (true, 0);
    for iteration in 1..=most + 1 {
        if !reached.is_finite() {
            return Err(SolveError::NotFinite { what: "the residual" });
        }
        if reached <= tolerance {
            reached = true_residual(a, [b, x], unit, &mut q, &mut r);
            if reached <= DRIFT * tolerance {
                history.push(reached);
                return Ok(Convergence { iterations: iteration - 1, history });
            }
            fresh = true;
            restarts += 1;
        }
        if iteration > most || restarts > RESTARTS {
            break;
        }
        progress.check(percent(history[0], reached, tolerance), 100)?;
        m.apply(&r, &mut z);
        let rz = dot(&r, &z);
        if !(rz.is_finite() && rz > 0.0) {
            return Err(SolveError::Indefinite { iteration, what: "residual times correction", found: rz });
        }
        let beta = if fresh { 0.0 } else { -dot(&z, &q) / curvature };
        p.par_iter_mut().zip(&z).with_min_len(BLOCK).for_each(|(p, z)| *p = z + beta * *p);
        fresh = false;
        a.apply(&p, &mut q);
        curvature = dot(&p, &q);
        if !(curvature.is_finite() && curvature > 0.0) {
            return Err(SolveError::Indefinite { iteration, what: "direction times stiffness", found: curvature });
        }
        reached = advance(rz / curvature, scale, [&p, &q], x, &mut r).sqrt();
        history.push(reached);
    }
    Err(SolveError::NotConverged { iterations: history.len() - 1, reached, wanted: tolerance })
}

/// The residual itself may be this many times the one the recurrence tells.
const DRIFT: f64 = 1.1;
/// Fresh starts from the true residual before an iteration that stagnates by rounding is given up.
const RESTARTS: usize = 3;

/// r = (b - A x) unit; its norm.
fn true_residual(a: &dyn LinearOperator, [b, x]: [&[f64]; 2], unit: f64, q: &mut [f64], r: &mut [f64]) -> f64 {
    a.apply(x, q);
    r.par_iter_mut().zip(b).zip(&*q).with_min_len(BLOCK).for_each(|((r, b), q)| *r = (b - q) * unit);
    dot(r, r).sqrt()
}

/// Numbers a thread takes at once.
const BLOCK: usize = 8_192;

/// x += step scale p, r -= step q; the squared norm of the new r.
fn advance(step: f64, scale: f64, [p, q]: [&[f64]; 2], x: &mut [f64], r: &mut [f64]) -> f64 {
    let along = step * scale;
    let parts: Vec<f64> = x
        .par_chunks_mut(BLOCK)
        .zip(r.par_chunks_mut(BLOCK))
        .zip(p.par_chunks(BLOCK).zip(q.par_chunks(BLOCK)))
        .map(|((x, r), (p, q))| {
            x.iter_mut().zip(p).for_each(|(x, p)| *x += along * p);
            r.iter_mut().zip(q).for_each(|(r, q)| *r -= step * q);
            lanes(r, r)
        })
        .collect();
    parts.iter().sum()
}

/// How far the residual has come on a logarithmic scale, per cent.
fn percent(start: f64, reached: f64, tolerance: f64) -> usize {
    let whole = (start / tolerance).ln();
    if whole > 0.0 { (100.0 * (start / reached).ln() / whole).clamp(0.0, 99.0) as usize } else { 99 }
}
