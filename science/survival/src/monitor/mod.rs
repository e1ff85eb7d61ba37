//! Watching a stream of results: charts that add up evidence, how long they run before they signal, and limits for comparing units of
//! different size.

pub mod cusum;
pub mod funnel;
pub mod run_length;
