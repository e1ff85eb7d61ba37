//! Counts made by the databases are those made one by one in memory, on an invented register, on both backends.
#![allow(clippy::unwrap_used, clippy::print_stdout, clippy::panic)] // tests fail by panicking

mod common;

use common::{author, criteria, day, places, rules, today};
use register::counting::{Counted, Endpoint, Question, count_in_memory};
use register::words::{EventKind, Grouping};
use register::{
    Chart, Counting, Held, Kept, Patient, Record, Store, Told, audit, invent, lay_one, standing, watch, writing,
};
use std::collections::BTreeMap;
use store::Keeper;

fn charts(n: usize) -> Vec<(Chart, Vec<Kept<Record>>)> {
    let criteria = criteria();
    let mut out = Vec::new();
    for (code, records) in invent(9, n, today()).patients {
        let mut chart = Chart::new(Kept::new(Patient::of_code(&code)));
        let kept: Vec<_> = records.into_iter().filter(|r| lay_one(&mut chart, r, rules(&criteria)).is_ok()).collect();
        out.push((chart, kept));
    }
    out
}

fn fill(keeper: &mut Keeper, charts: &[(Chart, Vec<Kept<Record>>)]) {
    let criteria = criteria();
    let writings: Vec<_> = charts.iter().map(|(c, kept)| writing(c, 0, kept.clone(), &criteria)).collect();
    keeper.write(&author(), &writings, Told::Batch("invented")).unwrap();
}

fn counted(chart: &Chart, held: &Held) -> Option<Counted> {
    let s = standing(held, &criteria())?;
    let r = &held.restoration.value;
    let values = BTreeMap::from([
        (Grouping::Material, r.material.word().to_owned()),
        (Grouping::Laboratory, r.laboratory.clone().unwrap_or_default()),
        (Grouping::Region, r.region().word().to_owned()),
        (Grouping::Year, s.placed.year().to_string()),
    ]);
    Some(Counted {
        patient: chart.patient.value.code.clone(),
        values,
        ends: BTreeMap::from([(Endpoint::Survival, (s.days, s.ended_by)), (Endpoint::Success, s.success())]),
        last_seen: s.placed.plus(s.days),
        left: chart.patient.value.left.is_some(),
        died: chart.patient.value.died.is_some(),
    })
}

#[test]
fn both_databases_count_as_one_counts_by_hand() {
    let charts = charts(300);
    let rows: Vec<Counted> =
        charts.iter().flat_map(|(c, _)| c.restorations.iter().filter_map(|h| counted(c, h))).collect();
    assert!(rows.len() > 200);
    for place in places() {
        let mut keeper = Keeper::create(&place, Some("sealed")).unwrap();
        fill(&mut keeper, &charts);
        for endpoint in [Endpoint::Survival, Endpoint::Success] {
            for by in [Grouping::All, Grouping::Material, Grouping::Laboratory, Grouping::Region, Grouping::Year] {
                for only in [Vec::new(), vec![(Grouping::Laboratory, "Quay".to_owned())]] {
                    let question = Question { endpoint, by, only, seen_since: day("2024-06-30") };
                    let (ends, clusters) = count_in_memory(&rows, &question);
                    assert_eq!(keeper.ends(&question).unwrap(), ends, "{place} {question:?}");
                    let found = keeper.clusters(&question).unwrap();
                    assert_eq!(found.len(), clusters.len());
                    for (a, b) in found.iter().zip(&clusters) {
                        assert_eq!((&a.group, a.restorations, a.patients), (&b.group, b.restorations, b.patients));
                        // Sums of years are added in another order.
                        assert!((a.design_effect() - b.design_effect()).abs() < 1e-9, "{a:?} {b:?}");
                    }
                }
            }
        }
        let (arms, events) = keeper.arm_counts().unwrap();
        assert_eq!(arms.iter().map(|a| a.restorations).sum::<i64>(), rows.len() as i64);
        let lost = |r: &Counted| r.ends[&Endpoint::Survival].1.is_some_and(EventKind::is_failure);
        let losses: i64 = arms.iter().map(|a| a.losses).sum();
        assert_eq!(losses, rows.iter().filter(|r| lost(r)).count() as i64);
        assert_eq!(losses, events.iter().filter(|e| e.ended && e.kind.is_failure()).map(|e| e.count).sum::<i64>());
    }
}

