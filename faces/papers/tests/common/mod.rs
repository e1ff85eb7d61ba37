//! An invented report with everything a paper can show; no figure is of a real patient or study.

#![allow(dead_code, clippy::expect_used, clippy::unwrap_used)]

pub mod trace;

use answer::{Basis, Caveat, Interval, Source, Unit, Verdict};
use catalogue::words::{Build, Cause, Consequence, Construct, Grade, Material, Process, Question, Surface, Tooth};
use papers::Facts;
use plan::*;

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

fn interval(low: f64, mean: f64, high: f64) -> Interval {
    Interval { mean, median: mean * 0.95, low, high }
}

fn scaled(k: f64, low: f64, mean: f64, high: f64) -> Interval {
    interval(low * k, mean * k, (high * k).min(1.0))
}

fn quantiles(v: &Interval) -> Vec<f64> {
    (0..20).map(|i| v.low + (v.high - v.low) * (f64::from(i) / 19.0).powf(1.6)).collect()
}

fn answer(
    question: Question,
    quantity: &str,
    unit: Unit,
    value: Option<Interval>,
    verdict: Verdict,
    words: &str,
) -> QuestionAnswer {
    QuestionAnswer {
        question,
        verdict,
        words: words.into(),
        quantity: quantity.into(),
        unit,
        quantiles: value.as_ref().map(quantiles).unwrap_or_default(),
        value,
        reasons: vec!["the span is short and the connector has room".into()],
        caveats: vec![Caveat::LittleKnown],
        narrowed_by: vec![("the connector's height".into(), 0.34), ("the bite force".into(), 0.22)],
        sources: vec!["row-a".into(), "row-b".into()],
        basis: Some(Basis::Memory),
    }
}

fn curve(rate: f64) -> Curve {
    let at = |t: f64, k: f64| 1.0 - (-rate * k * t).exp();
    let points = (0..=15).map(|y| {
        let t = f64::from(y);
        CurvePoint {
            year: t,
            low: at(t, 0.4),
            lower: at(t, 0.7),
            median: at(t, 1.0),
            upper: at(t, 1.4),
            high: at(t, 2.3),
        }
    });
    Curve { points: points.collect(), observed_until: 10.0, arms: 17, restoration_years: 5231.0 }
}

