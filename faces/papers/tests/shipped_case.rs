//! The papers of a plan of a case that ships.

#![allow(clippy::expect_used, clippy::unwrap_used)]

mod common;

use common::trace::{Held, PHRASES, numbers, words};
use papers::{Facts, brief, dossier, html, terminal};
use picture::Charset;

/// A plan of a case that ships: papers of it are whole, of a length that can be read, and say numbers of the report only.
#[test]
fn the_papers_of_a_shipped_case_can_be_read_in_the_surgery() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples/bridge-45-47.toml");
    let (case, _) = case::Case::parse("bridge-45-47.toml", &std::fs::read_to_string(path).unwrap()).unwrap();
    let settings = plan::Settings {
        seed: 7,
        fidelity: plan::Fidelity::Instant,
        today: "2026-01".into(),
        name: "bridge-45-47".into(),
        program: "test".into(),
        warnings: Vec::new(),
        changes: false,
        shown: Default::default(),
    };
    let catalogue = catalogue::Catalogue::shipped().unwrap();
    let posterior = plan::shipped_posterior().unwrap();
    let report = plan::plan(&case, &catalogue, &posterior, &settings, &answer::NoProgress).unwrap();
    let lines = terminal::lines(&brief(&report), Charset::Unicode);
    assert!(lines.len() < 75, "{} lines are not brief", lines.len());
    let found = Held::of(&report);
    for text in words(&brief(&report)) {
        let plain = PHRASES.iter().fold(text.clone(), |t, phrase| t.replace(phrase, " "));
        // Counts of what is folded away are counted here, not in the report.
        if plain.contains(" further ") || plain.contains(" of the sources ") {
            continue;
        }
        for (value, decimals) in numbers(&plain) {
            assert!(found.explains(value, decimals), "{value} in {text:?} is not in the report");
        }
    }
    let page = html::page(&dossier(&report, &Facts::of(&catalogue)));
    assert!(page.len() < 2_000_000, "{} bytes", page.len());
    assert!(!page.contains("NaN") && !page.contains("abutment["));
    assert!(report.options.iter().all(|o| page.contains(&picture::escape(o.title.get(1..).unwrap()))));
}
