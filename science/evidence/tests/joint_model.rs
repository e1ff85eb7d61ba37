//! The joint model: what the mathematics promises whatever the arms.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use answer::{Basis, NoProgress, Progress, World};
use evidence::*;
use std::collections::BTreeMap;
use std::ops::ControlFlow;

fn cause(name: &str, levels: &[usize], alone: &[&str]) -> Cause {
    Cause {
        name: name.into(),
        prior_share: 1.0,
        prior_rate: 0.01,
        levels: levels.to_vec(),
        moderators: Vec::new(),
        alone: alone.iter().map(|s| (*s).to_owned()).collect(),
    }
}

/// Short chains: the promises tested here do not need precision.
fn quick() -> Model {
    let mut model = Model::new(vec![cause("break", &[0, 1], &["rare"]), cause("wear", &[0], &[])]);
    model.warm_up = 200;
    model.kept = 64;
    model
}

fn arm(id: &str, cell: &[&str], n: u32, years: f64, losses: u32) -> Arm {
    Arm {
        id: id.into(),
        cohort: id.into(),
        year: None,
        cell: Cell::new(cell.iter().copied()),
        mixture: vec![],
        moderators: BTreeMap::new(),
        n: Some(n),
        units_per_subject: None,
        follow_up_years: years,
        exposure: Some(Exposure { years: f64::from(n) * years, computed: false }),
        losses: Some(losses),
        counts: vec![],
        survival: vec![],
        basis: Basis::Read,
        pooled: Ok(()),
    }
}

fn five_years(posterior: &Posterior, cell: &[&str]) -> answer::Interval {
    let world = World::with_draws(5, posterior.draws());
    let prediction = posterior.predict(&world, &Setting::of(Cell::new(cell.iter().copied())));
    prediction.total_loss.cumulative(5.0).interval()
}

#[test]
fn the_order_of_the_arms_does_not_matter() {
    let arms: Vec<Arm> = (0..6).map(|i| arm(&format!("a{i}"), &["x", "y"], 80, 5.0, i)).collect();
    let mut turned = arms.clone();
    turned.reverse();
    let (a, b) = (fit(&arms, &quick(), &NoProgress).unwrap(), fit(&turned, &quick(), &NoProgress).unwrap());
    assert_eq!(a, b);
    assert!(a.is_of(&turned, &quick()));
    turned[0].losses = Some(9);
    assert!(!a.is_of(&turned, &quick()), "the guard sees a changed count");
}

#[test]
fn twice_the_units_with_twice_the_losses_have_the_same_risk() {
    let long: Vec<Arm> = (0..5).map(|i| arm(&format!("a{i}"), &["x"], 100, 5.0, 10)).collect();
    let mut more = long.clone();
    for a in &mut more {
        a.exposure = Some(Exposure { years: 1000.0, computed: false });
        a.losses = Some(20);
    }
    let (a, b) = (fit(&long, &quick(), &NoProgress).unwrap(), fit(&more, &quick(), &NoProgress).unwrap());
    let (a, b) = (five_years(&a, &["x"]), five_years(&b, &["x"]));
    // 50 against 100 events: Poisson error of ln rate 0.14, hence 0.2.
    assert!((a.median / b.median).ln().abs() < 0.2, "{a:?} {b:?}");
}

#[test]
fn one_arm_two_arms_and_no_events_give_wide_finite_answers() {
    for arms in [
        vec![arm("a", &["x"], 50, 5.0, 2)],
        vec![arm("a", &["x"], 50, 5.0, 2), arm("b", &["x"], 30, 3.0, 0)],
        (0..8).map(|i| arm(&format!("a{i}"), &["x"], 60, 5.0, 0)).collect(),
        vec![],
    ] {
        let posterior = fit(&arms, &quick(), &NoProgress).unwrap();
        let risk = five_years(&posterior, &["x"]);
        assert!(risk.low > 0.0 && risk.high < 1.0 && risk.high / risk.low > 3.0, "{} arms: {risk:?}", arms.len());
    }
}

