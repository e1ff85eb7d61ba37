//! One path for all abutments: upright teeth pay little for it, tilted ones more the more they lean, and beyond some tilt there is none.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests

mod common;

use anatomy::{Arch, Needs, Seen, StandingTooth, ToothForm, common_path};
use answer::World;
use catalogue::words::Tooth;
use std::collections::BTreeMap;

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

/// Shares removed from 45 and 47 together on their common path when 47 leans by so many degrees, how much further the path leans towards mesial in
/// 47's frame than in 45's, and whether there is a path.
fn cost(lean: f64) -> (f64, f64, bool) {
    let forms: BTreeMap<Tooth, ToothForm> =
        (31..=38).chain(41..=48).map(|c| (tooth(c), common::form(tooth(c)))).collect();
    let arch = Arch::new(&forms, |t| if t.code() == 47 { lean } else { 0.0 }).unwrap();
    let world = World::with_draws(1, 8);
    let teeth = [45, 47].map(|c| StandingTooth::new(&world, &forms[&tooth(c)], &Seen::default()).unwrap());
    let pairs: Vec<_> = teeth.iter().map(|t| (t, arch.seat(t.tooth()).unwrap())).collect();
    let (path, found) = match common_path(&pairs, &Needs::USUAL) {
        Ok(path) => (path, true),
        Err(none) => {
            assert!(none.to_string().contains("no common path"), "{none}");
            (none.best.clone(), false)
        }
    };
    let leaning = path.costs[1];
    let other = path.costs[0];
    println!("lean {lean}: 47 {leaning:?}, 45 {other:?}");
    (leaning.share[1] + other.share[1], leaning.tilt[0] - other.tilt[0], found)
}

#[test]
fn the_path_lies_between_the_axes() {
    let found = [0.0, 10.0, 20.0, 29.0].map(cost);
    assert!(found.iter().all(|f| f.2), "{found:?}");
    for (lean, f) in [0.0, 10.0, 20.0, 29.0].into_iter().zip(&found) {
        // One direction seen from two axes that lie `lean` apart, and some degrees by the curve of the arch.
        assert!((f.1 + lean).abs() < 8.0, "{lean}: {found:?}");
    }
    // Upright abutments pay no more than leaning ones.
    assert!(found[3].0 > found[0].0 - 0.01, "{found:?}");
}

#[test]
fn abutments_that_lean_far_apart_have_no_path() {
    assert!(!cost(40.0).2);
}

#[test]
fn a_single_tooth_pays_nothing() {
    let forms = BTreeMap::from([(tooth(16), common::form(tooth(16)))]);
    let arch = Arch::new(&forms, |_| 25.0).unwrap();
    let world = World::with_draws(1, 8);
    let standing = StandingTooth::new(&world, &forms[&tooth(16)], &Seen::default()).unwrap();
    let found = common_path(&[(&standing, arch.seat(tooth(16)).unwrap())], &Needs::USUAL).unwrap();
    // The search is finer than the eight tilts its own path is chosen from; keeping by the axis may cost a hundredth.
    assert!(found.costs[0].extra() <= 0.01, "{found:?}");
}
