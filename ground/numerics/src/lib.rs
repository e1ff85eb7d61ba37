//! Numbers and nothing else: special functions, quadrature, roots, optima, small dense algebra, ordered sums.
//!
//! Functions take plain `f64` arguments; those outside a function's domain give `NaN` unless said otherwise. Accuracy is
//! tested against tables of a multi-precision library in `tests/`.

pub mod beta;
pub mod dense;
pub mod gamma;
pub mod gauss;
pub mod interpolate;
pub mod minimise;
pub mod normal;
pub mod root;
pub mod student;
pub mod sum;
