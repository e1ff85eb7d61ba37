//! From counts of many studies to the odds of the next case: a meta-analysis engine that knows no trade.
//!
//! Causes, materials, places are opaque labels. Reads nothing, prints nothing; randomness comes from `answer::World` alone.
//! What is computed and why stands in `docs/methods/evidence.md`.

mod arm;
mod counts;
mod joint;
pub mod pool;
mod reconcile;
mod sampler;

pub use arm::{Arm, CauseCount, Cell, DatedSurvival, Exposure, Fate, check};
pub use counts::{EffectiveCounts, effective_counts};
pub use joint::{
    ArmSummary, Cause, CauseCurve, Curve, Diagnostics, Directness, FitError, Model, OwnGroup, PartDiagnostics,
    Posterior, Prediction, Reweighted, Setting, fit,
};
pub use reconcile::reconcile;
pub use sampler::diagnostics;