#[test]
fn no_events_in_more_units_lower_the_risk() {
    let risk = |n: u32| {
        let arms: Vec<Arm> = (0..6).map(|i| arm(&format!("a{i}"), &["x"], n, 5.0, 0)).collect();
        five_years(&fit(&arms, &quick(), &NoProgress).unwrap(), &["x"]).median
    };
    assert!(risk(20) > risk(400));
}

#[test]
fn huge_scatter_widens_the_answer() {
    let losses = [0, 60, 1, 45, 0, 70, 2, 55];
    let scattered: Vec<Arm> =
        losses.iter().enumerate().map(|(i, &l)| arm(&format!("a{i}"), &["x"], 100, 5.0, l)).collect();
    let even: Vec<Arm> = (0..8).map(|i| arm(&format!("a{i}"), &["x"], 100, 5.0, 29)).collect();
    let (wide, narrow) = (fit(&scattered, &quick(), &NoProgress).unwrap(), fit(&even, &quick(), &NoProgress).unwrap());
    let width = |i: answer::Interval| (i.high / i.low).ln();
    assert!(width(five_years(&wide, &["x"])) > 2.0 * width(five_years(&narrow, &["x"])));
}

#[test]
fn known_rates_come_back_and_a_cell_with_one_arm_leans() {
    // Cell y: 1 % a year in eight large arms; cell z: the same parent, one small arm with no loss.
    let mut arms: Vec<Arm> = (0..8).map(|i| arm(&format!("y{i}"), &["x", "y"], 400, 5.0, 20)).collect();
    arms.push(arm("z", &["x", "z"], 15, 2.0, 0));
    let posterior = fit(&arms, &quick(), &NoProgress).unwrap();
    let world = World::with_draws(5, posterior.draws());
    let of = |label: &str| posterior.predict(&world, &Setting::of(Cell::new(["x", label])));
    let known = of("y");
    let risk = known.average_loss.cumulative(5.0).interval();
    // 1 - exp(-0.05) = 0.0488.
    assert!(risk.low < 0.0488 && risk.high > 0.0488 && risk.high < 0.075, "{risk:?}");
    assert_eq!((known.directness, known.arms), (Directness::Own, 8));
    let leaning = of("z").total_loss.cumulative(5.0).interval();
    assert!(
        leaning.median > 0.01 && leaning.high > risk.high,
        "one empty arm neither says 0 nor is it sure: {leaning:?}"
    );
    let unseen = of("never seen");
    assert_eq!((unseen.directness, unseen.arms), (Directness::Parent(1), 9));
    let nowhere = posterior.predict(&world, &Setting::of(Cell::new(["elsewhere"])));
    assert_eq!((nowhere.directness, nowhere.arms), (Directness::None, 0));
}

#[test]
fn causes_split_add_up_and_say_what_is_not_known() {
    let mut arms: Vec<Arm> = (0..6).map(|i| arm(&format!("a{i}"), &["x", "y"], 300, 5.0, 20)).collect();
    for a in &mut arms {
        a.counts = vec![
            CauseCount { cause: "break".into(), count: 15, fate: Fate::Lost },
            CauseCount { cause: "wear".into(), count: 30, fate: Fate::Repaired },
        ];
    }
    let posterior = fit(&arms, &quick(), &NoProgress).unwrap();
    let world = World::with_draws(5, posterior.draws());
    let p = posterior.predict(&world, &Setting::of(Cell::new(["x", "y"])));
    let (breaks, wear) = (p.loss[0].curve.rate(), p.loss[1].curve.rate());
    for k in 0..posterior.draws() {
        assert!((breaks.get(k) + wear.get(k) - p.total_loss.rate().get(k)).abs() < 1e-12);
    }
    let share = breaks.zip(&p.total_loss.rate(), |b, t| b / t).interval();
    assert!(share.low < 0.75 && share.high > 0.70, "15 of 20 in each arm: {share:?}");
    assert!(!p.loss[0].little_known && p.loss[1].little_known);
    // Complications recur: 30 in 1500 unit-years is 2 % a year.
    let wear = p.complications[1].curve.rate().interval();
    assert!(wear.low < 0.02 && wear.high > 0.02);
    let rare = posterior.predict(&world, &Setting::of(Cell::new(["x", "rare"])));
    assert_eq!(rare.not_known(), vec!["break"]);
    assert!(p.not_known().is_empty());
    // A hazard ratio acts on its own cause only.
    let mut setting = Setting::of(Cell::new(["x", "y"]));
    setting.hazard_ratios = vec![("wear".into(), answer::Draws::constant(posterior.draws(), 2.0))];
    let doubled = posterior.predict(&world, &setting);
    assert!((doubled.loss[1].curve.rate().mean() / p.loss[1].curve.rate().mean() - 2.0).abs() < 1e-9);
    assert_eq!(doubled.loss[0], p.loss[0]);
}

