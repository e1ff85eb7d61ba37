//! Facts and words of the trade, compiled in: what a tooth, a material, a build, a construct and a cause of failure are called,
//! and what is known of each, row by row with its source.
//!
//! Knows nothing of a particular patient and touches no disk.

pub mod words;
