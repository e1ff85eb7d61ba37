//! Linear elasticity with initial strain on solids, by quadratic cells of one cubic lattice cut by the true surface.
//!
//! Find u minimising 1/2 integral (eps(u) - eps0) : C (eps(u) - eps0) dV - integral t . u dA over each body on its active cells (27 nodes each; every
//! body has its own field). A [`Model`] becomes a [`Prepared`] (cut and set up once), that gives a [`Solution`] for every load case; a [`Zoom`] solves a box again
//! with smaller cells. Touching bodies join by [`Interface`]s only. Equations, sources and limits: docs/methods/strength.md.
//!
//! Lengths mm, forces N, moduli and stresses MPa. Small strains, isotropic materials; features thinner than a quarter of a cell may be missed,
//! both sides of a slot move by themselves however narrow it is, but for the cell its root lies in.

mod basis;
mod batch;
mod charts;
mod coarse;
mod composite;
mod cut;
mod diagonal;
mod driven;
mod error;
mod everywhere;
mod ghost;
mod inside;
mod joined;
mod joint;
mod joint_product;
mod kernel;
mod lattice;
mod links;
mod members;
mod mixing;
mod model;
mod operator;
mod recover;
mod right_side;
mod ringed;
mod slabs;
mod solver;
mod thin;
mod two_level;
mod whole;
mod zoom;

pub use composite::Composite;
pub use error::ModelError;
pub use everywhere::Everywhere;
pub use model::{Body, Bond, Given, Group, Interface, Load, LoadCase, Material, Model, Push, Support, Zoom};
pub use recover::{GroupStress, InterfacePoint, Local, SurfacePoint, principal};
pub use solver::{Measures, Prepared, Solution};
