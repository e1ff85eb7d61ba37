//! The dossier and the brief say what the report says, and nothing else.

#![allow(clippy::expect_used, clippy::unwrap_used)]

mod common;

use catalogue::words::{Construct, Question};
use common::trace::{Held, PHRASES, numbers, words};
use papers::{Facts, brief, dossier, html, terminal};
use picture::Charset;
use std::collections::BTreeSet;

/// A report with one option and few curve points: the fewer numbers it holds, the fewer a stray one can hide among.
fn sparse() -> plan::Report {
    let mut report = common::report();
    report.options.truncate(1);
    let option = &mut report.options[0];
    for curve in [&mut option.loss_curve, &mut option.complication_curve] {
        curve.points = vec![curve.points[0], curve.points[15]];
    }
    option.answers.iter_mut().skip(1).for_each(|a| a.quantiles.clear());
    report
}

#[test]
fn every_number_on_paper_is_found_in_the_report() {
    for report in [common::report(), sparse()] {
        let found = Held::of(&report);
        for (name, document) in [("dossier", dossier(&report, &common::facts())), ("brief", brief(&report))] {
            let mut checked = 0;
            for text in words(&document) {
                let plain = PHRASES.iter().fold(text.clone(), |t, phrase| t.replace(phrase, " "));
                for (value, decimals) in numbers(&plain) {
                    assert!(found.explains(value, decimals), "{name}: {value} in {text:?} is not in the report");
                    checked += 1;
                }
            }
            assert!(checked > 10, "{name}: only {checked} numbers were checked");
        }
    }
}

/// The trace above can fail: of all counts of 100 the sparse report explains fewer than seven in ten, of all tenths of a per cent fewer
/// than two in ten.
#[test]
fn a_stray_number_would_mostly_be_found_out() {
    let found = Held::of(&sparse());
    let counts = (0..=100).filter(|n| found.explains(f64::from(*n), 0)).count();
    let tenths = (0..=1000).filter(|n| found.explains(f64::from(*n) / 10.0, 1)).count();
    assert!(counts < 70, "{counts} of 101 counts are explained");
    assert!(tenths < 200, "{tenths} of 1001 tenths are explained");
}

#[test]
fn every_answer_gate_stop_default_caution_and_source_is_there() {
    let report = common::report();
    let all = words(&dossier(&report, &common::facts())).join("\n").to_lowercase();
    let mut wanted: Vec<String> = vec![report.verdict.clone()];
    wanted.extend(report.gates.iter().map(|g| g.text.clone()));
    wanted.extend(report.options.iter().map(|o| o.title.clone()));
    wanted.extend(report.options.iter().flat_map(|o| o.answers.iter().flat_map(|a| a.reasons.clone())));
    wanted.extend(report.options.iter().flat_map(|o| o.failures.iter().map(|f| f.then.clone())));
    wanted.extend(report.options.iter().flat_map(|o| o.stops.iter().map(|s| s.text.clone())));
    wanted.extend(report.options.iter().flat_map(|o| o.guidelines.iter().map(|g| g.validity.clone())));
    wanted.extend(report.alternatives.iter().flat_map(|a| a.known.iter().chain(&a.against).cloned()));
    wanted.extend(report.defaults.iter().map(|d| d.assumed.clone()));
    wanted.extend(report.cautions.clone());
    wanted.extend(report.warnings.clone());
    wanted.extend(report.sources.iter().map(|s| s.citation.clone()));
    wanted.extend(report.open_questions.iter().map(|q| q.question.clone()));
    for text in wanted {
        assert!(all.contains(&text.to_lowercase()), "{text:?} is missing");
    }
}

