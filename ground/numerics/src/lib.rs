//! Numbers that everything else rests on: special functions and distributions with their tails, quadrature, roots and optima, small
//! dense algebra, sums in fixed order, interpolation. Pure functions of `f64`; no state, no randomness, no units.
//!
//! An argument outside a function's range gives NaN (as the C library does), never a panic; functions that can fail for another
//! reason return a `Result`.
//!
//! Checked against 50-digit tables (`tests/reference`), tails included.

pub mod beta;
mod chebyshev;
pub mod chi_square;
pub mod counts;
pub mod dense;
pub mod erf;
pub mod gamma;
pub mod gauss;
pub mod interpolate;
pub mod minimise;
pub mod normal;
pub mod root;
mod stirling;
pub mod student_t;
pub mod sum;
