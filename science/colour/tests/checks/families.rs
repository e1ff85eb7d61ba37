//! A family reads the opacity it was made from, and what one does not know widens the answer.

use answer::{Draws, World};
use colour::{
    Backing, Coupling, Family, FamilyError, Instrument, Lab, Opacity, Readings, Spectrum, Spread, Viewing,
    contrast_ratio, disc_reading, translucency, translucency00,
};

fn family(opacity: Opacity, readings: Readings) -> Family {
    let body = Spread::Normal { mean: Lab::new(74.0, 1.0, 17.0), sd: Lab::new(3.0, 1.0, 3.0) };
    Family { name: "test".into(), opacity, index: (1.5, 1.56), body, readings }
}

#[test]
fn every_member_reads_its_opacity_again() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(7, 128);
    let readings = Readings {
        instrument: Some(Instrument::SPHERE_WITH_SPECULAR),
        coupling: Some(Coupling::Dry),
        ..Readings::default()
    };
    let (black, white) = (Backing::Surface(readings.black), Backing::Surface(readings.white));
    for (opacity, low, high) in [
        (Opacity::ContrastRatio { low: 0.55, high: 0.85, thickness_mm: 1.0 }, 0.55, 0.85),
        (Opacity::Translucency { low: 6.0, high: 16.0, thickness_mm: 1.0 }, 6.0, 16.0),
        (Opacity::Translucency00 { low: 4.0, high: 11.0, thickness_mm: 1.0 }, 4.0, 11.0),
    ] {
        let members = family(opacity, readings.clone()).draw(&world, &viewing).unwrap();
        assert_eq!(members.out_of_reach, 0.0, "{opacity:?}");
        let wanted = world.between("colour/test/opacity", low, high);
        for (k, optics) in members.optics.iter().enumerate() {
            let read = |backing| disc_reading(optics, 1.0, backing, Coupling::Dry, Instrument::SPHERE_WITH_SPECULAR);
            let (b, w) = (read(black), read(white));
            let found = match opacity {
                Opacity::ContrastRatio { .. } => contrast_ratio(&b, &w, &viewing),
                Opacity::Translucency { .. } => translucency(viewing.lab(&b), viewing.lab(&w)),
                Opacity::Translucency00 { .. } => translucency00(viewing.lab(&b), viewing.lab(&w)),
            };
            // The root is found to 1e-6 in ln S; opacities change by at most some tens per unit of it.
            assert!((found - wanted.get(k)).abs() < 1e-4, "draw {k}: {found} against {}", wanted.get(k));
        }
    }
}

#[test]
fn an_endless_thickness_shows_the_body_colour() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(3, 64);
    let readings = Readings { instrument: Some(Instrument::BEAM), ..Readings::default() };
    let family = family(Opacity::ContrastRatio { low: 0.6, high: 0.7, thickness_mm: 1.0 }, readings);
    let wished = family.body.draws(&world, "colour/test/body");
    for (optics, wish) in family.draw(&world, &viewing).unwrap().optics.iter().zip(wished) {
        let black = Backing::Surface(Spectrum::flat(0.0));
        let read = disc_reading(optics, 500.0, black, Coupling::Contact, Instrument::BEAM);
        assert!(colour::ciede2000(viewing.lab(&read), wish) < 0.05);
    }
}

#[test]
fn what_was_not_reported_widens_the_family() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(5, 512);
    let spread = |readings: Readings| {
        let opacity = Opacity::ContrastRatio { low: 0.7, high: 0.7, thickness_mm: 1.0 };
        let members = family(opacity, readings).draw(&world, &viewing).unwrap();
        Draws::from_vec(members.optics.iter().map(|o| o.scattering.at(560.0).ln()).collect()).unwrap().variance()
    };
    let known = Readings { instrument: Some(Instrument::BEAM), coupling: Some(Coupling::Dry), ..Readings::default() };
    assert!(spread(Readings::default()) > spread(known));
}

#[test]
fn ratios_of_lightness_and_impossible_ranges_are_refused() {
    assert!(matches!(Opacity::from_words("L*b/L*w", 0.7, 0.8, 1.0), Err(FamilyError::LightnessRatio(_))));
    assert!(matches!(Opacity::from_words("haze", 0.7, 0.8, 1.0), Err(FamilyError::UnknownMeasure(_))));
    for (low, high, mm) in [(0.8, 0.7, 1.0), (0.7, 1.2, 1.0), (0.7, 0.8, 0.0), (f64::NAN, 0.8, 1.0)] {
        assert!(matches!(Opacity::from_words("contrast_ratio", low, high, mm), Err(FamilyError::Range { .. })));
    }
}

#[test]
fn the_same_seed_gives_the_same_members_and_another_medium_changes_none() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(11, 130);
    let one = family(Opacity::ContrastRatio { low: 0.6, high: 0.7, thickness_mm: 1.0 }, Readings::default());
    let before = one.draw(&world, &viewing).unwrap();
    let _ = Family { name: "other".into(), ..one.clone() }.draw(&world, &viewing).unwrap();
    assert_eq!(before, one.draw(&world, &viewing).unwrap());
    let pool = |n| rayon::ThreadPoolBuilder::new().num_threads(n).build().unwrap();
    let at = |n| pool(n).install(|| one.draw(&world, &viewing).unwrap());
    assert_eq!(at(1), at(3));
}
