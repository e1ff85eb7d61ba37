//! What geometry promises of a preparation as a body: no undercut along its path, more need never leaves more stump, a wax-up that adds never
//! costs tooth, walls lean as asked, volumes add up.

#![allow(clippy::unwrap_used, clippy::print_stdout)] // helpers of tests

mod common;

use anatomy::{Design, Needs, Part, Preparation, ToothParts, retainer};
use catalogue::words::{Surface as Zone, Tooth};
use proptest::prelude::*;
use shape::{Offset, Solid};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock};

const CELL: f64 = 0.4;

fn parts(code: u8) -> ToothParts {
    static TEETH: OnceLock<Mutex<HashMap<u8, ToothParts>>> = OnceLock::new();
    let mut teeth = TEETH.get_or_init(Mutex::default).lock().unwrap();
    let make = || ToothParts::new(&common::form(Tooth::new(code).unwrap()), 40.0, CELL).unwrap();
    teeth.entry(code).or_insert_with(make).clone()
}

fn any_tooth() -> impl Strategy<Value = u8> {
    prop_oneof![Just(11u8), Just(13), Just(14), Just(16), Just(31), Just(35), Just(46)]
}

fn crown() -> impl Strategy<Value = Needs> {
    (0.6..2.0f64, 0.4..1.5f64, 0.4..1.5f64, 0.4..1.3f64, 0.3..1.0f64)
        .prop_map(|(occlusal, facial, lingual, proximal, margin)| Needs { occlusal, facial, lingual, proximal, margin })
}

fn design() -> impl Strategy<Value = Design> {
    (crown(), 4.0..28.0f64, -12.0..12.0f64, -12.0..12.0f64, 0.0..1.5f64)
        .prop_map(|(needs, convergence, m, f, finish)| Design { needs, convergence, path: [m, f], finish })
}

/// Volume of a body by its lattice, mm3.
fn volume(p: &Preparation, parts: &ToothParts) -> f64 {
    let m = p.measures(parts).unwrap();
    m.crown - m.removed
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn the_stump_has_no_undercut_along_its_path(code in any_tooth(), design in design()) {
        let parts = parts(code);
        let cut = Preparation::of(&parts, &design, CELL).unwrap();
        let path = design.direction();
        // Over any place of the stump above its finish line the way out along the path is free: what has been left is not met again.
        let bound = cut.bound();
        let size = bound.size();
        for i in 0..400usize {
            let h = |k: f64| ((i as f64 + 1.0) * k).fract();
            let from = [bound.low[0] + size[0] * h(0.754_877), bound.low[1] + size[1] * h(0.569_84)];
            let mut left = false;
            let mut p = [from[0], from[1], design.finish + 0.5 + parts.form.size().neck_curve_mesial];
            while p[2] < bound.high[2] {
                let d = cut.stump.distance(p);
                // A quarter of a cell: trilinear distances round edges by that.
                left = left || d > 0.25 * CELL;
                prop_assert!(!left || d > -0.25 * CELL, "{code} at {p:?}: {d}");
                p = std::array::from_fn(|a| p[a] + 0.3 * path[a]);
            }
        }
    }

    #[test]
    fn more_need_never_leaves_more_stump(code in any_tooth(), design in design(), zone in 0usize..5, more in 0.1..0.6f64) {
        let parts = parts(code);
        let zone = Zone::ALL[zone];
        let needs = Needs::from_surfaces(Zone::ALL.iter().map(|z| (*z, design.needs.of(*z) + if *z == zone { more } else { 0.0 })));
        let (less, greater) = (Preparation::of(&parts, &design, CELL).unwrap(), Preparation::of(&parts, &Design { needs, ..design }, CELL).unwrap());
        // 0.1 mm3: both volumes are sums over redistanced lattices.
        prop_assert!(volume(&greater, &parts) <= volume(&less, &parts) + 0.1);
    }

    #[test]
    fn a_wax_up_that_adds_never_costs_tooth(code in any_tooth(), design in design(), added in 0.1..1.0f64) {
        let parts = parts(code);
        let wanted: Part = Arc::new(Offset::new(parts.outer.clone(), added).unwrap());
        let without = Preparation::of(&parts, &design, CELL).unwrap();
        let with = Preparation::within(&parts, parts.outer.clone(), wanted, &design, CELL).unwrap();
        let (a, b) = (volume(&without, &parts), volume(&with, &parts));
        prop_assert!(b >= a - 0.1, "{b} against {a}");
        // It visibly spares: as much as would be cut anyway is the most it can.
        if added > 0.5 {
            prop_assert!(b > a + 1.0, "{b} against {a}");
        }
    }

    #[test]
    fn the_restoration_fills_the_room(code in any_tooth(), design in design()) {
        let parts = parts(code);
        let design = Design { path: [0.0; 2], ..design };
        let cut = Preparation::of(&parts, &design, CELL).unwrap();
        let made = retainer(&cut, &parts, 0.06).unwrap();
        let bound = cut.bound();
        let size = bound.size();
        for i in 0..1500usize {
            let h = |k: f64| ((i as f64 + 1.0) * k).fract();
            let p: [f64; 3] = std::array::from_fn(|a| bound.low[a] + size[a] * h([0.754_877, 0.569_84, 0.438_14][a]));
            let (stump, crown, before) = (cut.stump.distance(p), made.distance(p), cut.present.distance(p));
            prop_assert!(!(stump < -1e-9 && crown < -1e-9), "two bodies in one place");
            // What was cut away by more than cement, thin edges and the lattice is filled.
            if before < -0.3 && stump > 0.5 {
                prop_assert!(crown < 0.0, "{code}: empty at {p:?}: stump {stump}, before {before}, crown {crown}");
            }
        }
    }
}

