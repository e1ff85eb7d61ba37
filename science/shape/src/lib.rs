//! Solids by signed distance, and what can be measured on them.
//!
//! - a [`Solid`] answers with its signed distance (negative inside), gradient and bound;
//! - bodies: [`Ball`], [`Block`], [`Ellipsoid`], [`Cylinder`], [`Capsule`], [`Frustum`];
//! - joined, cut, grown, moved: [`Union`], [`Intersection`], [`Difference`], [`Offset`], [`Placed`];
//! - as numbers on a lattice: [`Field`] (distances, volume, area, largest drafted part);
//! - measured: [`measure`] (volume, area with error), [`section`] (area, height, width, second moment, modulus).
//!
//! Lengths carry the caller's unit (mm throughout the house).

mod combine;
mod field;
mod measures;
mod motion;
mod primitives;
mod revolved;
mod section;
mod solid;
mod vector;

pub use combine::{Difference, Intersection, Offset, Union};
pub use field::Field;
pub use measures::{Measured, Measures, measure};
pub use motion::{Motion, Placed};
pub use primitives::{Ball, Block, Capsule, Ellipsoid};
pub use revolved::{Cylinder, Frustum};
pub use section::{Plane, Section, section};
pub use solid::{Aabb, STEEPEST, ShapeError, Solid};