fn option(material: Material, build: Build, k: f64) -> PlannedOption {
    let share = |low, mean, high| Some(scaled(k, low, mean, high));
    let ten = (100.0 * 0.113 * k).round();
    let risk = |low: f64, mean: f64, high: f64| {
        [scaled(k * 0.5, low, mean, high), scaled(k, low, mean, high), scaled(k * 1.4, low, mean, high)]
    };
    let failure = |cause, process, risk, consequence, then: &str| FailureMode {
        cause,
        process,
        risk,
        consequence,
        then: then.into(),
        caveats: vec![],
    };
    PlannedOption {
        id: format!("bridge.{}.{}", material.word(), build.word()),
        title: format!("bridge, {}, {}", material.label(), build.label()),
        construct: Construct::Bridge,
        material,
        build,
        grade: Some(Grade::Middle),
        dimensions: vec![
            Dimension {
                what: "occlusal thickness".into(),
                surface: Some(Surface::Occlusal),
                working: 1.0,
                tested_minimum: 0.8,
                available: Some(1.4),
                unit: Unit::Millimetres,
                sources: vec!["row-c".into()],
                basis: Basis::CommonPractice,
            },
            Dimension {
                what: "connector section".into(),
                surface: None,
                working: 9.0,
                tested_minimum: 7.25,
                available: None,
                unit: Unit::SquareMillimetres,
                sources: vec!["row-d".into()],
                basis: Basis::Read,
            },
        ],
        stops: vec![],
        stopped: false,
        override_reason: None,
        verdict: Verdict::WithCare,
        asked: true,
        first_share: 0.62 / k,
        rank_shares: vec![0.62 / k, 0.2],
        regret: Some(0.04 * k),
        regret_years: Some(0.6 * k),
        done_again: Some(scaled(k, 0.06, 0.17, 0.31)),
        dominated_by: None,
        answers: vec![
            answer(
                Question::Last,
                "lost within 10 years",
                Unit::Share,
                share(0.052, 0.113, 0.237),
                Verdict::Suits,
                &format!("{ten} of 100 lost by ten years"),
            ),
            answer(
                Question::Break,
                "framework broken within 10 years",
                Unit::Share,
                share(0.004, 0.021, 0.061),
                Verdict::WithCare,
                "2 of 100 broken",
            ),
            answer(
                Question::Show,
                "chance of being seen side by side",
                Unit::Share,
                share(0.11, 0.31, 0.52),
                Verdict::Suits,
                "seldom seen",
            ),
            answer(
                Question::Lose,
                "share of the crown removed",
                Unit::Share,
                share(0.38, 0.47, 0.55),
                Verdict::WithCare,
                "about half",
            ),
            answer(
                Question::Hold,
                "come off within 10 years",
                Unit::Share,
                share(0.01, 0.03, 0.08),
                Verdict::Suits,
                "holds by form",
            ),
            answer(Question::Cost, "chair time and fee", Unit::Money, None, Verdict::NotKnown, "no fees were given"),
        ],
        failures: vec![
            failure(
                Cause::Chip,
                Process::Complication,
                risk(0.04, 0.091, 0.18),
                Consequence::Polished,
                "a chip is polished or repaired; the bridge stays",
            ),
            failure(
                Cause::Endodontic,
                Process::Loss,
                risk(0.02, 0.043, 0.09),
                Consequence::ToothTreated,
                "root canal treatment through the crown; the tooth stays",
            ),
            failure(
                Cause::FrameworkFracture,
                Process::Loss,
                risk(0.004, 0.021, 0.061),
                Consequence::Remade,
                "the bridge is made anew; abutments remain",
            ),
        ],
        loss_curve: curve(0.012 * k),
        complication_curve: curve(0.02 * k),
        colour: vec![ColourAnswer {
            tooth: tooth(45),
            substrate: "dentine of middle darkness".into(),
            substrate_lab: [68.2, 4.1, 21.7],
            wish_lab: [76.4, 1.2, 19.8],
            wish: "as the neighbour".into(),
            predicted_lab: [73.9, 1.9, 20.3],
            predicted_draws: (0..25)
                .map(|i| [72.0 + f64::from(i % 7) * 0.6, 1.0 + f64::from(i % 5) * 0.4, 19.0 + f64::from(i % 6) * 0.5])
                .collect(),
            difference: interval(1.2, 2.9, 5.1),
            seen: 0.31,
            remade: 0.06,
            masking: "a denser grade would hide it".into(),
            stack: vec![("framework".into(), 0.5), ("veneer".into(), 0.9)],
            detail: ColourDetail::default(),
        }],
        preparation: vec![PreparationAnswer {
            tooth: tooth(45),
            depths: vec![
                (Surface::Occlusal, interval(0.9, 1.24, 1.62)),
                (Surface::Facial, interval(0.7, 1.02, 1.41)),
                (Surface::Lingual, interval(0.6, 0.88, 1.19)),
                (Surface::Margin, interval(0.3, 0.52, 0.78)),
            ],
            share_removed: interval(0.38, 0.47, 0.55),
            dentine_left: Some(interval(1.1, 1.93, 2.74)),
            chance_below_2: Some(0.57),
            chance_below_1: Some(0.03),
        }],
        guidelines: vec![GuidelineNote {
            id: "g-1".into(),
            body: "A society, 2021".into(),
            text: "Recommended for back teeth where space allows".into(),
            grade: "B".into(),
            validity: "validity ended".into(),
        }],
        criteria: ["harm", "looks", "tissue", "money"]
            .iter()
            .map(|c| CriterionValue {
                criterion: (*c).into(),
                natural: (*c != "money").then(|| interval(0.41 * k, 0.93 * k, 1.72 * k)),
                scale: if *c == "harm" { "years lost".into() } else { "on its scale".into() },
                value: (*c != "money").then(|| interval(0.31, 0.52, 0.71)),
            })
            .collect(),
    }
}

