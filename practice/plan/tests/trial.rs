//! A trial answers as the plan does, and follows what is dragged in the direction the trade expects.
#![allow(clippy::unwrap_used)] // a test fails by panicking

use case::Case;
use catalogue::Catalogue;
use catalogue::words::Question;
use plan::{Fidelity, Settings, Tried, Workbench, plan};
use std::sync::Arc;

fn bridge() -> Case {
    Case::parse("bridge", include_str!("../../../examples/bridge-45-47.toml")).unwrap().0
}

const OPTION: &str = "bridge.zirconia_3y.monolithic";

#[test]
fn a_trial_of_nothing_is_the_instant_plan() {
    let (case, catalogue) = (bridge(), Catalogue::shipped().unwrap());
    let posterior = plan::shipped_posterior().unwrap();
    let settings = Settings {
        seed: 1,
        fidelity: Fidelity::Instant,
        today: "2026-01".into(),
        name: "bridge".into(),
        program: "test".into(),
        warnings: Vec::new(),
        changes: false,
        shown: Arc::default(),
    };
    let report = plan(&case, &catalogue, &posterior, &settings, &answer::NoProgress).unwrap();
    let option = report.option(OPTION).unwrap();
    let bench = Workbench::new(&posterior, Arc::default());
    let trial = bench.tried(&case, &catalogue, OPTION, &Tried::default()).unwrap().unwrap();
    assert_eq!(trial.curve, option.loss_curve);
    for question in [Question::Last, Question::Break, Question::Lose, Question::Hold] {
        let of = |list: &[plan::QuestionAnswer]| list.iter().find(|a| a.question == question).unwrap().value;
        assert_eq!(of(&trial.questions), of(&option.answers), "{question}");
    }
}

#[test]
fn a_higher_connector_breaks_less_a_thicker_wall_costs_more_tooth_and_a_steeper_taper_is_judged() {
    let (case, catalogue) = (bridge(), Catalogue::shipped().unwrap());
    let bench = Workbench::new(&plan::shipped_posterior().unwrap(), Arc::default());
    let value = |tried: &Tried, question: Question| {
        let trial = bench.tried(&case, &catalogue, OPTION, tried).unwrap().unwrap();
        trial.questions.iter().find(|a| a.question == question).unwrap().value.unwrap().mean
    };
    let high = |mm: f64| value(&Tried { connector_height: Some(mm), ..Tried::default() }, Question::Break);
    assert!(high(2.5) > high(3.5) && high(3.5) > high(5.0), "{} {} {}", high(2.5), high(3.5), high(5.0));
    let thick = |mm: f64| value(&Tried { thickness: Some(mm), ..Tried::default() }, Question::Lose);
    assert!(thick(2.0) > thick(1.0), "{} {}", thick(2.0), thick(1.0));
    let tapered = |degrees: f64| {
        let tried = Tried { taper: Some(degrees), ..Tried::default() };
        let trial = bench.tried(&case, &catalogue, OPTION, &tried).unwrap().unwrap();
        trial.questions.into_iter().find(|a| a.question == Question::Hold).unwrap().reasons.join(" ")
    };
    assert!(tapered(30.0).contains("converge by 30 degrees"), "{}", tapered(30.0));
    assert!(bench.tried(&case, &catalogue, "no.such.option", &Tried::default()).unwrap().is_none());
}

#[test]
fn what_is_kept_of_one_case_is_not_told_of_another() {
    let catalogue = Catalogue::shipped().unwrap();
    let posterior = plan::shipped_posterior().unwrap();
    let mut other = bridge();
    // Another colour beneath, another wish, another tooth prepared by another taper: all that is kept between two trials would differ.
    other.abutments[0].substrate = Some(case::words::Substrate::MetalPost);
    other.mouth.age = None;
    let kept = Workbench::new(&posterior, Arc::default());
    let asked = |bench: &Workbench, case: &Case, tried: &Tried| {
        bench.tried(case, &catalogue, "bridge.lithium_disilicate.monolithic", tried).unwrap().unwrap()
    };
    let thin = Tried { thickness: Some(0.8), taper: Some(20.0), ..Tried::default() };
    let first = asked(&kept, &bridge(), &thin);
    assert!(kept.knows(&bridge()) && !kept.knows(&other));
    let second = asked(&kept, &other, &thin);
    assert!(kept.knows(&other));
    assert_ne!(first.questions, second.questions);
    assert_eq!(second, asked(&Workbench::new(&posterior, Arc::default()), &other, &thin));
    assert_eq!(first, asked(&kept, &bridge(), &thin), "and back");
}