#[test]
fn memory_marks_every_answer_that_rests_on_it() {
    let mut report = common::report();
    for option in &mut report.options {
        option.answers.iter_mut().for_each(|a| a.caveats.clear());
        option.stops.clear();
    }
    report.defaults.clear();
    report.sources.clear();
    let count = |report: &plan::Report| {
        words(&dossier(report, &Facts::default())).iter().filter(|t| t.contains("[from memory]")).count()
    };
    // Six answers of four options stand in the table and in their sections; the first also among the best three.
    assert_eq!(count(&report), 2 * 24 + 3);
    report.options.iter_mut().flat_map(|o| &mut o.answers).for_each(|a| a.basis = Some(answer::Basis::Read));
    assert_eq!(count(&report), 0);
    // A gate that rests on a recalled source is marked, and so is the source.
    report.sources = vec![answer::Source {
        id: "row-g".into(),
        citation: "Nobody, 2019".into(),
        doi: None,
        basis: answer::Basis::Memory,
    }];
    assert_eq!(count(&report), 2);
}

#[test]
fn hostile_text_yields_no_injection() {
    for text in [
        "</title><script>alert(1)</script>",
        "\" onmouseover=\"x",
        "\u{1b}[2J\u{202e}\u{0}",
        "<style>*{display:none}</style>",
        "\u{1f9b7}",
    ] {
        let report = common::with_text(text);
        let page = html::page(&dossier(&report, &common::facts()));
        for forbidden in ["<script", "onmouseover=\"", "<style>*", "\u{1b}", "\u{202e}", "\u{0}"] {
            assert!(!page.contains(forbidden), "{text:?}: {forbidden:?}");
        }
        assert_eq!(page.matches("<style").count(), 1);
        let lines = terminal::lines(&brief(&report), Charset::Unicode);
        assert!(lines.iter().all(|l| l.chars().all(|c| !c.is_control() && c != '\u{202e}')));
    }
}

