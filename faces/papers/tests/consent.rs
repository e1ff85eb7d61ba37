//! The consent sheet: complete in every language, readable at twelve, its numbers the report's, its icons counted, hostile texts
//! tame.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

mod common;
#[path = "common/reading.rs"]
mod reading;

use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Build, Cause, Consequence, Construct, Material, Question};
use common::trace;
use papers::blocks::{Block, Document};
use papers::consent::Texts;
use papers::{Chosen, Facts, Known, consent, html};
use picture::{Mark, Scene, Shape};
use plan::Report;
use std::collections::BTreeSet;
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
        shown: Default::default(),
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
    let known = Known {
        case,
        report,
        chosen,
        facts: &facts,
        catalogue: shipped(),
        date: DATE,
        lang: "en",
        texts: &[],
        files: &[],
    };
    consent::sheet_in(&known, texts)
}

fn figures(document: &Document) -> Vec<&Scene> {
    let blocks = document.sections.iter().flat_map(|s| &s.blocks);
    blocks.filter_map(|b| if let Block::Figure(scene) = b { Some(scene) } else { None }).collect()
}

/// The sentences of a sheet: heads, names and counts in tables would only make it look easier.
fn read_aloud(document: &Document) -> Vec<String> {
    let mut without = document.clone();
    without.closing.clear();
    trace::words(&without).into_iter().filter(|t| t.trim_end().ends_with(['.', '?'])).collect()
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
                let text = papers::typeset::text(&sheet(lang, case, report), DATE);
                std::fs::write(format!("{folder}/{}-{lang}.typ", report.case), text).unwrap();
            }
        }
    }
}

fn words(document: &Document) -> String {
    trace::words(document).join("\n")
}

/// Keys written in the sources of the sheet, and the beginnings of keys made there of a closed word.
fn keys_in_use() -> (BTreeSet<String>, BTreeSet<String>) {
    let folder = format!("{}/src/consent", env!("CARGO_MANIFEST_DIR"));
    let (mut whole, mut begun) = (BTreeSet::new(), BTreeSet::new());
    for entry in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        for piece in text.split('"').skip(1).step_by(2) {
            let (key, made) = match piece.split_once('{') {
                Some((before, _)) => (before, true),
                None => (piece, false),
            };
            if key.contains('_') && key.chars().all(|c| c.is_ascii_lowercase() || c == '_' || c.is_ascii_digit()) {
                if made {
                    begun.insert(key.to_owned())
                } else {
                    whole.insert(key.to_owned())
                };
            }
        }
    }
    (whole, begun)
}

/// Every key that the program asks for is in the pattern, for every word of the closed lists; and no key is there for nothing.
#[test]
fn the_pattern_holds_the_keys_in_use_and_no_others() {
    let texts = Texts::shipped("en").unwrap();
    let held: BTreeSet<&str> = texts.entries().map(|(k, _)| k).collect();
    let (whole, begun) = keys_in_use();
    // Words of the studies' own column stand in the sources too.
    for key in whole.iter().filter(|k| !["general_practice"].contains(&k.as_str())) {
        assert!(held.contains(key.as_str()), "{key} is asked for and in no file");
    }
    let of = |start: &str, words: &mut dyn Iterator<Item = &'static str>| {
        words.for_each(|w| assert!(held.contains(format!("{start}{w}").as_str()), "{start}{w} is in no file"));
    };
    for start in ["construct_", "gives_", "risks_"] {
        of(start, &mut Construct::ALL.iter().map(|c| c.word()));
    }
    of("material_", &mut Material::ALL.iter().map(|m| m.word()));
    of("build_", &mut Build::ALL.iter().map(|b| b.word()));
    of("cause_", &mut Cause::ALL.iter().map(|c| c.word()));
    of("then_", &mut Consequence::ALL.iter().map(|c| c.word()));
    // Heads of sections and words of page and language are asked for by other ways.
    let page = [
        "language",
        "lang",
        "direction",
        "title",
        "lead",
        "tooth",
        "trouble",
        "way",
        "gives",
        "risks",
        "range",
        "invented",
        "foot",
    ];
    for key in held.iter().filter(|k| !whole.contains(**k) && !page.contains(k) && !k.ends_with("_head")) {
        assert!(begun.iter().any(|b| key.starts_with(b.as_str())), "{key} is in the file and never asked for");
    }
}

