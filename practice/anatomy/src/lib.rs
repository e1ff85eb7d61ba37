//! What a preparation takes from a tooth: simple solids of crown and pulp from average sizes with their scatter, cut by the
//! thickness a restoration needs, answered per draw of `World`.
//!
//! | file | idea |
//! | --- | --- |
//! | `size` | average sizes of one tooth, mm |
//! | `outline` | the crown's outline: half-widths by height, one profile a kind of tooth |
//! | `pulp` | where the pulp begins under each surface, and how age moves it |
//! | `standing` | one standing tooth in every draw: sizes, outline, enamel, pulp |
//! | `needs` | the thickness a restoration needs on each surface, less the space there already is |
//! | `reduction` | crown less stump: share, depths, enamel and dentine left, wall height, bonding area |
//! | `room` | span of a gap and room for a connector |
//!
//! Knows nothing of materials, studies or colours, and touches no disk. Method, checks and limits: `docs/methods/anatomy.md`.

mod needs;
mod outline;
mod pulp;
mod reduction;
mod room;
mod size;
mod standing;

pub use needs::Needs;
pub use reduction::Reduction;
pub use room::{ConnectorRoom, connector_room, span};
pub use size::{SizeError, ToothSize};
pub use standing::{Seen, StandingTooth};
