//! What both backends promise alike: a file, and a real PostgreSQL server.
#![allow(clippy::unwrap_used, clippy::panic)] // tests fail by panicking

mod common;

use common::{author, criteria, crown, day, event, places, recall, rules, sent_back, today};
use register::counting::{Endpoint, Question};
use register::words::{Consequence, EventKind, Grouping};
use register::{Counting, Entered, Kept, NotEntered, Record, Store, enter};
use store::{Keeper, StoreError};

#[test]
fn what_is_entered_is_found_again_and_entering_it_twice_changes_nothing() {
    let criteria = criteria();
    for place in places() {
        let mut keeper = Keeper::create(&place, None).unwrap();
        let records = [
            crown("R1", "P01", "46", "2020-03-02"),
            sent_back("T1", "R1", "2020-02-20"),
            recall("C1", "R1", "2021-03-01"),
            event("E1", "R1", "2022-05-04", EventKind::Debonding, Consequence::PutBack),
        ];
        let outcome = enter(&mut keeper, &author(), "P01", &records, rules(&criteria)).unwrap();
        assert_eq!(outcome, [Entered::Added; 4], "{place}");
        let again = enter(&mut keeper, &author(), "P01", &records, rules(&criteria)).unwrap();
        assert_eq!(again, [Entered::Unchanged; 4], "{place}");
        let chart = keeper.charts(&["P01".into()]).unwrap().pop().unwrap();
        for record in &records {
            assert_eq!(chart.standing_in_for(&record.value).unwrap().value, record.value, "{place}");
        }
        assert_eq!(keeper.patient_of("R1").unwrap().as_deref(), Some("P01"));
        assert_eq!(keeper.totals().unwrap().recalls, 1);
    }
}

#[test]
fn the_history_tells_who_when_and_what_stood_there_before() {
    let criteria = criteria();
    for place in places() {
        let mut keeper = Keeper::create(&place, Some("a passphrase")).unwrap();
        let first = crown("R1", "P01", "46", "2020-03-02");
        enter(&mut keeper, &author(), "P01", std::slice::from_ref(&first), rules(&criteria)).unwrap();
        let Record::Restoration(mut changed) = first.value.clone() else { panic!() };
        changed.laboratory = Some("Quay".into());
        let change = Kept { version: 1, value: Record::Restoration(changed) };
        enter(&mut keeper, &author(), "P01", &[change], rules(&criteria)).unwrap();
        let lines = keeper.history("restoration", "R1").unwrap();
        assert_eq!(lines.iter().map(|l| l.version).collect::<Vec<_>>(), [1, 2], "{place}");
        assert_eq!((lines[1].who.as_str(), lines[1].at_ms), ("tester", author().at_ms));
        assert!(lines[0].before.is_none());
        assert_eq!(serde_json::from_str::<Record>(lines[1].before.as_ref().unwrap()).unwrap(), first.value);
    }
}

#[test]
fn of_two_users_who_change_the_same_record_the_second_is_refused() {
    let criteria = criteria();
    for place in places() {
        let mut one = Keeper::create(&place, None).unwrap();
        enter(&mut one, &author(), "P01", &[crown("R1", "P01", "46", "2020-03-02")], rules(&criteria)).unwrap();
        let mut two = Keeper::open(&place, None).unwrap();
        // Both look at the chart, then both change it.
        let mut charts =
            [one.charts(&["P01".into()]).unwrap().remove(0), two.charts(&["P01".into()]).unwrap().remove(0)];
        let writings: Vec<_> = charts
            .iter_mut()
            .zip(["Quay", "Mill"])
            .map(|(chart, laboratory)| {
                let Record::Restoration(mut r) = crown("R1", "P01", "46", "2020-03-02").value else { panic!() };
                r.laboratory = Some(laboratory.into());
                register::lay(chart, &[Kept { version: 1, value: Record::Restoration(r) }], rules(&criteria)).unwrap().0
            })
            .collect();
        one.write(&author(), &writings[..1], register::Told::Each).unwrap();
        let refused = two.write(&author(), &writings[1..], register::Told::Each).unwrap_err();
        assert!(matches!(refused, StoreError::Conflict(_)), "{place}: {refused}");
        let kept = two.charts(&["P01".into()]).unwrap().remove(0);
        assert_eq!(kept.restorations[0].restoration.value.laboratory.as_deref(), Some("Quay"));
        // A change from a version that is gone is refused before anything is sent.
        let late = Kept { version: 1, value: writings[1].records[0].value.clone() };
        let refused = enter(&mut two, &author(), "P01", &[late], rules(&criteria)).unwrap_err();
        assert!(matches!(refused, NotEntered::Refused(_)));
    }
}

