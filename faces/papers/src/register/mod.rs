//! What a register tells, on paper: sentences and pictures of audit and watch, and the yearly report. Counts where the register is, by
//! `register::Counting`; reads no file.

pub mod audit;
pub mod pictures;
mod report;
pub mod watch;

pub use report::report;
