//! What is built on teeth and over gaps, as solids in the frame of the tooth they belong to.
//!
//! | file | idea |
//! | --- | --- |
//! | `retainer` | outer form less stump less cement gap: crown, partial crown, veneer, wing; endocrown; implant crown on an abutment |
//! | `layers` | a core cut back for veneer: carried by an anatomic core, or over a coping of one thickness |
//! | `pontic` | ovate, modified ridge-lap, hygienic |
//! | `connector` | an elliptic bar between neighbours, united with a fillet |

mod connector;
mod layers;
mod pontic;
mod retainer;

pub use connector::Connector;
pub use layers::{Core, Layers, layered};
pub use pontic::{Pontic, PonticForm};
pub use retainer::{Abutment, endocrown_preparation, implant_crown, retainer};
