//! How long all papers of a bridge take after its plan, and how long the search for what would change the answer takes. Prints the
//! medians of repeated runs; compares with nothing.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, clippy::print_stdout, missing_docs)]

#[path = "../tests/common/cases.rs"]
mod cases;

use case::Case;
use papers::{PAPERS, html};
use std::time::Instant;

fn main() {
    let planned = cases::Planned::shipped("bridge-45-47");
    let known = planned.known();
    told("all papers, figures and tables of a bridge", 11, || {
        let bytes: usize = PAPERS
            .iter()
            .filter_map(|p| (p.make)(&known).ok())
            .map(|made| html::page(&made.document).len())
            .chain(papers::figures(&known).iter().chain(&papers::tables(&known)).map(|f| papers::standalone(f).len()))
            .sum();
        assert!(bytes > 100_000);
    });
    for (what, changes) in [("plan of a bridge", false), ("plan of a bridge with what would change it", true)] {
        told(what, 3, || replan(changes));
    }
}

/// A whole plan, with the search or without.
fn replan(changes: bool) {
    let (case, _) = Case::parse("bridge", &cases::text("bridge-45-47")).unwrap();
    let settings = plan::Settings {
        seed: 1,
        fidelity: plan::Fidelity::Quick,
        today: "2026-03".into(),
        name: "bridge".into(),
        program: "bench".into(),
        warnings: Vec::new(),
        changes,
        shown: Default::default(),
    };
    let posterior = plan::shipped_posterior().unwrap();
    let report = plan::plan(&case, cases::catalogue(), &posterior, &settings, &answer::NoProgress).unwrap();
    assert_eq!(report.changes.is_some(), changes);
}

/// Median and slowest of some runs.
fn told(what: &str, runs: usize, run: impl Fn()) {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .collect();
    times.sort_by(f64::total_cmp);
    println!("{what}: median {:.3} s, slowest {:.3} s of {runs} runs", times[runs / 2], times[runs - 1]);
}