#[test]
fn later_years_widen_beyond_the_longest_arm() {
    let arms: Vec<Arm> = (0..6).map(|i| arm(&format!("a{i}"), &["x"], 300, 6.0, 20)).collect();
    let posterior = fit(&arms, &quick(), &NoProgress).unwrap();
    let p = posterior.predict(&World::with_draws(5, posterior.draws()), &Setting::of(Cell::new(["x"])));
    assert!(p.total_loss.is_extrapolated(6.5) && !p.total_loss.is_extrapolated(6.0));
    let mut before = p.total_loss.cumulative(0.0);
    for t in [1.0, 3.0, 6.0, 6.1, 8.0, 15.0, 25.0] {
        let now = p.total_loss.cumulative(t);
        assert!(now.iter().zip(before.iter()).all(|(a, b)| a >= b && a < 1.0), "risk never falls (year {t})");
        before = now;
    }
}

#[test]
fn dated_survival_and_counts_of_the_same_arm_agree() {
    let counted: Vec<Arm> = (0..6).map(|i| arm(&format!("a{i}"), &["x"], 200, 5.0, 19)).collect();
    let dated: Vec<Arm> = counted
        .iter()
        .map(|a| Arm {
            survival: vec![DatedSurvival { years: 5.0, survival: 1.0 - 19.0 / 200.0, se: None, at_risk: None }],
            ..a.clone()
        })
        .collect();
    let (a, b) = (fit(&counted, &quick(), &NoProgress).unwrap(), fit(&dated, &quick(), &NoProgress).unwrap());
    let (a, b) = (five_years(&a, &["x"]), five_years(&b, &["x"]));
    assert!((a.median / b.median).ln().abs() < 0.15, "{a:?} {b:?}");
    // Perfect survival is no infinity.
    let perfect: Vec<Arm> = dated
        .into_iter()
        .map(|mut a| {
            a.survival[0].survival = 1.0;
            a
        })
        .collect();
    let perfect = five_years(&fit(&perfect, &quick(), &NoProgress).unwrap(), &["x"]);
    assert!(perfect.low > 0.0 && perfect.high < b.high);
}

#[test]
fn what_cannot_be_right_is_refused_with_the_arm_and_field() {
    let mut twice = vec![arm("a", &["x"], 10, 5.0, 1), arm("a", &["x"], 10, 5.0, 1)];
    twice[1].losses = Some(11);
    twice[1].survival = vec![DatedSurvival { years: 5.0, survival: 97.0, se: None, at_risk: None }];
    twice[1].exposure = Some(Exposure { years: f64::NAN, computed: false });
    let Err(FitError::Arms(issues)) = fit(&twice, &quick(), &NoProgress) else { panic!("must be refused") };
    let text = issues.iter().map(ToString::to_string).collect::<Vec<String>>().join("\n");
    for field in ["id", "losses", "survival", "exposure", "cohort"] {
        assert!(text.contains(&format!("arm `a`, {field}")), "{field} in:\n{text}");
    }
    let mut left_out = vec![arm("a", &["x"], 10, 5.0, 1), arm("b", &["x"], 10, 5.0, 1)];
    left_out[1].pooled = Err("superseded by a".into());
    left_out[1].cohort = "a".into();
    let posterior = fit(&left_out, &quick(), &NoProgress).unwrap();
    assert_eq!(posterior.unused(), [("b".to_owned(), "superseded by a".to_owned())]);
}

