//! Weights at places of a cell carried over to its 125 Gauss points, so that all moments up to degree 4 in each direction are kept.

use super::V;
use crate::solve::basis::lagrange;
use simd::{Simd, WithSimd};

/// Adds weights at places to the 125 points. A struct and no closure, which would be compiled without the machine's vectors.
pub(super) struct Spread<'a> {
    pub weights: &'a mut [f64; 125],
    pub places: &'a [(V, f64)],
}

impl WithSimd for Spread<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        for (at, weight) in self.places {
            let (x, y, z) = (lagrange(at[0]), lagrange(at[1]), lagrange(at[2]));
            let mut plane = [0.0; 25];
            for (row, y) in plane.chunks_exact_mut(5).zip(y) {
                for (p, x) in row.iter_mut().zip(x) {
                    *p = weight * y * x;
                }
            }
            for (sums, z) in self.weights.chunks_exact_mut(25).zip(z) {
                for (sum, p) in sums.iter_mut().zip(&plane) {
                    *sum += z * p;
                }
            }
        }
    }
}
