//! Linear elasticity with initial strain on solids, by quadratic cells of one cubic lattice cut by the true surface.
//!
//! Find u minimising 1/2 integral (eps(u) - eps0) : C (eps(u) - eps0) dV - integral t . u dA over each body on its active cells (27 nodes each; every
//! body has its own field). Given displacements hold weakly (Nitsche), faces beside cut cells carry a penalty on the jumps of first and
//! second normal derivatives (ghost penalty, Burman 2010, C R Math 348:1217-1220, memory), touching bodies join by stiffness per area.
//! Lengths mm, forces N, moduli and stresses MPa. Limits: small strains, isotropic materials; features under a cell are not resolved.

mod basis;
mod error;
mod forms;
mod ghost;
mod lattice;
mod model;
mod operator;
mod quadrature;
mod recover;
mod solver;
#[cfg(test)]
mod tests;

pub use error::ModelError;
pub use model::{Body, Given, Interface, Load, Material, Model, Support};
pub use recover::SurfacePoint;
pub use solver::{Measures, Prepared, Solution};
