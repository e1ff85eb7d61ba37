//! From a case to a ranked plan.

mod report;

pub use report::*;
