//! What every engine of the house speaks: one state of the unknown (`World`), values that carry their uncertainty
//! (`Draws`, `Interval`), where a number comes from (`Source`, `Basis`, `Provenance`), what is wrong with an input
//! (`Issue`, `Place`), how far long work has come (`Progress`) and the answer itself (`Answer`, `Verdict`).
//!
//! Knows nothing of any trade, reads nothing, prints nothing.
//!
//! ```
//! use answer::World;
//! let world = World::new(7);
//! let strength = world.log_normal("strength", 900.0, 0.1);
//! let load = world.log_normal("load", 400.0, 0.3);
//! let margin = strength.zip(&load, |s, f| s / f);
//! assert!(margin.interval().low < margin.mean());
//! ```

mod answer;
mod draws;
mod interval;
mod issue;
mod nearest;
mod progress;
mod provenance;
mod rounding;
mod units;
mod world;

pub use answer::{Answer, Caveat, Reason, Verdict};
pub use draws::Draws;
pub use interval::Interval;
pub use issue::{Issue, Place, Severity};
pub use nearest::nearest_name;
pub use progress::{Interrupted, NoProgress, Progress};
pub use provenance::{Basis, Provenance, Source};
pub use rounding::{significant, six_figures};
pub use units::Unit;
pub use world::World;
