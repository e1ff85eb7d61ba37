//! What geometry promises of a preparation, whatever the figures: more need never leaves more stump, space never costs tissue,
//! volumes add up, mirror teeth agree.

#![allow(clippy::unwrap_used)] // helpers of tests

mod common;

use anatomy::{Needs, Seen, StandingTooth, connector_room, span};
use answer::{Caveat, Draws, World};
use catalogue::words::{Surface, Tooth};
use proptest::prelude::*;
use std::collections::HashMap;
use std::sync::{Mutex, OnceLock};

fn standing(code: u8, seen: &Seen) -> StandingTooth {
    let tooth = Tooth::new(code).unwrap();
    StandingTooth::new(&World::with_draws(5, 32), &common::form(tooth), seen).unwrap()
}

/// The tooth as nobody has seen it, made once.
fn unseen(code: u8) -> StandingTooth {
    static TEETH: OnceLock<Mutex<HashMap<u8, StandingTooth>>> = OnceLock::new();
    let mut teeth = TEETH.get_or_init(Mutex::default).lock().unwrap();
    teeth.entry(code).or_insert_with(|| standing(code, &Seen::default())).clone()
}

fn any_tooth() -> impl Strategy<Value = u8> {
    (1u8..=4, 1u8..=8).prop_map(|(quadrant, number)| 10 * quadrant + number)
}

/// A thickness is either not needed or between 0.2 and 2.5 mm.
fn thickness() -> impl Strategy<Value = f64> {
    prop_oneof![1 => Just(0.0), 4 => 0.2..2.5f64]
}

fn needs() -> impl Strategy<Value = Needs> {
    (thickness(), thickness(), thickness(), thickness(), 0.2..1.5f64)
        .prop_map(|(occlusal, facial, lingual, proximal, margin)| Needs { occlusal, facial, lingual, proximal, margin })
}

/// `a` is not greater than `b` in any draw; 1e-9 leaves room for rounding of sums.
fn nowhere_above(a: &Draws, b: &Draws) -> bool {
    a.zip(b, |a, b| a - b).iter().all(|d| d <= 1e-9)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn more_need_never_leaves_more_stump(code in any_tooth(), needs in needs(), surface in 0usize..5, more in 0.05..1.0f64) {
        let tooth = unseen(code);
        let surface = Surface::ALL[surface];
        let thicker = Needs::from_surfaces(Surface::ALL.iter().map(|&s| (s, needs.of(s) + if s == surface { more } else { 0.0 })));
        let (less, more) = (tooth.reduction(&needs), tooth.reduction(&thicker));
        prop_assert!(nowhere_above(&more.stump_volume, &less.stump_volume));
        prop_assert!(nowhere_above(&less.volume_share, &more.volume_share));
        prop_assert!(nowhere_above(&more.wall_height, &less.wall_height));
    }

    #[test]
    fn space_never_costs_tissue(code in any_tooth(), needs in needs(), space in 0.0..3.0f64) {
        let tooth = unseen(code);
        let (with, without) = (tooth.reduction(&needs.with_space(Some(space))), tooth.reduction(&needs));
        prop_assert!(nowhere_above(&with.volume_share, &without.volume_share));
        prop_assert!(nowhere_above(&without.wall_height, &with.wall_height));
    }

    #[test]
    fn crown_is_what_is_removed_and_what_stays(code in any_tooth(), needs in needs()) {
        let tooth = unseen(code);
        let cut = tooth.reduction(&needs);
        let crown = tooth.crown_volume();
        for k in 0..crown.len() {
            let removed = cut.volume_share.get(k) * crown.get(k);
            prop_assert!((removed + cut.stump_volume.get(k) - crown.get(k)).abs() < 1e-9 * crown.get(k));
            prop_assert!((0.0..=1.0).contains(&cut.volume_share.get(k)));
            prop_assert!((0.0..=1.0).contains(&cut.enamel_left.get(k)) && (0.0..=1.0).contains(&cut.margin_in_enamel.get(k)));
        }
        prop_assert!(cut.dentine_over_pulp.is_finite() && cut.bonding_area.iter().all(|a| a >= 0.0));
    }

    #[test]
    fn mirror_teeth_agree(code in any_tooth(), needs in needs()) {
        let mirrored = Tooth::new(code).unwrap().mirrored().code();
        prop_assert_eq!(unseen(code).reduction(&needs), unseen(mirrored).reduction(&needs));
    }

    #[test]
    fn any_seen_crown_gives_finite_answers(code in any_tooth(), needs in needs(), clinical in 1.0..14.0f64) {
        let cut = standing(code, &Seen { clinical_crown: Some(clinical), ..Seen::default() }).reduction(&needs);
        prop_assert!(cut.volume_share.is_finite() && cut.dentine_over_pulp.is_finite() && cut.wall_height.iter().all(|h| h >= 0.0));
    }
}

#[test]
fn no_preparation_removes_nothing() {
    for tooth in Tooth::all() {
        let cut = unseen(tooth.code()).reduction(&Needs::default());
        assert!(cut.volume_share.iter().all(|v| v == 0.0) && cut.bonding_area.iter().all(|a| a == 0.0), "{tooth}");
        assert!(cut.depths.is_empty());
    }
}

#[test]
fn a_younger_pulp_is_nearer_and_a_measured_one_is_believed() {
    let needs = Needs { occlusal: 1.5, ..Needs::default() };
    let left = |seen: &Seen| standing(46, seen).reduction(&needs).dentine_over_pulp;
    let young = left(&Seen { age: Some((18.0, 20.0)), ..Seen::default() });
    let old = left(&Seen { age: Some((60.0, 65.0)), ..Seen::default() });
    assert!(nowhere_above(&young, &old) && young.mean() < old.mean() - 0.2);
    let measured = standing(46, &Seen { occlusal_to_pulp: Some(4.0), ..Seen::default() }).reduction(&needs);
    assert!(!measured.caveats.contains(&Caveat::Measure));
    assert!(measured.dentine_over_pulp.interval().width() < left(&Seen::default()).interval().width());
}

#[test]
fn thin_dentine_is_likelier_the_deeper_the_cut() {
    let tooth = standing(11, &Seen::default());
    let chance = |d: f64| {
        tooth.reduction(&Needs { occlusal: 1.5, facial: d, lingual: d, proximal: d, margin: d }).chance_below(0.5)
    };
    assert!(chance(0.5) < chance(1.0) && chance(1.0) < chance(1.6), "{} {} {}", chance(0.5), chance(1.0), chance(1.6));
}

#[test]
fn a_gap_is_as_wide_as_the_teeth_that_stood_there() {
    let (one, two) = (standing(46, &Seen::default()), standing(47, &Seen::default()));
    let both = span(&[one.clone(), two.clone()]).unwrap();
    assert_eq!(both, one.mesiodistal().plus(&two.mesiodistal()));
    assert!(span(&[]).is_none());
}

#[test]
fn a_measured_connector_height_is_taken_as_it_is() {
    let world = World::with_draws(5, 64);
    let (one, two) = (standing(45, &Seen::default()), standing(46, &Seen::default()));
    let measured = connector_room(&world, &one, &two, Some(4.0));
    assert!(measured.height.iter().all(|h| h == 4.0) && measured.caveats.is_empty());
    let guessed = connector_room(&world, &one, &two, None);
    assert!(guessed.height.interval().width() > 0.5 && guessed.caveats == [Caveat::Measure]);
    let mirrored = connector_room(&world, &standing(35, &Seen::default()), &standing(36, &Seen::default()), None);
    assert_eq!(guessed.height, mirrored.height);
}
