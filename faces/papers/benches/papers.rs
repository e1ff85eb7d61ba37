//! How long all papers of a bridge take after its plan. Prints the median of repeated runs; compares with nothing.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, clippy::print_stdout, missing_docs)]

#[path = "../tests/common/cases.rs"]
mod cases;

use papers::{PAPERS, html};
use std::time::Instant;

fn main() {
    let planned = cases::Planned::shipped("bridge-45-47");
    let known = planned.known();
    let mut times: Vec<f64> = (0..11)
        .map(|_| {
            let start = Instant::now();
            let bytes: usize = PAPERS
                .iter()
                .filter_map(|p| (p.make)(&known).ok())
                .map(|made| html::page(&made.document).len())
                .chain(papers::figures(&known).iter().map(|f| papers::standalone(f).len()))
                .sum();
            assert!(bytes > 100_000);
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!(
        "all papers and figures of a bridge: median {:.3} s, slowest {:.3} s of {} runs",
        times[5],
        times[10],
        times.len()
    );
}