#[test]
fn every_language_has_the_same_keys_filled_alike() {
    let pattern: BTreeSet<String> = Texts::shipped("en").unwrap().entries().map(|(k, _)| k.to_owned()).collect();
    for tag in Texts::languages() {
        let texts = Texts::shipped(tag).unwrap_or_else(|issues| panic!("{tag}: {issues:?}"));
        assert_eq!(texts.entries().map(|(k, _)| k.to_owned()).collect::<BTreeSet<_>>(), pattern, "{tag}");
        assert!(texts.get("lang").starts_with(tag));
    }
    assert!(Texts::shipped("de-AT").is_ok());
    assert!(Texts::shipped("xx").unwrap_err()[0].to_string().contains("en or de"));
}

const GERMAN: &str = include_str!("../texts/de.toml");

/// A language of one's own is a file; what is wrong with it is told with its line.
#[test]
fn a_file_of_another_language_is_taken_or_its_faults_are_told() {
    let own = GERMAN.replace("lang = \"de\"", "lang = \"ar\"").replace("direction = \"ltr\"", "direction = \"rtl\"");
    let (case, report) = &plans()[0];
    let page = html::page(&sheet_of(&Texts::parse("own.toml", &own).unwrap(), case, report, Chosen::of(case, report)));
    assert!(page.contains("<html lang=\"ar\" dir=\"rtl\" class=\"large\">"));
    let line = GERMAN.lines().position(|l| l.starts_with("of_100")).unwrap() + 1;
    for (change, to, told) in [
        (
            "{count} von 100",
            "{zahl} von 100",
            format!("own.toml:{line}, field of_100: filled in are [zahl]; expected [count]"),
        ),
        (
            "of_100 =",
            "of_101 =",
            "field of_101: a key that no paper uses; expected the keys of the English file; did you mean `of_100`?"
                .to_owned(),
        ),
        ("of_100 =", "# of_100 =", "field of_100: missing; expected a sentence for \"{count} of 100\"".to_owned()),
        ("direction = \"ltr\"", "direction = \"up\"", "`ltr` (left to right) or `rtl`".to_owned()),
        ("not_known = \"nicht bekannt\"", "not_known = 3", "field not_known: a value of type integer".to_owned()),
        ("not_known = \"nicht bekannt\"", "not_known = \"\"", "field not_known: empty".to_owned()),
        ("not_known = \"nicht bekannt\"", "not_known = \"", "own.toml:".to_owned()),
    ] {
        let issues = Texts::parse("own.toml", &GERMAN.replacen(change, to, 1)).unwrap_err();
        assert!(issues.iter().any(|i| i.to_string().contains(&told)), "{told:?} is not told: {issues:?}");
    }
}

/// As many figures are dark as the sentence says, for every way told, in the order lost, done again.
#[test]
fn icons_count_what_the_sentence_says() {
    for (case, report) in plans() {
        let document = sheet("en", case, report);
        let drawn = figures(&document);
        assert!(!drawn.is_empty(), "{}: nothing is drawn", report.case);
        for scene in drawn {
            let dark: Vec<usize> = scene
                .marks
                .iter()
                .filter_map(|m| if let Mark::Group(g) = m { Some(&g.marks) } else { None })
                .map(|marks| marks.iter().filter(|m| matches!(m, Mark::Point { shape: Shape::Person, .. })).count())
                .collect();
            // `A crown (...): 13 of 100 lose it in 10 years, for 30 of 100 something must be done`.
            let told: Vec<usize> = scene
                .title
                .match_indices(" of 100")
                .map(|(at, _)| scene.title[..at].rsplit(' ').next().unwrap().parse().unwrap())
                .zip(scene.title.match_indices(" of 100").map(|(at, _)| scene.title[..at].ends_with("fewer than 1")))
                .map(|(n, below): (usize, bool)| if below { 0 } else { n })
                .collect();
            assert_eq!(dark, told, "{}", scene.title);
            assert!(scene.outside().is_empty());
        }
    }
}

/// Numbers a sheet may say: those of the fields it tells of, as counts of 100 or what is left of 100, and the fixed ones of its form.
fn may_say(case: &Case, report: &Report) -> BTreeSet<String> {
    let mut may: BTreeSet<String> = ["100", "10", "5", "15", "1", "99"].map(str::to_owned).into();
    let whole = |v: f64| format!("{v:.0}");
    let mut share = |v: f64| may.extend([whole(100.0 * v), whole(100.0 * (1.0 - v))]);
    share(0.038); // economics.csv: single crowns rejected at delivery and remade, 3.8 %
    report
        .alternatives
        .iter()
        .filter_map(|a| a.lost)
        .for_each(|v| [v.mean, v.low, v.high].into_iter().for_each(&mut share));
    for o in &report.options {
        share(o.first_share);
        let last = o.answers.iter().filter(|a| a.question == Question::Last).filter_map(|a| a.value);
        last.chain(o.done_again).for_each(|v| [v.mean, v.low, v.high].into_iter().for_each(&mut share));
        o.failures.iter().for_each(|f| share(f.risk[1].mean));
        o.colour.iter().for_each(|c| share(c.remade));
        let ends = o.loss_curve.points.iter().filter(|p| [5.0, 15.0].contains(&p.year));
        ends.for_each(|p| [p.low, p.high].into_iter().for_each(&mut share));
        for p in &o.preparation {
            [p.share_removed.mean, p.share_removed.low, p.share_removed.high].into_iter().for_each(&mut share);
        }
    }
    for o in &report.options {
        may.extend([o.loss_curve.arms.to_string(), whole(o.loss_curve.observed_until)]);
        may.extend(
            o.answers.iter().filter(|a| a.question == Question::Cost).filter_map(|a| a.value).map(|v| whole(v.mean)),
        );
    }
    may.extend(case.units().iter().map(|u| u.tooth.code().to_string()));
    may.extend(case.laboratory.remake_free_months.map(whole));
    may
}

