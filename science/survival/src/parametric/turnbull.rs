//! Survival without a law where events lie between looks: the nonparametric maximum likelihood of Turnbull.
//!
//! Mass can only lie in the innermost intervals (a left end followed by a right end); its amounts are found by self-consistency (EM). Where within an interval it lies is
//! not known. Turnbull 1976, J R Stat Soc B 38:290-295, doi 10.1111/j.2517-6161.1976.tb01597.x. Limits: no errors are given (the usual ones do not hold: Groeneboom, Wellner
//! 1992); EM is exact to `tolerance` in the log likelihood's gradient, and slow beyond some thousand rows.

use super::Span;
use serde::Serialize;

/// EM steps after which the curve no longer moves in any digit of use.
const STEPS: usize = 200_000;
/// Largest excess of the gradient over its bound (Gentleman, Geyer 1994, Biometrika 81:618-623, doi 10.1093/biomet/81.3.618).
const TOLERANCE: f64 = 1e-7;

/// An interval that holds mass.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MassPoint {
    /// After this time,
    pub low: f64,
    /// and not after this one (infinite: never seen to happen).
    pub high: f64,
    /// Share of events in it.
    pub mass: f64,
}

/// The estimate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Npmle {
    /// Intervals, ascending.
    pub points: Vec<MassPoint>,
    /// EM steps taken.
    pub steps: usize,
    /// Whether the gradient condition was met.
    pub settled: bool,
}

impl Npmle {
    /// Survival at a time with each mass at the middle of its interval.
    pub fn survival(&self, time: f64) -> f64 {
        let after = |p: &&MassPoint| 0.5 * (p.low + p.high) > time;
        self.points.iter().filter(after).map(|p| p.mass).sum()
    }
}

/// Estimates from spans with weights (1 each where none are given).
pub fn turnbull(spans: &[Span], weights: Option<&[f64]>) -> Npmle {
    let bounds: Vec<(f64, f64)> = spans.iter().map(|s| s.bounds()).collect();
    let cells = innermost(&bounds);
    let w = |row: usize| weights.map_or(1.0, |w| w[row]);
    let total: f64 = (0..bounds.len()).map(w).sum();
    // Cells of a row are consecutive.
    let ranges: Vec<(usize, usize)> = bounds
        .iter()
        .map(|&(a, b)| {
            // A row known to end after `a` does not hold the exact time `a` itself.
            let exact_at_start = |c: &(f64, f64)| a < b && c.0 == a && c.1 == a;
            let inside = |c: &(f64, f64)| c.0 >= a && c.1 <= b && !exact_at_start(c);
            let first = cells.iter().position(inside).unwrap_or(0);
            (first, cells.iter().rposition(inside).map_or(first, |l| l + 1))
        })
        .collect();
    let mut mass = vec![1.0 / cells.len().max(1) as f64; cells.len()];
    let (mut steps, mut settled) = (0, false);
    while steps < STEPS && !settled {
        steps += 1;
        let mut gradient = vec![0.0; cells.len() + 1];
        for (row, &(first, end)) in ranges.iter().enumerate() {
            let own: f64 = mass[first..end].iter().sum();
            if own > 0.0 {
                gradient[first] += w(row) / own;
                gradient[end] -= w(row) / own;
            }
        }
        let mut running = 0.0;
        settled = true;
        for (m, g) in mass.iter_mut().zip(&gradient) {
            running += g;
            let ratio = running / total;
            // At the maximum the ratio is 1 where there is mass and at most 1 elsewhere.
            settled &= ratio <= 1.0 + TOLERANCE;
            *m *= ratio;
        }
    }
    let points = cells.iter().zip(&mass).map(|(&(low, high), &mass)| MassPoint { low, high, mass }).collect();
    Npmle { points, steps, settled }
}

/// Left ends followed by a right end with no other end between; an exact time is closed on both sides.
fn innermost(bounds: &[(f64, f64)]) -> Vec<(f64, f64)> {
    // Order at a tie: right ends of (a, b] before left ends at b; left ends of exact times first of all.
    let mut ends: Vec<(f64, u8, f64)> = Vec::new();
    for &(a, b) in bounds {
        ends.push((a, if a == b { 0 } else { 2 }, a));
        ends.push((b, 1, b));
    }
    ends.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    let mut cells: Vec<(f64, f64)> = Vec::new();
    for pair in ends.windows(2) {
        if pair[0].1 != 1 && pair[1].1 == 1 {
            cells.push((pair[0].2, pair[1].2));
        }
    }
    cells.dedup();
    cells
}
