//! Solids by signed distance, and what can be measured on them.
//!
//! - a [`Solid`] answers with its signed distance (negative inside), gradient and bound;
//! - bodies: [`Ball`], [`Block`], [`Ellipsoid`], [`Cylinder`], [`Capsule`], [`Frustum`], [`Torus`], [`HalfSpace`];
//! - from outlines, heights and curves: [`Extruded`], [`Revolved`], [`Heights`], [`Sweep`];
//! - joined, cut, grown, hollowed, moved: [`Union`], [`Intersection`], [`Difference`], [`Offset`], [`Shell`], [`Placed`];
//! - out of triangles: [`MeshSolid`]; fast however dear the body: [`Band`];
//! - as triangles: [`contour`] (closed, manifold), [`Surface`] (nearest place, rays, sides, normals);
//! - out of files: [`read`] (STL, PLY, OBJ, 3MF, told by content), looked over by [`inspect`], mended by [`repair`];
//! - measured on triangles: thickness, distance between surfaces, sections, convergence, undercut;
//! - laid on each other: [`by_places`], [`by_shape`], [`align`];
//! - as numbers on a lattice: [`Field`] (distances, volume, area, largest drafted part);
//! - measured: [`measure`] (volume, area with error), [`section`] (area, height, width, second moment, modulus).
//!
//! Lengths carry the caller's unit (mm throughout the house).

mod band;
mod combine;
mod contour;
mod eigen;
mod field;
mod fillet;
mod format;
mod gauge;
mod halfspace;
mod heights;
mod measures;
mod mesh;
mod meshed;
mod motion;
mod outline;
mod primitives;
mod register;
mod revolved;
mod section;
mod solid;
mod surface;
mod sweep;
mod vector;

pub use band::Band;
pub use combine::{Difference, Intersection, Offset, Shell, Union};
pub use contour::{Contour, contour};
pub use field::Field;
pub use format::{FileSpot, Format, Read, ReadError, ReadLimits, read};
pub use gauge::{
    Convergence, Deviation, Smallest, Spot, Statistics, Stop, Thickness, Undercut, Withdrawal, best_direction, between,
    convergence, cut, sections_along, smallest_section, spots_below, thickness_at_facets, thickness_at_points,
    undercut,
};
pub use halfspace::HalfSpace;
pub use heights::Heights;
pub use measures::{Measured, Measures, measure};
pub use mesh::{Action, Crossing, Flaws, Hole, Inspection, LengthUnit, Mesh, Repair, inspect, repair};
pub use meshed::MeshSolid;
pub use motion::{Motion, Placed};
pub use outline::{Extruded, Outline, Revolved};
pub use primitives::{Ball, Block, Capsule, Ellipsoid};
pub use register::{Aligned, Fit, Freedom, align, by_places, by_shape};
pub use revolved::{Cylinder, Frustum, Torus};
pub use section::{Plane, Section, section};
pub use solid::{Aabb, STEEPEST, ShapeError, Solid};
pub use surface::{Met, Nearest, Surface};
pub use sweep::{Station, Sweep};
