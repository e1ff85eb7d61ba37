//! What a person should look at: figures of an arm against each other, cohorts whole and in part, arms that look alike.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use answer::Basis;
use evidence::*;
use std::collections::BTreeMap;

fn arm(id: &str) -> Arm {
    Arm {
        id: id.into(),
        cohort: id.into(),
        year: None,
        cell: Cell::new(["x"]),
        mixture: vec![],
        moderators: BTreeMap::new(),
        n: Some(100),
        units_per_subject: None,
        follow_up_years: 5.0,
        exposure: Some(Exposure { years: 480.0, computed: false }),
        losses: Some(5),
        counts: vec![],
        survival: vec![DatedSurvival { years: 5.0, survival: 0.95, se: None, at_risk: None }],
        basis: Basis::Read,
        pooled: Ok(()),
    }
}

fn found(arms: &[Arm]) -> String {
    reconcile(arms).iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn an_arm_that_agrees_with_itself_is_passed() {
    assert_eq!(found(&[arm("a")]), "");
}

#[test]
fn each_contradiction_is_named() {
    let mut crude = arm("a");
    crude.losses = Some(12);
    assert!(found(&[crude]).contains("12 of 100 lost leaves 88.0 %"));
    let mut rate = arm("a");
    rate.exposure = Some(Exposure { years: 200.0, computed: true });
    assert!(found(&[rate]).contains("5 losses in 200 unit-years"));
    let mut causes = arm("a");
    causes.counts = vec![CauseCount { cause: "break".into(), count: 7, fate: Fate::Lost }];
    assert!(found(&[causes]).contains("7 losses by cause, but 5 in all"));
    let mut long = arm("a");
    long.exposure = Some(Exposure { years: 900.0, computed: false });
    long.survival.clear();
    assert!(found(&[long]).contains("number times follow-up"));
}

#[test]
fn cohorts_that_overlap_and_arms_that_look_alike_are_named() {
    let (mut whole, mut part) = (arm("a"), arm("b"));
    whole.cohort = "Study-2010".into();
    part.cohort = "Study-2010.front".into();
    part.n = Some(40);
    part.losses = Some(2);
    part.exposure = None;
    let text = found(&[whole.clone(), part.clone()]);
    assert!(text.contains("part of `Study-2010`, which is pooled through `a`"), "{text}");
    part.pooled = Err("in the whole".into());
    assert_eq!(found(&[whole, part]), "");
    let text = found(&[arm("a"), arm("b")]);
    assert!(text.contains("same kind, number, follow-up and losses as `a`"), "{text}");
}

#[test]
fn survivals_are_worth_their_rate_as_counts() {
    let counted = effective_counts(&Arm { survival: vec![], ..arm("a") }).unwrap();
    assert_eq!((counted.events, counted.years, counted.from_survival), (5.0, 480.0, false));
    let dated = effective_counts(&arm("a")).unwrap();
    assert!(dated.from_survival && (dated.events / dated.years + 0.95f64.ln() / 5.0).abs() < 1e-12);
    assert!(dated.events < 5.0, "units that left early are not counted in full");
    let mut perfect = arm("a");
    perfect.survival[0].survival = 1.0;
    let perfect = effective_counts(&perfect).unwrap();
    assert!(perfect.events == 0.0 && perfect.years > 100.0);
    assert!(effective_counts(&Arm { pooled: Err("why".into()), ..arm("a") }).is_err());
}
