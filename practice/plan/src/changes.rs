//! What would change the answer: a search over findings, dimensions, grades and priorities, smallest change first, each computed again.
//!
//! A change is one field of the case moved by one step of its list or by a stated length. Size: 1 for a neighbouring word of a list (its
//! distance in the list beyond that), the length over half a millimetre for a dimension, 1 for a priority that moves one place
//! up and for a grade.
//! Changes are single, not combined. All changes are computed on the same thinned draws, so that they are compared within a draw.

use case::Case;
use case::words::{DryField, Filled, Grinding, Matter, Opposing, Pulp, Room, Substrate, Visible};
use catalogue::words::{Grade, Tooth};

/// One way in which the case could be otherwise.
pub struct Otherwise {
    /// `finding`, `dimension`, `grade` or `priority`.
    pub kind: &'static str,
    /// In plain words.
    pub what: String,
    /// Size, for sorting.
    pub size: f64,
    /// The case as it would be.
    pub case: Case,
    /// The only grade to be had; `None`: each option takes its best.
    pub only: Option<Grade>,
}

/// Everything tried for a case, smallest first.
pub fn otherwise(case: &Case) -> Vec<Otherwise> {
    let mut list = Vec::new();
    mouth(case, &mut list);
    case.standing().into_iter().for_each(|tooth| abutment(case, tooth, &mut list));
    lengths(case, &mut list);
    grades(case, &mut list);
    priorities(case, &mut list);
    list.sort_by(|a, b| a.size.total_cmp(&b.size).then(a.what.cmp(&b.what)));
    list
}

/// Every other word of a list, by its distance from the word given; from none, one step.
fn words<T: Copy + PartialEq>(
    list: &mut Vec<Otherwise>,
    case: &Case,
    name: &str,
    all: &[T],
    now: Option<T>,
    label: impl Fn(T) -> &'static str,
    set: impl Fn(&mut Case, T),
) {
    let place = now.and_then(|n| all.iter().position(|a| *a == n));
    for (i, word) in all.iter().enumerate().filter(|(_, w)| Some(**w) != now) {
        let mut with = case.clone();
        set(&mut with, *word);
        let size = place.map_or(1.0, |p| (p as f64 - i as f64).abs());
        let before = now.map_or("not known", &label);
        list.push(Otherwise {
            kind: "finding",
            what: format!("{name}: {} instead of {before}", label(*word)),
            size,
            case: with,
            only: None,
        });
    }
}

fn mouth(case: &Case, list: &mut Vec<Otherwise>) {
    let m = &case.mouth;
    words(list, case, "grinding", Grinding::ALL, m.grinding, |w| w.label(), |c, w| c.mouth.grinding = Some(w));
    words(list, case, "dry field", DryField::ALL, m.dry_field, |w| w.label(), |c, w| c.mouth.dry_field = Some(w));
    words(list, case, "how much is seen", Visible::ALL, m.visible, |w| w.label(), |c, w| c.mouth.visible = Some(w));
    words(list, case, "what it bites on", Opposing::ALL, m.opposing, |w| w.label(), |c, w| c.mouth.opposing = Some(w));
    if case.space.millimetres().is_none() {
        words(list, case, "room", Room::ALL, case.space.room, |w| w.label(), |c, w| c.space.room = Some(w));
    }
}

fn abutment(case: &Case, tooth: Tooth, list: &mut Vec<Otherwise>) {
    let Some(i) = case.abutments.iter().position(|a| a.tooth == tooth) else { return };
    let a = &case.abutments[i];
    let pulp = [Pulp::Vital, Pulp::RootFilled];
    words(list, case, &format!("pulp of {tooth}"), &pulp, a.pulp, |w| w.label(), |c, w| c.abutments[i].pulp = Some(w));
    words(
        list,
        case,
        &format!("filling of {tooth}"),
        Filled::ALL,
        a.filled,
        |w| w.label(),
        |c, w| {
            c.abutments[i].filled = Some(w);
        },
    );
    // A measured stump says more than a word for what lies beneath.
    if a.stump.is_none() {
        let beneath =
            [Substrate::Dentine, Substrate::DiscolouredDentine, Substrate::CompositeCore, Substrate::MetalPost];
        words(
            list,
            case,
            &format!("beneath {tooth}"),
            &beneath,
            a.substrate,
            |w| w.label(),
            |c, w| {
                c.abutments[i].substrate = Some(w);
            },
        );
    }
}