/// Each number is one of few that the report holds for the very thing told, in a report with one option so that few can hide a stray.
#[test]
fn every_number_is_traced() {
    for (case, report) in plans() {
        let mut lone = report.clone();
        lone.options.truncate(1);
        for (report, most) in [(report, usize::MAX), (&lone, 80)] {
            let may = may_say(case, report);
            assert!(may.len() < most, "{} numbers would pass", may.len());
            for lang in ["en", "de"] {
                let mut document = sheet(lang, case, report);
                document.closing.clear();
                let mut checked = 0;
                for text in trace::words(&document) {
                    for (value, _) in trace::numbers(&text) {
                        assert!(may.contains(&value.to_string()), "{}: {value} in {text:?} is not traced", report.case);
                        checked += 1;
                    }
                }
                assert!(checked > 20, "{checked} numbers found");
            }
        }
    }
}

/// What changes in the report changes on the sheet, at its place.
#[test]
fn another_report_makes_another_sheet() {
    let (case, report) = &plans()[1];
    let mut other = report.clone();
    let option = &mut other.options[0];
    let last = option.answers[0].value.as_mut().unwrap();
    (last.mean, last.low, last.high) = (0.417, 0.213, 0.634);
    option.done_again = Some(answer::Interval { mean: 0.288, median: 0.288, low: 0.121, high: 0.456 });
    option.failures[0].risk[1].mean = 0.871;
    option.loss_curve.arms = 61;
    option.preparation[0].share_removed.mean = 0.777;
    option.colour[0].remade = 0.933;
    let said = words(&sheet("en", case, &other));
    for told in [
        "42 of 100 (21\u{a0}to\u{a0}63)",
        "29 of 100 (12\u{a0}to\u{a0}46)",
        "42 of 100 lose it in 10 years, for 29 of 100 something must be done",
        "58 of 100 still have it after 10 years (37 to 79)",
        "87 of 100",
        "61 groups of people",
        "about 78 of 100 parts",
        "For 93 of 100 people",
    ] {
        assert!(said.contains(told), "{told:?} is not said");
        assert!(!words(&sheet("en", case, report)).contains(told), "{told:?} was said before");
    }
}

/// A changed finding changes the sheet; so do the patient's order of what matters, fees and terms of the laboratory.
#[test]
fn another_case_makes_another_sheet() {
    let (case, report) = &plans()[1];
    let before = words(&sheet("en", case, report));
    let mut other = case.clone();
    other.mouth.smoking = Some(true);
    other.mouth.grinding = Some(case::words::Grinding::Evident);
    other.wish.order.clear();
    other.laboratory.remake_free_months = Some(24.0);
    other.abutments[0].cracks = Some(case::words::Cracks::Dentine);
    let after = words(&sheet("en", &other, report));
    for told in ["You smoke.", "You grind your teeth.", "It has a crack.", "We have not yet asked", "for 24 months"] {
        assert!(after.contains(told) && !before.contains(told), "{told:?}");
    }
    let mut paid = report.clone();
    let cost = paid.options[0].answers.iter_mut().find(|a| a.question == Question::Cost).unwrap();
    cost.value = Some(answer::Interval::exactly(731.0));
    other.laboratory.currency = Some("EUR".into());
    assert!(words(&sheet("de", &other, &paid)).contains("nimmt 731\u{a0}EUR"));
    assert!(!before.contains("the lab takes"), "no fee was given, none is told");
}