#[test]
fn it_can_be_stopped_and_kept() {
    struct Stop;
    impl Progress for Stop {
        fn step(&self, _: usize, _: usize) -> ControlFlow<()> {
            ControlFlow::Break(())
        }
    }
    let arms: Vec<Arm> = (0..3).map(|i| arm(&format!("a{i}"), &["x"], 80, 5.0, i)).collect();
    assert!(matches!(fit(&arms, &quick(), &Stop), Err(FitError::Interrupted(_))));
    let posterior = fit(&arms, &quick(), &NoProgress).unwrap();
    let text = serde_json::to_string(&posterior).unwrap();
    let back: Posterior = serde_json::from_str(&text).unwrap();
    assert!(back.is_sound() && back.is_of(&arms, &quick()));
    // Parsing may move the last bit of a bound; answers agree to rounding.
    let (a, b) = (five_years(&posterior, &["x"]), five_years(&back, &["x"]));
    assert!((a.mean - b.mean).abs() < 1e-12);
    let cut: Posterior = serde_json::from_str(&text.replacen("\"text\":\"", "\"text\":\"!", 1)).unwrap();
    assert!(!cut.is_sound() && !cut.is_of(&arms, &quick()), "a damaged file is seen");
}

#[test]
fn own_results_move_the_answer_towards_them_and_count_once() {
    let arms: Vec<Arm> = (0..10).map(|i| arm(&format!("a{i}"), &["x"], 200, 5.0, 5 + 3 * i)).collect();
    let mut model = quick();
    model.kept = 256;
    let posterior = fit(&arms, &model, &NoProgress).unwrap();
    let world = World::with_draws(5, posterior.draws());
    // 60 of 300 lost in five years: far above the mean of the studies (9 %), within their scatter.
    let own = arm("own", &["x"], 300, 5.0, 60);
    let seen = posterior.reweight(&world, std::slice::from_ref(&own)).unwrap();
    assert!(!seen.needs_refit(), "k {}", seen.pareto_k);
    assert!(seen.effective_draws > 50.0 && seen.posterior.is_sound());
    let setting = Setting::of(Cell::new(["x"]));
    let risk = |p: &Posterior, s: &Setting| p.predict(&world, s).total_loss.cumulative(5.0).interval();
    let here = risk(&seen.posterior, &Setting { clinic: Some(seen.clinic.clone()), ..setting.clone() });
    // 1 - exp(-60/300) = 0.181 with a Poisson error of 13 %.
    assert!(here.low < 0.181 && here.high > 0.181 && here.high - here.low < 0.12, "{here:?}");
    let (before, after) = (risk(&posterior, &setting), risk(&seen.posterior, &setting));
    assert!(after.mean > before.mean, "a new clinic's odds rise a little too");
    assert!(after.mean < here.mean);
    // The same by a fit that has the own arm among the rest: a new clinic's median agrees.
    let mut all = arms.clone();
    all.push(own.clone());
    let joint = risk(&fit(&all, &model, &NoProgress).unwrap(), &setting);
    // Monte Carlo error of both at some hundred effective draws.
    assert!((joint.median / after.median).ln().abs() < 0.15, "{joint:?} {after:?}");
    assert!(posterior.reweight(&world, &arms[..1]).is_err(), "an arm already counted is refused");
    let nothing = posterior.reweight(&world, &[]).unwrap();
    assert!((nothing.effective_draws - 1024.0).abs() < 1e-6);
}
