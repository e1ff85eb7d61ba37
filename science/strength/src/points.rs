//! Gauss-Legendre points of an interval.

use numerics::gauss;

/// `n` points between `low` and `high`: (place, weight).
pub(crate) fn points(n: usize, low: f64, high: f64) -> impl Iterator<Item = (f64, f64)> {
    let rule = gauss::legendre(n).on(low, high);
    rule.nodes.into_iter().zip(rule.weights)
}
