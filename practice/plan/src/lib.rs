//! From a case to a ranked plan.

mod rank;
mod report;

pub use rank::{Acceptability, Importance, Scale, Valued, WEIGHTS_PER_DRAW, rank};
pub use report::*;
