//! The joint model of losses and complications over many studies, and what it says of a new setting.

mod curve;
mod fit;
mod model;
mod own;
mod pareto;
mod posterior;
mod predict;
mod process;
mod shares;
mod table;
mod terms;

pub use curve::Curve;
pub use fit::{FitError, fit};
pub use model::{Cause, Model};
pub use own::{OwnGroup, Reweighted};
pub use posterior::{ArmSummary, Diagnostics, PartDiagnostics, Posterior};
pub use predict::{CauseCurve, Directness, Prediction, Setting};
pub(crate) use terms::{Term, loss_terms};