/// What the professions ask to be told (`data/consent.csv`: General Dental Council standards 3.1.3 and 2.4.3; Montgomery 2015) has its place.
#[test]
fn everything_asked_for_has_its_place() {
    for (case, report) in plans() {
        let document = sheet("en", case, report);
        let ids: Vec<&str> = document.sections.iter().map(|s| s.id.as_str()).collect();
        let asked = [
            "what",
            "found",
            "ways",
            "advice",
            "odds",
            "last",
            "trouble",
            "lose",
            "show",
            "after",
            "where",
            "cost",
            "guarantee",
            "care",
            "time",
            "questions",
            "sign",
        ];
        assert_eq!(ids, asked, "{}", report.case);
        let said = words(&document);
        let leaving = if case.missing().is_empty() { "Leave it as it is" } else { "Leave the gap" };
        for told in [
            leaving,
            "You can say no",
            "change your mind",
            "Who pays if it must be made new",
            "what ends it",
            "The whole cost for you",
        ] {
            assert!(said.contains(told), "{}: {told:?} is missing", report.case);
        }
        let by_hand = |id: &str| {
            document.sections.iter().find(|s| s.id == id).unwrap().blocks.iter().any(|b| matches!(b, Block::Blank(..)))
        };
        assert!(["found", "cost", "guarantee", "questions", "sign"].into_iter().all(by_hand));
        assert!(document.sections.iter().all(|s| !s.blocks.is_empty() && !s.title.is_empty()));
        assert!(!said.contains('{') && !said.contains("  "), "{}", report.case);
    }
}

/// A way that is not computed can be the one talked about: a repair.
#[test]
fn a_repair_has_a_sheet_of_its_own() {
    let (case, report) = &plans()[5];
    let chosen = Chosen::named(report, "polish_or_repair").unwrap();
    let said = words(&sheet_of(&Texts::shipped("en").unwrap(), case, report, chosen));
    assert!(said.contains("We talked about: Polish or mend what is there."));
    assert!(!said.contains("This is for the way we advise"));
}

/// Markup, 10,000 letters, right to left, pictures: shown as words, never as markup, in HTML and in text for the typesetter.
#[test]
fn hostile_words_stay_words() {
    let (case, report) = &plans()[1];
    for hostile in [
        "</style><script>alert(1)</script><img src=x onerror=alert(1)>".to_owned(),
        "#read(\"/etc/passwd\") \\u{41} \"] #panic() [".to_owned(),
        "w".repeat(10_000),
        "\u{202e}\u{5e9}\u{5dc}\u{5d5}\u{5dd} \u{1f600}\u{0}\u{1b}[31m".to_owned(),
    ] {
        let (mut case, mut report) = (case.clone(), report.clone());
        report.case = hostile.clone();
        report.program = hostile.clone();
        report.options[0].answers.iter_mut().find(|a| a.question == Question::Cost).unwrap().value =
            Some(answer::Interval::exactly(1.0));
        case.laboratory.currency = Some(hostile.clone());
        let document = sheet("de", &case, &report);
        let page = html::page(&document);
        assert!(
            !page.contains("<script")
                && !page.contains("<img")
                && !page.contains('\u{202e}')
                && !page.contains('\u{1b}')
        );
        assert_eq!(page.matches("</style>").count(), 1);
        let text = papers::typeset::text(&document, DATE);
        assert!(only_strings_hold(&text, "read(") && only_strings_hold(&text, "panic("));
        if let Ok(folder) = std::env::var("PAPERS_OUT") {
            std::fs::write(format!("{folder}/hostile-{}.typ", hostile.len()), text).unwrap();
        }
    }
}

/// True when the words stand within quoted strings of the typesetter's language only.
fn only_strings_hold(text: &str, words: &str) -> bool {
    let (mut code, mut quoted, mut escaped) = (String::new(), false, false);
    for c in text.chars() {
        match (quoted, escaped, c) {
            (true, true, _) => escaped = false,
            (true, false, '\\') => escaped = true,
            (_, _, '"') => quoted = !quoted,
            (true, ..) => {}
            (false, ..) => code.push(c),
        }
    }
    !quoted && !code.contains(words)
}

/// Every paper of every case becomes document text whose strings are closed.
#[test]
fn every_paper_becomes_document_text() {
    let facts = Facts::of(shipped());
    for (case, report) in plans() {
        let chosen = Chosen::of(case, report);
        let known = Known {
            case,
            report,
            chosen,
            facts: &facts,
            catalogue: shipped(),
            date: DATE,
            lang: "de",
            texts: &[],
            files: &[],
        };
        for paper in papers::PAPERS {
            let Ok(made) = (paper.make)(&known) else { continue };
            let text = papers::typeset::text(&made.document, DATE);
            assert!(only_strings_hold(&text, "<svg"), "{}: {}", report.case, paper.word);
            if let Ok(folder) = std::env::var("PAPERS_OUT") {
                std::fs::write(format!("{folder}/all-{}-{}.typ", report.case, paper.word), text).unwrap();
            }
        }
    }
}
