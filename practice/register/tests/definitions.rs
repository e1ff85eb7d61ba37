//! How survival and success are counted, on lives short enough to be counted by hand.
#![allow(clippy::unwrap_used)] // tests fail by panicking

use catalogue::words::{Build, Construct, Material, Tooth};
use register::words::{Consequence, EventKind, Scheme};
use register::{Criteria, Day, Event, Held, Kept, Recall, Restoration, Score, Standing, standing};

fn day(text: &str) -> Day {
    Day::parse(text).unwrap()
}

fn crown() -> Held {
    Held::new(Kept::new(Restoration {
        key: "R1".into(),
        patient: "P1".into(),
        teeth: vec![Tooth::new(46).unwrap()],
        construct: Construct::Crown,
        material: Material::Zirconia3y,
        build: Build::Layered,
        grade: None,
        dimensions: Vec::new(),
        laboratory: None,
        cement: None,
        operator: None,
        planned: None,
        ordered: None,
        placed: Some(day("2020-01-01")),
        option: None,
        note: None,
    }))
}

fn recall(held: &mut Held, on: &str, score: Option<&str>) {
    held.recalls.push(Kept::new(Recall {
        key: on.into(),
        restoration: "R1".into(),
        day: day(on),
        examiner: None,
        scheme: score.map(|_| Scheme::Fdi2023),
        scores: score.map(|s| Score { criterion: "F2".into(), score: s.into() }).into_iter().collect(),
        vital: None,
        note: None,
    }));
}

fn event(held: &mut Held, found: &str, happened: Option<&str>, kind: EventKind, consequence: Consequence) {
    held.events.push(Kept::new(Event {
        key: found.into(),
        restoration: "R1".into(),
        found: day(found),
        happened: happened.map(day),
        kind,
        grade: None,
        consequence,
        note: None,
    }));
}

fn stands(held: &Held) -> Standing {
    standing(held, &Criteria::shipped().unwrap()).unwrap()
}

#[test]
fn a_standing_crown_is_censored_when_last_seen_and_one_never_seen_adds_no_time() {
    let mut held = crown();
    assert_eq!(stands(&held).days, 0);
    recall(&mut held, "2021-01-01", None);
    recall(&mut held, "2022-01-01", None);
    let s = stands(&held);
    assert_eq!((s.days, s.ended_by, s.success()), (731, None, (731, None)));
}

#[test]
fn a_repaired_chip_ends_success_and_not_survival() {
    let mut held = crown();
    event(&mut held, "2021-01-01", None, EventKind::Chip, Consequence::Repaired);
    recall(&mut held, "2022-01-01", None);
    let s = stands(&held);
    assert_eq!((s.days, s.ended_by, s.complications), (731, None, 1));
    assert_eq!(s.success(), (366, Some(EventKind::Chip)));
}

#[test]
fn a_loss_found_at_a_recall_lies_between_two_looks_and_one_with_a_day_does_not() {
    let mut held = crown();
    recall(&mut held, "2021-01-01", None);
    event(&mut held, "2022-01-01", None, EventKind::Caries, Consequence::ToothLost);
    let s = stands(&held);
    assert_eq!((s.good_days, s.days, s.is_lost()), (366, 731, true));
    held.events[0].value.happened = Some(day("2021-07-01"));
    let s = stands(&held);
    assert_eq!((s.good_days, s.days), (547, 547));
}

#[test]
fn replacement_for_other_reasons_ends_the_follow_up_and_is_no_failure() {
    let mut held = crown();
    event(&mut held, "2021-01-01", None, EventKind::ReplacedOther, Consequence::Remade);
    let s = stands(&held);
    assert_eq!((s.days, s.is_lost(), s.ended_by), (366, false, Some(EventKind::ReplacedOther)));
    assert_eq!(s.success(), (366, Some(EventKind::ReplacedOther)));
}

#[test]
fn a_recall_scored_four_ends_success_as_the_criteria_say() {
    // FDI 2023 (Hickel et al. 2023): 1 to 3 acceptable, 4 not acceptable and repairable.
    for (score, ends) in [("3", false), ("4", true)] {
        let mut held = crown();
        recall(&mut held, "2021-01-01", Some(score));
        recall(&mut held, "2022-01-01", None);
        assert_eq!(stands(&held).success().1.is_some(), ends, "{score}");
        assert_eq!(stands(&held).ended_by, None);
    }
}
