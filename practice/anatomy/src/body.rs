//! Bodies that the parts of a tooth or a restoration are kept as: a lattice of distances, a formula, a mirror image.
//!
//! All answer as `shape::Solid`, so that a solver can solve them, a contour can mesh them and a gauge can measure them.

use rayon::prelude::*;
use shape::{Aabb, Field, ShapeError, Solid};
use std::sync::Arc;

/// Any part, cheap to share.
pub type Part = Arc<dyn Solid>;

/// A body by distances on a lattice: trilinear between nodes, its normals taken over one cell so that they turn gently.
///
/// Features thinner than a cell are lost; edges are rounded by about half a cell.
#[derive(Debug, Clone)]
pub struct LatticeBody {
    field: Field,
    bound: Aabb,
}

impl LatticeBody {
    /// From a field that is right in its zero; `bound` must hold the body and lie in the lattice.
    pub fn new(field: &Field, bound: Aabb) -> Self {
        Self { field: field.redistanced(), bound }
    }

    /// Any solid, sampled.
    ///
    /// # Errors
    /// As [`Field::of_columns`].
    pub fn of(solid: &dyn Solid, cell: f64) -> Result<Self, ShapeError> {
        let bound = solid.bound();
        Ok(Self::new(&sampled(solid, cell)?, bound))
    }

    /// Its distances.
    pub fn field(&self) -> &Field {
        &self.field
    }

    /// Volume, mm3.
    pub fn volume(&self) -> f64 {
        self.field.volume()
    }
}

/// Distances of a solid on a lattice, asked for by all threads.
pub(crate) fn sampled(solid: &dyn Solid, cell: f64) -> Result<Field, ShapeError> {
    let empty = Field::of_columns(&solid.bound(), cell, |_, _| (), |(), _| 0.0)?;
    let place = |n: usize| crate::preparation::place(&empty, n);
    let values: Vec<f64> = (0..empty.values().len()).into_par_iter().map(|n| solid.distance(place(n))).collect();
    Ok(empty.map(|n, _| values[n]))
}

impl Solid for LatticeBody {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.field.value(p)
    }

    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        over_step(|q| self.field.value(q), p, 0.5 * self.field.cell())
    }

    fn bound(&self) -> Aabb {
        self.bound
    }
}

/// A body by a formula of its parts; the formula must not grow faster than `shape::STEEPEST` times the distance.
#[derive(Clone)]
pub struct Formula {
    value: Arc<dyn Fn([f64; 3]) -> f64 + Send + Sync>,
    bound: Aabb,
}

impl Formula {
    /// Value below 0 inside; nothing of the body lies outside `bound`.
    pub fn new(bound: Aabb, value: impl Fn([f64; 3]) -> f64 + Send + Sync + 'static) -> Self {
        Self { value: Arc::new(value), bound }
    }
}

impl Solid for Formula {
    fn distance(&self, p: [f64; 3]) -> f64 {
        (self.value)(p)
    }

    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        over_step(|q| (self.value)(q), p, 0.02)
    }

    fn bound(&self) -> Aabb {
        self.bound
    }
}

/// The mirror image of a body: x turned round.
#[derive(Debug, Clone)]
pub struct Mirrored<A>(
    /// The body.
    pub A,
);

impl<A: Solid> Solid for Mirrored<A> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        self.0.distance(mirrored(p))
    }

    fn gradient(&self, p: [f64; 3]) -> [f64; 3] {
        mirrored(self.0.gradient(mirrored(p)))
    }

    fn bound(&self) -> Aabb {
        let Aabb { low, high } = self.0.bound();
        Aabb { low: [-high[0], low[1], low[2]], high: [-low[0], high[1], high[2]] }
    }
}

/// A place in the mirror.
pub(crate) fn mirrored([x, y, z]: [f64; 3]) -> [f64; 3] {
    [-x, y, z]
}

fn over_step(value: impl Fn([f64; 3]) -> f64, p: [f64; 3], step: f64) -> [f64; 3] {
    std::array::from_fn(|a| {
        let (mut low, mut high) = (p, p);
        low[a] -= step;
        high[a] += step;
        (value(high) - value(low)) / (2.0 * step)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use shape::Ball;

    #[test]
    fn a_sampled_ball_keeps_its_volume_and_mirrors() {
        let ball = Ball::new([1.0, 0.0, 0.5], 2.0).unwrap();
        let body = LatticeBody::of(&ball, 0.2).unwrap();
        // Second order in the cell: 0.2^2 / (2 * 2^2) of the volume, 0.5 %.
        assert!((body.volume() / (32.0 / 3.0 * std::f64::consts::PI) - 1.0).abs() < 5e-3);
        let there = Mirrored(body.clone());
        assert_eq!(there.distance([-1.3, 0.4, 0.5]), body.distance([1.3, 0.4, 0.5]));
        assert_eq!(there.bound().high[0], 1.0);
    }
}
