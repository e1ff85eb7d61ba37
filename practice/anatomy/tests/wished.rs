//! An outer form scaled to a sound neighbour: it has the neighbour's size, spares what wear took, and never costs tooth.

#![allow(clippy::unwrap_used)] // helpers of tests

use anatomy::{Needs, Neighbour, Seen, Shown, StandingTooth, ToothSize, beside_neighbour, size_beside};
use answer::World;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use proptest::prelude::*;

const CROWN: Needs = Needs { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.5 };

fn tooth(code: u8) -> Tooth {
    Tooth::new(code).unwrap()
}

fn neighbour(code: u8, crown_height: Option<f64>, mesiodistal: Option<f64>) -> Neighbour {
    Neighbour { tooth: tooth(code), crown_height, mesiodistal }
}

#[test]
fn a_mirror_tooth_hands_on_its_own_size_and_another_its_ratio_to_the_table() {
    let catalogue = Catalogue::shipped().unwrap();
    let size = size_beside(&catalogue, tooth(11), &neighbour(21, Some(10.2), Some(8.9))).unwrap();
    // To rounding: a ratio times what it was divided by.
    assert!((size.crown_height - 10.2).abs() < 1e-12 && (size.mesiodistal - 8.9).abs() < 1e-12);
    let (central, lateral) =
        (ToothSize::of(&catalogue, tooth(11)).unwrap(), ToothSize::of(&catalogue, tooth(12)).unwrap());
    let beside = size_beside(&catalogue, tooth(12), &neighbour(11, None, Some(1.1 * central.mesiodistal))).unwrap();
    assert!((beside.mesiodistal / lateral.mesiodistal - 1.1).abs() < 1e-12);
    assert!((beside.crown_height - lateral.crown_height).abs() < 1e-12, "what nobody measured stays the table's");
}

#[test]
fn a_neighbour_that_no_mouth_has_is_refused() {
    let catalogue = Catalogue::shipped().unwrap();
    let none = size_beside(&catalogue, tooth(11), &neighbour(21, None, Some(40.0))).unwrap_err();
    assert!(none.to_string().contains("mesiodistal width is 40"), "{none}");
    assert!(size_beside(&catalogue, tooth(11), &neighbour(21, Some(f64::NAN), None)).is_err());
}

/// Mean share removed from 46 that stands `stands` mm high beside a 36 of 7.5 mm, and the same cut from the tooth as it stands.
fn shares(stands: f64) -> [f64; 2] {
    let (catalogue, world) = (Catalogue::shipped().unwrap(), World::with_draws(7, 64));
    let sound = neighbour(36, Some(7.5), Some(11.0));
    let (form, shown) = beside_neighbour(&catalogue, tooth(46), &sound, None, Some(stands), 0.25).unwrap();
    let as_it_stands = Shown { wanted: shown.present.clone(), ..shown.clone() };
    [shown, as_it_stands].map(|shown| {
        let standing = StandingTooth::shown(&world, &form, &Seen::default(), &shown).unwrap();
        standing.reduction(&CROWN).volume_share.interval().mean
    })
}

#[test]
fn restoring_a_worn_tooth_to_its_neighbour_cuts_less() {
    let [scaled, as_it_stands] = shares(6.0);
    // Cusps lost 1.5 mm where 1.5 mm are needed, the hollow between them little: some hundredths of the crown are spared.
    assert!(scaled < as_it_stands - 0.02, "{scaled:.3} against {as_it_stands:.3}");
    let [whole, same] = shares(7.5);
    assert!(
        (whole - same).abs() < 1e-9,
        "an unworn tooth beside a neighbour of its size loses what it did: {whole} {same}"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, ..ProptestConfig::default() })]

    #[test]
    fn a_form_scaled_to_the_neighbour_never_costs_more_than_the_tooth_as_it_stands(
        stands in 6.0..10.0f64,
        occlusal in 0.5..2.0f64,
        axial in 0.4..1.4f64,
    ) {
        let (catalogue, world) = (Catalogue::shipped().unwrap(), World::with_draws(3, 16));
        let sound = neighbour(21, Some(10.0), None);
        let (form, shown) = beside_neighbour(&catalogue, tooth(11), &sound, None, Some(stands), 0.3).unwrap();
        let as_it_stands = Shown { wanted: shown.present.clone(), ..shown.clone() };
        let needs = Needs { occlusal, facial: axial, lingual: axial, proximal: axial, margin: 0.5 };
        let share = |shown: &Shown| {
            StandingTooth::shown(&world, &form, &Seen::default(), shown).unwrap().reduction(&needs).volume_share
        };
        let (scaled, stands) = (share(&shown), share(&as_it_stands));
        for k in 0..16 {
            // Both bodies are sampled on lattices of 0.3 mm: 1e-4 of a crown is their rounding.
            prop_assert!(scaled.get(k) <= stands.get(k) + 1e-4, "draw {k}: {} against {}", scaled.get(k), stands.get(k));
        }
    }
}
