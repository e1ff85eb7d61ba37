//! What is built on teeth and over gaps, as solids in the frame of the tooth they belong to.
//!
//! | file | idea |
//! | --- | --- |
//! | `retainer` | outer form less stump less cement gap: crown, partial crown, veneer, wing |
//! | `endocrown` | a butt with a recess into the pulp chamber |
//! | `on_implant` | a crown on an implant's abutment |
//! | `layers` | a core cut back for veneer: carried by an anatomic core, or over a coping of one thickness |
//! | `pontic` | ovate, modified ridge-lap, hygienic |
//! | `connector` | an elliptic bar between neighbours, united with a fillet |

mod connector;
mod endocrown;
mod layers;
mod on_implant;
mod pontic;
mod retainer;

pub use connector::Connector;
pub use endocrown::{Recess, endocrown, endocrown_preparation, wall_left};
pub use layers::{Core, Layers, layered};
pub use on_implant::{Abutment, implant_crown};
pub use pontic::{Pontic, PonticForm};
pub use retainer::retainer;
pub(crate) use retainer::{GAP_GROWS_OVER, THINNEST};
