//! One path for all abutments: upright teeth pay little for it, tilted ones more the more they lean, and beyond some tilt there is none.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use anatomy::{Arch, Needs, Seen, StandingTooth, ToothForm, common_path};
use answer::World;
use catalogue::words::Tooth;
use std::collections::BTreeMap;

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

/// Extra share that 47 pays on the common path with 45 when it leans by so many degrees, and whether there is a path.
fn cost(lean: f64) -> (f64, bool) {
    let forms: BTreeMap<Tooth, ToothForm> =
        (31..=38).chain(41..=48).map(|c| (tooth(c), common::form(tooth(c)))).collect();
    let arch = Arch::new(&forms, |t| if t.code() == 47 { lean } else { 0.0 }).unwrap();
    let world = World::with_draws(1, 8);
    let teeth = [45, 47].map(|c| StandingTooth::new(&world, &forms[&tooth(c)], &Seen::default()).unwrap());
    let pairs: Vec<_> = teeth.iter().map(|t| (t, arch.seat(t.tooth()).unwrap())).collect();
    match common_path(&pairs, &Needs::USUAL) {
        Ok(path) => (path.costs.iter().map(anatomy::PathCost::extra).sum(), true),
        Err(none) => {
            assert!(none.to_string().contains("no common path"), "{none}");
            (none.best.costs.iter().map(anatomy::PathCost::extra).sum(), false)
        }
    }
}

#[test]
fn a_leaning_abutment_costs_the_more_the_more_it_leans() {
    let found = [0.0, 10.0, 20.0, 30.0].map(cost);
    assert!(found[0].1 && found[0].0.abs() < 0.05, "upright: {found:?}");
    assert!(found.windows(2).all(|w| w[1].0 >= w[0].0 - 1e-6), "{found:?}");
    assert!(found[3].0 > found[0].0 + 0.02, "{found:?}");
}

#[test]
fn abutments_that_lean_far_apart_have_no_path() {
    assert!(!cost(58.0).1);
}

#[test]
fn a_single_tooth_pays_nothing() {
    let forms = BTreeMap::from([(tooth(16), common::form(tooth(16)))]);
    let arch = Arch::new(&forms, |_| 25.0).unwrap();
    let world = World::with_draws(1, 8);
    let standing = StandingTooth::new(&world, &forms[&tooth(16)], &Seen::default()).unwrap();
    let found = common_path(&[(&standing, arch.seat(tooth(16)).unwrap())], &Needs::USUAL).unwrap();
    // The search is finer than the eight tilts its own path is chosen from: it may even gain.
    assert!(found.costs[0].extra() <= 1e-9, "{found:?}");
}