#[test]
fn two_users_who_add_to_one_chart_at_once_both_succeed() {
    let criteria = criteria();
    for place in places() {
        let mut first = Keeper::create(&place, None).unwrap();
        enter(&mut first, &author(), "P01", &[crown("R1", "P01", "46", "2020-03-02")], rules(&criteria)).unwrap();
        drop(first);
        std::thread::scope(|scope| {
            for user in 0..2 {
                let (place, criteria) = (&place, &criteria);
                scope.spawn(move || {
                    let mut keeper = Keeper::open(place, None).unwrap();
                    for n in 0..6 {
                        let on = day("2021-01-01").plus(n * 100 + user * 17).to_string();
                        let record = recall(&format!("C{user}.{n}"), "R1", &on);
                        enter(&mut keeper, &author(), "P01", &[record], rules(criteria)).unwrap();
                    }
                });
            }
        });
        let mut keeper = Keeper::open(&place, None).unwrap();
        let chart = keeper.charts(&["P01".into()]).unwrap().remove(0);
        assert_eq!(chart.restorations[0].recalls.len(), 12, "{place}");
        let question = Question {
            endpoint: Endpoint::Survival,
            by: Grouping::All,
            only: Vec::new(),
            seen_since: day("2000-01-01"),
        };
        // What is derived is that of the last recall, whoever wrote last.
        assert_eq!(keeper.ends(&question).unwrap()[0].days, day("2021-01-01").plus(517).since(day("2020-03-02")));
    }
}

#[test]
fn an_export_taken_in_again_gives_the_same_export_on_either_backend() {
    let criteria = criteria();
    for from in places() {
        let mut keeper = Keeper::create(&from, Some("one")).unwrap();
        for n in 1..=30 {
            let (patient, key) = (format!("P{n:02}"), format!("R{n}"));
            let mut records =
                vec![crown(&key, &patient, "46", "2020-03-02"), recall(&format!("C{n}"), &key, "2021-01-01")];
            if n % 3 == 0 {
                let end = event(&format!("E{n}"), &key, "2022-01-01", EventKind::Caries, Consequence::ToothLost);
                records.push(end);
            }
            enter(&mut keeper, &author(), &patient, &records, rules(&criteria)).unwrap();
        }
        let mut first = Vec::new();
        keeper.dump(&mut first).unwrap();
        for to in places() {
            let mut other = Keeper::create(&to, None).unwrap();
            other.load(&mut first.as_slice(), &criteria).unwrap();
            let mut second = Vec::new();
            other.dump(&mut second).unwrap();
            assert_eq!(String::from_utf8(first.clone()).unwrap(), String::from_utf8(second).unwrap(), "{from} to {to}");
            assert!(matches!(other.load(&mut first.as_slice(), &criteria), Err(StoreError::NotEmpty)));
            // The history goes on where it was.
            enter(&mut other, &author(), "P01", &[recall("late", "R1", "2023-01-01")], rules(&criteria)).unwrap();
        }
        for cut in [first.len() / 3, first.len() - 2] {
            let mut other = Keeper::create(&common::file(), None).unwrap();
            let refused = other.load(&mut &first[..cut], &criteria).unwrap_err();
            assert!(matches!(refused, StoreError::Unreadable { .. }), "{refused}");
            assert_eq!(other.totals().unwrap().patients, 0);
        }
    }
}

#[test]
fn nothing_is_deleted_and_the_history_is_not_changed_even_by_hand() {
    let criteria = criteria();
    for place in places() {
        let mut keeper = Keeper::create(&place, None).unwrap();
        enter(&mut keeper, &author(), "P01", &[crown("R1", "P01", "46", "2020-03-02")], rules(&criteria)).unwrap();
        for sql in
            ["DELETE FROM history", "UPDATE history SET who = 'x'", "DELETE FROM restoration", "DELETE FROM patient"]
        {
            let refused = keeper.by_hand(sql).unwrap_err();
            assert!(
                refused.to_string().contains("append-only") || refused.to_string().contains("never deleted"),
                "{refused}"
            );
        }
        assert_eq!(keeper.history("restoration", "R1").unwrap().len(), 1);
    }
}

#[test]
fn failures_before_placing_recalls_after_death_and_the_future_are_refused() {
    let criteria = criteria();
    for place in places() {
        let mut keeper = Keeper::create(&place, None).unwrap();
        enter(&mut keeper, &author(), "P01", &[crown("R1", "P01", "46", "2020-03-02")], rules(&criteria)).unwrap();
        let mut refuse = |record: Kept<Record>, words: &str| {
            let refused = enter(&mut keeper, &author(), "P01", &[record], rules(&criteria)).unwrap_err().to_string();
            assert!(refused.contains(words), "{refused}");
        };
        refuse(event("E1", "R1", "2020-03-01", EventKind::Chip, Consequence::Polished), "lies before placing");
        refuse(recall("C1", "R1", &today().plus(1).to_string()), "future");
        refuse(crown("R2", "P01", "46", "2021-03-02"), "carries `R1`");
        refuse(recall("C1", "R9", "2021-01-01"), "no restoration `R9`");
        drop(keeper);
    }
}
