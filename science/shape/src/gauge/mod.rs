//! What can be measured on triangle surfaces.

mod between;
mod convergence;
mod cut;
mod path;
mod spots;
mod thickness;
mod undercut;

pub use between::{Deviation, Statistics, between};
pub use convergence::{Convergence, convergence};
pub use cut::cut;
pub use path::{Smallest, Stop, sections_along, smallest_section};
pub use spots::{Spot, spots_below};
pub use thickness::{Thickness, thickness_at_facets, thickness_at_points};
pub use undercut::{Undercut, Withdrawal, best_direction, undercut};
