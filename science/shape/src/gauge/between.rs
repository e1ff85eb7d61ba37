//! Distance from one surface to another, with sign, and its statistics weighted by area.
//!
//! At each place of the measured surface: nearest place of the reference, positive on the side its normal points to. A place counts with a
//! third of the area of its facets, so that the fineness of the facets does not matter. One-way: swap the two for the other way.

use crate::solid::ShapeError;
use crate::surface::Surface;
use rayon::prelude::*;

/// Distances from one surface to another.
#[derive(Debug, Clone, PartialEq)]
pub struct Deviation {
    /// At each place of the measured surface.
    pub values: Vec<f64>,
    /// Their statistics.
    pub statistics: Statistics,
}

/// Statistics by area.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Statistics {
    /// Mean with sign.
    pub mean: f64,
    /// Mean size.
    pub mean_size: f64,
    /// Root of the mean square.
    pub rms: f64,
    /// 5 %, 50 % and 95 % quantiles with sign.
    pub quantiles: [f64; 3],
    /// Least and greatest.
    pub range: [f64; 2],
    /// Where the greatest size is.
    pub furthest: [f64; 3],
}

/// Signed distances of `measured` from `reference`. Errors when the measured surface has no area.
pub fn between(measured: &Surface, reference: &Surface) -> Result<Deviation, ShapeError> {
    let values: Vec<f64> = measured.points().par_iter().map(|p| reference.signed(*p).0).collect();
    let mut weights = vec![0.0; values.len()];
    for (f, corners) in measured.facets().iter().enumerate() {
        let third = measured.facet_area(f as u32) / 3.0;
        for v in corners {
            weights[*v as usize] += third;
        }
    }
    let whole: f64 = weights.iter().sum();
    if whole <= 0.0 {
        return Err(ShapeError::Empty);
    }
    let mean = |of: &dyn Fn(f64) -> f64| values.iter().zip(&weights).map(|(v, w)| w * of(*v)).sum::<f64>() / whole;
    let mut order: Vec<usize> = (0..values.len()).filter(|i| weights[*i] > 0.0).collect();
    order.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let quantile = |q: f64| {
        let mut sum = 0.0;
        let at = order.iter().find(|i| {
            sum += weights[**i];
            sum >= q * whole
        });
        at.or(order.last()).map_or(0.0, |i| values[*i])
    };
    let (first, last) = (order[0], order[order.len() - 1]);
    let furthest = if values[first].abs() > values[last].abs() { first } else { last };
    let statistics = Statistics {
        mean: mean(&|v| v),
        mean_size: mean(&f64::abs),
        rms: mean(&|v| v * v).sqrt(),
        quantiles: [0.05, 0.5, 0.95].map(quantile),
        range: [values[first], values[last]],
        furthest: measured.points()[furthest],
    };
    Ok(Deviation { values, statistics })
}