/// Half a millimetre and one millimetre more and less of each length that is given.
fn lengths(case: &Case, list: &mut Vec<Otherwise>) {
    length(list, case, "room planned", case.space.planned_mm, |c, mm| c.space.planned_mm = Some(mm));
    length(list, case, "connector height", case.space.connector_height_mm, |c, mm| {
        c.space.connector_height_mm = Some(mm)
    });
    length(list, case, "connector width", case.space.connector_width_mm, |c, mm| c.space.connector_width_mm = Some(mm));
    for (i, a) in case.abutments.iter().enumerate() {
        let name = |what: &str| format!("{what} of {}", a.tooth);
        length(list, case, &name("wall height"), a.wall_mm, |c, mm| c.abutments[i].wall_mm = Some(mm));
        length(list, case, &name("dentine over the pulp"), a.dentine_mm, |c, mm| c.abutments[i].dentine_mm = Some(mm));
    }
}

fn length(list: &mut Vec<Otherwise>, case: &Case, name: &str, now: Option<f64>, set: impl Fn(&mut Case, f64)) {
    let Some(now) = now else { return };
    for by in [-1.0, -0.5, 0.5, 1.0] {
        let then: f64 = now + by;
        if then > 0.0 {
            let mut with = case.clone();
            set(&mut with, then);
            let what = format!("{name}: {then:.1} mm instead of {now:.1} mm");
            list.push(Otherwise { kind: "dimension", what, size: by.abs() / 0.5, case: with, only: None });
        }
    }
}

/// One grade for all, as where the laboratory or the stock has no other: one step.
fn grades(case: &Case, list: &mut Vec<Otherwise>) {
    list.extend(Grade::ALL.iter().map(|grade| Otherwise {
        kind: "grade",
        what: format!("grade of the core: {} wherever a class has it, instead of each option's best", grade.word()),
        size: 1.0,
        case: case.clone(),
        only: Some(*grade),
    }));
}

/// Each criterion put first in the order given; without an order, each named alone.
fn priorities(case: &Case, list: &mut Vec<Otherwise>) {
    for matter in Matter::ALL {
        let place = case.wish.order.iter().position(|m| m == matter);
        if place == Some(0) && case.wish.weights.is_none() && case.wish.trades.is_none() {
            continue;
        }
        let mut with = case.clone();
        with.wish.weights = None;
        with.wish.trades = None;
        with.wish.order.retain(|m| m != matter);
        with.wish.order.insert(0, *matter);
        let size = place.map_or(1.0, |p| p as f64);
        let what = format!("what matters most: {}", matter.label());
        list.push(Otherwise { kind: "priority", what, size, case: with, only: None });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[allow(clippy::unwrap_used)]
    fn bridge() -> Case {
        Case::parse("bridge", include_str!("../../../examples/bridge-45-47.toml")).unwrap().0
    }

    #[test]
    fn every_change_differs_from_the_case_and_the_smallest_stands_first() {
        let case = bridge();
        let list = otherwise(&case);
        assert!(list.len() > 30, "{}", list.len());
        assert!(list.iter().all(|o| o.case != case || o.only.is_some()), "a change that changes nothing");
        assert!(list.windows(2).all(|pair| pair[0].size <= pair[1].size));
        for kind in ["finding", "dimension", "grade", "priority"] {
            assert!(list.iter().any(|o| o.kind == kind), "{kind}");
        }
    }
}