#[test]
fn the_page_is_sound_and_the_same_twice() {
    let page = html::page(&dossier(&common::report(), &common::facts()));
    assert_eq!(page, html::page(&dossier(&common::report(), &common::facts())));
    assert!(!page.contains("NaN") && !page.contains(" style=") && !page.contains("<script"));
    let values = |name: &str| {
        page.split(&format!(" {name}=\""))
            .skip(1)
            .filter_map(|r| r.split('"').next())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let ids = values("id");
    let unique: BTreeSet<&String> = ids.iter().collect();
    assert_eq!(ids.len(), unique.len());
    for link in values("href") {
        assert!(unique.contains(&link.trim_start_matches('#').to_owned()), "{link} leads nowhere");
    }
}

#[test]
fn the_brief_tells_verdict_odds_failure_stop_and_question_in_eighty_columns() {
    let mut report = common::report();
    report.too_close = true;
    let lines = terminal::lines(&brief(&report), Charset::Unicode);
    assert!(lines.iter().all(|l| picture::measure::columns(l) <= 80));
    let text = lines.join(" ").split_whitespace().collect::<Vec<_>>().join(" ");
    for wanted in [
        "Too close to call",
        "[47]=(46)=[45]",
        "62 of 100 ways",
        "the bridge stays",
        "Stop: Lithium disilicate",
        "Does the patient grind?",
        "[from memory]",
    ] {
        assert!(text.contains(wanted), "{wanted:?} is missing");
    }
    assert!(lines.len() < 80, "{} lines are not brief", lines.len());
}

#[test]
fn a_report_without_anything_still_makes_papers() {
    let mut report = common::report();
    report.options.clear();
    report.arch.units.clear();
    report.gates.clear();
    report.open_questions.clear();
    report.sources.clear();
    report.defaults.clear();
    let page = html::page(&dossier(&report, &Facts::default()));
    assert!(page.contains("No option was computed") && page.contains("None: everything needed was given"));
    assert!(!page.contains("<ul>\n</ul>") && !page.contains("<dl>\n</dl>"));
    assert!(!terminal::lines(&brief(&report), Charset::Ascii).is_empty());
}

#[test]
fn papers_are_written_where_asked() {
    let Ok(folder) = std::env::var("PICTURE_OUT") else { return };
    let report = common::report();
    std::fs::write(format!("{folder}/dossier.html"), html::page(&dossier(&report, &common::facts()))).unwrap();
    std::fs::write(format!("{folder}/brief.txt"), terminal::lines(&brief(&report), Charset::Unicode).join("\n"))
        .unwrap();
    std::fs::write(format!("{folder}/brief-ascii.txt"), terminal::lines(&brief(&report), Charset::Ascii).join("\n"))
        .unwrap();
}

#[test]
fn limits_stand_only_where_they_judge_the_figure_shown() {
    let facts = common::facts();
    assert_eq!(facts.tooth_sizes.len(), 32);
    assert!(facts.limits.iter().all(|l| matches!(l.question, Question::Last | Question::Break)));
    for question in [Question::Last, Question::Break] {
        let for_bridges = |l: &&papers::Limit| l.constructs.is_empty() || l.constructs.contains(&Construct::Bridge);
        let of_it: Vec<_> = facts.limits.iter().filter(|l| l.question == question).filter(for_bridges).collect();
        assert_eq!(of_it.len(), 2, "{question}: one limit each of with care and unsuitable for a bridge");
        assert!(of_it[0].at < of_it[1].at);
    }
}

#[test]
fn figures_that_are_no_numbers_leave_a_note_instead_of_a_picture() {
    let mut report = common::report();
    for option in &mut report.options {
        option
            .answers
            .iter_mut()
            .filter_map(|a| a.value.as_mut())
            .for_each(|v| (v.low, v.mean) = (f64::NAN, f64::INFINITY));
        option.answers[0].quantiles[3] = f64::NAN;
        option.loss_curve.points[4].low = 2.0;
        option.failures[0].risk[1].high = f64::NAN;
        option.colour[0].predicted_draws.pop();
        option.preparation[0].depths[0].1.mean = f64::NAN;
    }
    let page = html::page(&dossier(&report, &common::facts()));
    // Options told in full have pictures; the stopped one is told in words.
    let told = report.options.iter().filter(|o| !o.stopped).count();
    assert_eq!(told, 3);
    assert!(page.matches("no picture here").count() >= 4 * told);
    let drawn: String = page
        .lines()
        .filter(|l| {
            l.starts_with("<poly") || l.starts_with("<circle") || l.starts_with("<rect") || l.starts_with("<path")
        })
        .collect();
    assert!(!drawn.contains("NaN") && !drawn.contains("inf"));
}

#[test]
fn another_construct_is_told_beside_those_asked_for_and_never_given_a_place_among_them() {
    let mut report = common::report();
    let last = report.options.len() - 2;
    let other = &mut report.options[last];
    other.asked = false;
    other.construct = Construct::ImplantCrown;
    other.title = "implant crown, zirconia 3Y, layered".into();
    other.dominated_by = None;
    for document in [dossier(&report, &common::facts()), brief(&report)] {
        let all = words(&document);
        assert!(all.iter().any(|t| t == "If not that"));
        assert!(!all.iter().any(|t| t.starts_with("Third: ")));
        let of_it = all.iter().filter(|t| t.starts_with("implant crown, zirconia 3Y, layered"));
        assert!(of_it.clone().count() >= 1);
    }
    let page = html::page(&dossier(&report, &common::facts()));
    assert!(page.contains("<h3>Other ways</h3>") && page.contains("another way than the one asked for"));
}

#[test]
fn a_stop_of_one_construct_names_the_construct_not_its_options() {
    let mut report = common::report();
    for option in report.options.iter_mut().take(2) {
        option.construct = Construct::TwoWings;
        option.stops[0].text = "47 offers mostly dentine".into();
    }
    let all = words(&brief(&report)).join("\n");
    assert!(all.contains("Concerns every resin-bonded bridge, two wings."), "{all}");
    assert!(all.contains("Concerns every bridge."), "{all}");
    assert!(all.contains("Concerns bridge in lithium disilicate."), "{all}");
}
