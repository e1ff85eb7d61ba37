//! The mean risk of a normal ln hazard as a table, for use draw by draw.
//!
//! L(u, s) = ln(-ln E exp(-exp(u + s Z))), Z standard normal, on a grid of 0.25 in u and 0.125 in s from a 64-node Gauss-Hermite rule. Between
//! the nodes: cubic Hermite in u (exact slopes), four-point Lagrange in s. Value and slope belong together, so a level solved on the table
//! is met again by it to rounding. Against the rule itself: tests/anchor.rs. Range: u -80..30, s 0..8; beyond, the ends in s, the small-hazard
//! line u + s^2/2 below and certainty above.

use crate::anchor::{MeanRisk, Quadrature};
use rayon::prelude::*;

const U_FIRST: f64 = -80.0;
const U_STEP: f64 = 0.25;
const U_COUNT: usize = 441;
const S_STEP: f64 = 0.125;
const S_COUNT: usize = 65;

/// Table of the mean risk; about 460 kB, made in some 20 ms.
#[derive(Debug, Clone)]
pub struct RiskTable {
    /// (L, dL/du), s by s.
    nodes: Vec<(f64, f64)>,
}

impl Default for RiskTable {
    fn default() -> Self {
        Self::of(&Quadrature::with_nodes(64))
    }
}

impl RiskTable {
    /// From a rule.
    pub fn of(rule: &Quadrature) -> Self {
        let node = |n: usize| {
            let (u, s) = (U_FIRST + U_STEP * (n % U_COUNT) as f64, S_STEP * (n / U_COUNT) as f64);
            let (risk, slope) = rule.risk(u, s);
            let hazard = -(-risk).ln_1p();
            let usable = risk > 0.0 && risk < 1.0 && hazard > 0.0;
            if usable { (hazard.ln(), slope / ((1.0 - risk) * hazard)) } else { (u + 0.5 * s * s, 1.0) }
        };
        let nodes = (0..U_COUNT * S_COUNT).into_par_iter().map(node).collect();
        Self { nodes }
    }

    /// L and dL/du on one line of the grid.
    fn line(&self, j: usize, i: usize, t: f64) -> (f64, f64) {
        let (a, b) = (self.nodes[j * U_COUNT + i], self.nodes[j * U_COUNT + i + 1]);
        let (t2, t3) = (t * t, t * t * t);
        let value = (2.0 * t3 - 3.0 * t2 + 1.0) * a.0
            + U_STEP * (t3 - 2.0 * t2 + t) * a.1
            + (3.0 * t2 - 2.0 * t3) * b.0
            + U_STEP * (t3 - t2) * b.1;
        let slope =
            6.0 * (t2 - t) * (a.0 - b.0) / U_STEP + (3.0 * t2 - 4.0 * t + 1.0) * a.1 + (3.0 * t2 - 2.0 * t) * b.1;
        (value, slope)
    }
}

impl MeanRisk for RiskTable {
    fn risk(&self, u: f64, s: f64) -> (f64, f64) {
        let last = U_FIRST + U_STEP * (U_COUNT - 1) as f64;
        let s = s.clamp(0.0, S_STEP * (S_COUNT - 1) as f64);
        if u.is_nan() || u >= last {
            return (1.0, 0.0);
        }
        let (level, slope) = if u <= U_FIRST {
            (u + 0.5 * s * s, 1.0)
        } else {
            let place = (u - U_FIRST) / U_STEP;
            let i = (place as usize).min(U_COUNT - 2);
            let t = place - i as f64;
            let first = ((s / S_STEP) as usize).saturating_sub(1).min(S_COUNT - 4);
            let x = s / S_STEP - first as f64;
            let weights = [
                -(x - 1.0) * (x - 2.0) * (x - 3.0) / 6.0,
                x * (x - 2.0) * (x - 3.0) / 2.0,
                -x * (x - 1.0) * (x - 3.0) / 2.0,
                x * (x - 1.0) * (x - 2.0) / 6.0,
            ];
            let mut sum = (0.0, 0.0);
            for (d, w) in weights.into_iter().enumerate() {
                let (value, slope) = self.line(first + d, i, t);
                sum = (sum.0 + w * value, sum.1 + w * slope);
            }
            sum
        };
        let hazard = level.exp();
        let survival = (-hazard).exp();
        (-(-hazard).exp_m1(), survival * hazard * slope)
    }
}
