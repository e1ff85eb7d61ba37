//! Teeth, what a preparation takes from them, and what is built on them: forms of every tooth from published sizes, the largest
//! stump that leaves a restoration its room, answered per draw of `World`.
//!
//! | file | idea |
//! | --- | --- |
//! | `size` | average sizes of one tooth, mm |
//! | `form` | the outer form of a tooth as a solid: profiles by side, ridges and cusps |
//! | `pulp`, `chamber` | where the pulp begins under each surface and how age moves it; the pulp as a solid |
//! | `block` | the average tooth on a lattice: depth, surface, enamel, distance to the pulp at every place |
//! | `standing` | one standing tooth in every draw: sizes, finish line, wear, enamel, pulp |
//! | `needs` | the thickness a restoration needs on each surface, less the space there already is |
//! | `stump` | the largest stump for the needs, path and taper |
//! | `reduction` | crown less stump: share, depths, enamel and dentine left, wall height, bonding area |
//! | `room` | span of a gap and room for a connector |
//!
//! Knows nothing of materials, studies or colours, and touches no disk. Method, checks and limits: `docs/methods/anatomy.md`.

mod block;
mod chamber;
mod form;
mod needs;
mod pulp;
mod reduction;
mod room;
mod side;
mod size;
mod standing;
mod stump;

pub use form::{ROOT_STUB, ToothForm};
pub use needs::Needs;
pub use reduction::Reduction;
pub use room::{ConnectorRoom, connector_room, span};
pub use size::{SizeError, ToothSize};
pub use standing::{Seen, StandingTooth};