#[test]
fn the_laboratory_that_drifts_in_year_nine_is_caught_and_the_others_are_not_blamed_for_it() {
    let invented = invent(9, 2600, today());
    let mut keeper = Keeper::create(&common::file(), None).unwrap();
    fill(&mut keeper, &charts(2600));
    let found = watch::watch(&mut keeper, 1000.0, today()).unwrap();
    let chart = |laboratory: &str| {
        let of = |c: &&watch::Chart| {
            c.laboratory == laboratory && c.material.is_empty() && c.watched == watch::Watched::SentBack
        };
        found.charts.iter().find(of).unwrap()
    };
    let from = invented.drift_from;
    // A false alarm may have come before; the one that counts is the first after the drift began.
    let first = chart("Mill").alerts.iter().find(|a| a.signalled >= from).unwrap();
    // Designed for the upper limit of a baseline of few failures, the chart of what was sent back is slow (it says so itself); the other is not.
    assert!(first.signalled.since(from) < 600, "{} after {from}", first.signalled);
    let not_at_once =
        |c: &&watch::Chart| c.laboratory == "Mill" && c.material.is_empty() && c.watched == watch::Watched::NotAtOnce;
    let soon = found.charts.iter().find(not_at_once).unwrap().alerts.iter().find(|a| a.signalled >= from).unwrap();
    assert!(soon.signalled.since(from) < 250, "{} after {from}", soon.signalled);
    assert!(first.since.since(from).abs() < 250, "{} against {from}", first.since);
    assert!(first.ratio[0] > 1.0, "{:?}", first.ratio);
    // A chart of a thousand try-ins to a false alarm may well give one in 700; more than one would say the charts are wrong.
    for laboratory in ["North", "Quay"] {
        assert!(chart(laboratory).alerts.len() <= 1, "{laboratory}: {:?}", chart(laboratory).alerts);
    }
    // What happens in the mouth: the two that do not drift give no more alerts than their charts state, by two standard errors of a count.
    let of_events = |c: &&watch::Chart| c.laboratory != "Mill" && c.watched >= watch::Watched::Debonding;
    let (alerts, stated) = found
        .charts
        .iter()
        .filter(of_events)
        .fold((0.0, 0.0), |s, c| (s.0 + c.alerts.len() as f64, s.1 + c.cases / c.false_alarm));
    println!("{alerts} alerts of events where {stated:.1} are stated");
    assert!(alerts <= stated + 2.0 * f64::sqrt(stated), "{alerts} for {stated}");
}

#[test]
fn drop_outs_bound_the_share_and_small_groups_give_no_share() {
    let mut keeper = Keeper::create(&common::file(), None).unwrap();
    fill(&mut keeper, &charts(400));
    let mut question = Question::all(Endpoint::Survival);
    question.seen_since = day("2024-06-30");
    let all = audit(&mut keeper, &question).unwrap();
    let group = &all[0];
    let bounds = group.drop_outs.unwrap();
    let at = group.curve.iter().find(|c| c.years == bounds.years).unwrap().share;
    assert!(bounds.worst < at && at <= bounds.best, "{bounds:?} {at}");
    // Survival ends no later than success, so fewer are free of trouble than stand.
    let success = audit(&mut keeper, &Question::all(Endpoint::Success)).unwrap();
    assert!(success[0].events > group.events);
    question.by = Grouping::Year;
    for year in audit(&mut keeper, &question).unwrap() {
        assert_eq!(year.small, year.restorations < register::SMALL);
        assert!(!year.small || year.curve.is_empty());
    }
}