#[test]
fn walls_lean_as_asked() {
    for (code, asked) in [(46u8, 12.0), (16, 20.0), (35, 16.0)] {
        let parts = parts(code);
        let needs = Needs { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.8 };
        let design = Design { needs, convergence: asked, ..Design::default() };
        let found = Preparation::of(&parts, &design, 0.25).unwrap().measures(&parts).unwrap();
        let [mean, ..] = found.convergence.unwrap();
        // Never steeper than asked but for the lattice; flatter where the crown itself leans in, and at the rounded top.
        assert!(mean > asked - 3.0 && mean < asked + 40.0, "{code}: {mean} for {asked}");
        // Slivers of facets at the shelf of the finish line, no more.
        assert!(found.undercut[0] < 0.5, "{code}: undercut {:?}", found.undercut);
        // Depth at a surface is the need, and where walls are straight the crown's bulge besides.
        let occlusal = found.depth(Zone::Occlusal).unwrap();
        assert!((occlusal.mean - 1.5).abs() < 0.25, "{code}: {occlusal:?}");
        let facial = found.depth(Zone::Facial).unwrap();
        assert!(facial.mean > 0.8 && facial.mean < 2.2, "{code}: {facial:?}");
        assert!((found.margin_above_edge - 0.5).abs() < 0.3, "{code}: margin at {}", found.margin_above_edge);
    }
}

#[test]
fn the_body_takes_what_the_draws_take() {
    // One method, two ways of keeping its result: the average tooth's share agrees.
    let needs = Needs { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.8 };
    for code in [11u8, 35, 46] {
        let parts = parts(code);
        let tooth = Tooth::new(code).unwrap();
        let world = answer::World::with_draws(3, 64);
        let standing = anatomy::StandingTooth::new(&world, &common::form(tooth), &anatomy::Seen::default()).unwrap();
        let share = standing.reduction(&needs).volume_share.interval();
        let design = Design { needs, ..Design::default() };
        let body = Preparation::of(&parts, &design, 0.3).unwrap().measures(&parts).unwrap().share();
        assert!(share.low < body && body < share.high, "{code}: {body} in {share:?}");
    }
}

#[test]
fn a_tilted_path_costs_the_body_what_it_costs_the_draws() {
    // Two ways of following a tilt: the body's lattice is turned, the draws shear theirs. What the tilt adds to the share removed agrees.
    let needs = Needs::USUAL;
    let (parts, tooth) = (parts(47), Tooth::new(47).unwrap());
    let standing =
        anatomy::StandingTooth::new(&answer::World::with_draws(3, 64), &common::form(tooth), &anatomy::Seen::default())
            .unwrap();
    let both = |mesial: f64| {
        let path = [mesial, 0.0];
        let body = Preparation::of(&parts, &Design { needs, path, ..Design::default() }, 0.3).unwrap();
        (body.measures(&parts).unwrap().share(), standing.along(path).reduction(&needs).volume_share.mean())
    };
    let upright = both(0.0);
    for tilt in [-18.0, 18.0, -30.0] {
        let leant = both(tilt);
        let (body, draws) = (leant.0 - upright.0, leant.1 - upright.1);
        println!("tilt {tilt}: body {body:.3} more, draws {draws:.3} more, upright {upright:?}");
        // A twentieth of the crown: shear against turn, average tooth against draws.
        assert!((body - draws).abs() < 0.05, "{tilt}: body {body}, draws {draws}");
    }
}