pub fn report() -> Report {
    let mut options = vec![
        option(Material::Zirconia3y, Build::Monolithic, 1.0),
        option(Material::MetalCeramic, Build::Layered, 1.2),
        option(Material::Zirconia3y, Build::Layered, 1.5),
        option(Material::LithiumDisilicate, Build::Monolithic, 1.9),
    ];
    options[2].dominated_by = Some(options[0].id.clone());
    options[3].stopped = true;
    options[3].verdict = Verdict::Unsuitable;
    options[3].stops = vec![Stop {
        id: "stop-7".into(),
        forbids: true,
        text: "lithium disilicate bridges end at the second premolar; this one ends at 47".into(),
        sources: vec!["row-e".into()],
        basis: Basis::Read,
    }];
    let warning = Stop {
        id: "warn-2".into(),
        forbids: false,
        text: "grinding is suspected and no guard is worn".into(),
        sources: vec!["row-f".into()],
        basis: Basis::Memory,
    };
    options.iter_mut().for_each(|o| o.stops.push(warning.clone()));
    let unit = |code, role| ArchUnit { tooth: tooth(code), role };
    let source = |id: &str, basis| Source {
        id: id.into(),
        citation: "Nobody, 2019, Journal of Invented Results 12:34-56".into(),
        doi: Some("10.0000/invented.1".into()),
        basis,
    };
    let alternative = |construct: Construct, known: &str| Alternative {
        construct,
        title: construct.label().into(),
        lost: None,
        known: vec![known.into()],
        against: vec!["47 leans into the gap".into()],
        sources: vec!["row-h".into()],
    };
    Report {
        schema: SCHEMA,
        program: "0.1.0".into(),
        seed: 7,
        draws: 2048,
        fidelity: "quick".into(),
        moment: "plan".into(),
        case: "invented-bridge".into(),
        subject: "bridge 45-47, 46 missing".into(),
        verdict: "A bridge of monolithic zirconia 3Y suits best; metal-ceramic comes near and costs more tooth".into(),
        too_close: false,
        set: None,
        arch: Arch { units: vec![unit(47, Role::Retainer), unit(46, Role::Pontic), unit(45, Role::Retainer)] },
        gates: vec![
            Gate {
                question: "Does 47 deserve a crown?".into(),
                verdict: Verdict::WithCare,
                text: "one wall of 3 mm is left; the core is old".into(),
                sources: vec!["row-g".into()],
            },
            Gate {
                question: "Does 45 deserve a crown?".into(),
                verdict: Verdict::Suits,
                text: "sound and vital".into(),
                sources: vec![],
            },
        ],
        options,
        alternatives: vec![
            alternative(Construct::LeaveGap, "neighbours may tilt further"),
            alternative(Construct::ImplantCrown, "spares both neighbours"),
            alternative(Construct::Removable, "least invasive, least liked"),
        ],
        ranking: Ranking {
            priorities: vec!["lasting".into(), "tissue".into()],
            mean_weights: [0.41, 0.13, 0.27, 0.19],
            ways: 8192,
            anchors: vec!["harm: from 0 to 4 years lost in 15".into()],
        },
        changes: None,
        case_against: None,
        open_questions: vec![
            OpenQuestion {
                field: "bite.grinding".into(),
                question: "Does the patient grind?".into(),
                outcomes: vec![
                    ("yes".into(), "metal-ceramic, layered".into()),
                    ("no".into(), "zirconia 3Y, monolithic".into()),
                ],
                flips: true,
                swing: 0.44,
            },
            OpenQuestion {
                field: "bite.force".into(),
                question: "How hard is the bite?".into(),
                outcomes: vec![],
                flips: false,
                swing: 0.08,
            },
        ],
        defaults: vec![
            DefaultUsed {
                field: "bite force".into(),
                assumed: "first molar, 480 N on average".into(),
                basis: Basis::Memory,
                source: Some("row-i".into()),
            },
            DefaultUsed {
                field: "taper".into(),
                assumed: "12 degrees, as practices achieve".into(),
                basis: Basis::Read,
                source: None,
            },
        ],
        cautions: vec!["Allergies to metals and methacrylates were not asked".into()],
        warnings: vec!["the age was given as a band".into()],
        evidence_year: 2025,
        sources: vec![source("row-a", Basis::Read), source("row-i", Basis::Memory)],
    }
}

/// Tooth sizes and limits as shipped, read once.
pub fn facts() -> Facts {
    static READ: std::sync::OnceLock<Facts> = std::sync::OnceLock::new();
    READ.get_or_init(|| Facts::of(&catalogue::Catalogue::shipped().expect("the shipped facts can be read"))).clone()
}

/// Writes a word into every text of the report.
pub fn with_text(text: &str) -> Report {
    let mut value = serde_json::to_value(report()).unwrap();
    // Words of closed lists and the version of the form must stay; all free text is replaced.
    const CLOSED: [&str; 17] = [
        "construct",
        "material",
        "build",
        "grade",
        "surface",
        "unit",
        "basis",
        "cause",
        "process",
        "consequence",
        "role",
        "tooth",
        "caveats",
        "moment",
        "fidelity",
        "dominated_by",
        "id",
    ];
    fn walk(value: &mut serde_json::Value, key: &str, text: &str) {
        match value {
            serde_json::Value::String(s) => {
                let closed = CLOSED.contains(&key)
                    || Question::parse(s).is_some()
                    || Surface::parse(s).is_some()
                    || ["suits", "with_care", "unsuitable", "not_known"].contains(&s.as_str());
                if !closed {
                    *s = text.to_owned();
                }
            }
            serde_json::Value::Array(items) => items.iter_mut().for_each(|v| walk(v, key, text)),
            serde_json::Value::Object(map) => map.iter_mut().for_each(|(k, v)| walk(v, k, text)),
            _ => {}
        }
    }
    walk(&mut value, "", text);
    serde_json::from_value(value).unwrap()
}
