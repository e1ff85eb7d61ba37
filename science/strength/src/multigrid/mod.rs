//! Linear algebra of elasticity on cubic lattices: trilinear systems, their multigrid hierarchy, and conjugate gradients.
//!
//! A [`TrilinearSystem`] (cells, patches, supports) becomes a [`Hierarchy`]: levels of doubled spacing by exact Galerkin products, a Chebyshev
//! smoother over block-Jacobi, a direct solve at the bottom. One symmetric V-cycle preconditions [`flexible_cg`]; [`TrilinearSolver`] puts both
//! together. Knows no bodies, surfaces or stress. Equations, sources and limits: docs/methods/strength.md.

mod blocks;
mod coarse_patches;
mod coarsen;
mod direct;
mod element;
mod error;
mod hierarchy;
mod inclusions;
mod krylov;
mod lanes;
mod necks;
mod nodes;
mod operator;
mod parts;
mod polynomial;
mod real;
mod smooth;
mod spectrum;
mod split;
mod sweep;
mod system;
#[cfg(test)]
mod tests;
mod transfer;
mod trilinear;

pub use element::cube_stiffness;
pub use error::SolveError;
pub use hierarchy::Hierarchy;
pub use krylov::{Convergence, LinearOperator, Preconditioner, flexible_cg};
pub use lanes::Lanes;
pub use operator::LevelOperator;
pub(crate) use polynomial::{ON_QUADRATIC, Step};
pub use real::Real;
pub(crate) use spectrum::largest;
pub use system::{CellMatrix, FixedNode, Patch, PatchMatrix, TrilinearField, TrilinearSystem, packed, packed_len};
pub use trilinear::{Effort, TrilinearSolver};
