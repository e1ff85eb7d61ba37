//! Media characterised from own discs, by spectrum and by colour only; thickness series; photographs with a grey card.

use answer::World;
use colour::{
    Backing, Bench, Coupling, Disc, DiscError, Family, Field, Grey, Instrument, Lab, Layer, Opacity, Optics,
    PhotoError, Reading, ReadingError, Readings, Series, SeriesError, Spectrum, Spread, Stack, Viewing, characterise,
    ciede2000, photographed, srgb,
};

const BENCH: Bench = Bench {
    dark: Backing::Surface(Spectrum([0.03; 41])),
    light: Backing::Surface(Spectrum([0.88; 41])),
    coupling: Coupling::Film(1.45),
    instrument: Instrument::SPHERE_WITHOUT_SPECULAR,
};

fn read(optics: Optics, mm: f64, backing: Backing) -> Spectrum {
    let layers = vec![Layer { optics, thickness_mm: mm }];
    Stack { layers, coupling: BENCH.coupling, backing }.reflectance(BENCH.instrument).unwrap()
}

fn media(n: usize, viewing: &Viewing) -> Vec<Optics> {
    let body = Spread::Between { low: Lab::new(64.0, -1.0, 8.0), high: Lab::new(80.0, 3.0, 24.0) };
    let opacity = Opacity::ContrastRatio { low: 0.5, high: 0.85, thickness_mm: 1.0 };
    let family = Family { name: "true".into(), opacity, index: (1.5, 1.56), body, readings: Readings::default() };
    family.draw(&World::with_draws(23, n), viewing).unwrap().optics.to_vec()
}

/// Readings of a 1.0 mm disc with the error of an instrument: 0.003 in reflectance, alternately up and down.
fn noisy(optics: Optics, turn: f64) -> [Spectrum; 2] {
    let [dark, light] = [BENCH.dark, BENCH.light].map(|b| read(optics, 1.0, b));
    [dark.map(|r| r + 0.003 * turn), light.map(|r| r - 0.003 * turn)]
}

/// Differences over another backing at other thicknesses between truth and best estimate.
fn missed(by_colour_only: bool) -> Vec<f64> {
    let viewing = Viewing::daylight().unwrap();
    let other = Backing::Surface(Spectrum::from_fn(|nm| 0.06 + 0.26 / (1.0 + (-(nm - 520.0) / 60.0).exp())));
    let mut all = Vec::new();
    for (i, optics) in media(24, &viewing).into_iter().enumerate() {
        let [dark, light] = noisy(optics, if i % 2 == 0 { 1.0 } else { -1.0 });
        let reading = |s: Spectrum| if by_colour_only { Reading::Lab(viewing.lab(&s)) } else { Reading::Spectrum(s) };
        let disc = Disc { thickness_mm: 1.0, over_dark: reading(dark), over_light: reading(light) };
        // The index is what a user would enter, not the true one.
        let world = World::with_draws(1, 4);
        let found = characterise(&[disc], &BENCH, 1.53, ReadingError::USUAL, "own", &world, &viewing).unwrap();
        for mm in [0.6, 1.5] {
            all.push(ciede2000(viewing.lab(&read(optics, mm, other)), viewing.lab(&read(found.optics, mm, other))));
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

fn report(how: &str, missed: &[f64]) {
    let (median, worst) = (missed[missed.len() / 2], missed[missed.len() - 1]);
    println!(
        "validation | own discs of 1.0 mm read {how} with noise 0.003 predict 0.6 and 1.5 mm over another backing, median CIEDE2000 | simulated, 24 media | below 2.0 | {median:.2} (worst {worst:.1}) | {} | the same model reads and predicts: arithmetic and noise, not the error of two-flux theory",
        if median < 2.0 { "hit" } else { "miss" }
    );
}

#[test]
fn own_discs_by_spectrum_predict_other_thicknesses_and_backings() {
    let missed = missed(false);
    // Aim: median below 2.0 with instrument noise.
    report("by spectrum", &missed);
    assert!(missed[missed.len() / 2] < 2.0);
}

#[test]
fn own_discs_by_colour_only_predict_other_thicknesses_and_backings() {
    let missed = missed(true);
    report("by colour only", &missed);
    assert!(missed[missed.len() / 2] < 2.0);
}

#[test]
fn without_noise_the_medium_is_found_exactly_and_draws_bracket_it() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(2, 256);
    for optics in media(6, &viewing) {
        let disc = Disc {
            thickness_mm: 1.0,
            over_dark: Reading::Spectrum(read(optics, 1.0, BENCH.dark)),
            over_light: Reading::Spectrum(read(optics, 1.0, BENCH.light)),
        };
        let found =
            characterise(&[disc, disc], &BENCH, optics.index, ReadingError::USUAL, "own", &world, &viewing).unwrap();
        assert_eq!(found.without_absorption, 0.0);
        for nm in [450.0, 560.0, 650.0] {
            let (s, truth) = (found.optics.scattering.at(nm), optics.scattering.at(nm));
            assert!((s / truth - 1.0).abs() < 1e-7, "{nm}: {s} against {truth}");
            let below = found.draws.iter().filter(|o| o.scattering.at(nm) < truth).count();
            assert!((64..=192).contains(&below), "{nm}: {below} of 256 below the truth");
        }
    }
}

#[test]
fn discs_that_cannot_be_are_refused_with_their_row() {
    let viewing = Viewing::daylight().unwrap();
    let world = World::with_draws(2, 4);
    let try_it =
        |discs: &[Disc]| characterise(discs, &BENCH, 1.53, ReadingError::USUAL, "own", &world, &viewing).unwrap_err();
    let (dark, light) = (Reading::Lab(Lab::new(60.0, 0.0, 10.0)), Reading::Lab(Lab::new(75.0, 1.0, 15.0)));
    let good = Disc { thickness_mm: 1.0, over_dark: dark, over_light: light };
    assert_eq!(try_it(&[]), DiscError::None);
    assert!(matches!(try_it(&[good, Disc { thickness_mm: 0.0, ..good }]), DiscError::Thickness { row: 2, .. }));
    assert!(matches!(try_it(&[Disc { thickness_mm: f64::NAN, ..good }]), DiscError::Thickness { row: 1, .. }));
    let exchanged = Disc { over_dark: light, over_light: dark, ..good };
    assert!(matches!(try_it(&[good, exchanged]), DiscError::Contradiction { row: 2, .. }));
    let bright = Disc { over_light: Reading::Spectrum(Spectrum::flat(1.3)), ..good };
    assert!(matches!(try_it(&[bright]), DiscError::Reflectance { row: 1, .. }));
    let mad = Disc { over_dark: Reading::Lab(Lab::new(f64::NAN, 0.0, 0.0)), ..good };
    assert!(matches!(try_it(&[mad]), DiscError::Colour { row: 1, .. }));
}

#[test]
fn a_thickness_series_goes_through_its_points_and_states_its_error() {
    let viewing = Viewing::daylight().unwrap();
    let optics = media(1, &viewing)[0];
    let colour = |mm| viewing.lab(&read(optics, mm, BENCH.dark));
    let rows: Vec<(f64, Lab)> = [0.4, 0.7, 1.0, 1.4, 2.0].map(|mm| (mm, colour(mm))).to_vec();
    let series = Series::new(&rows).unwrap();
    for (mm, lab) in &rows {
        assert_eq!(series.at(*mm).unwrap(), *lab);
    }
    // Between points the miss stays below the stated error, which leaves out a point and so doubles the step.
    for mm in [0.85, 1.2, 1.7] {
        assert!(colour::cie76(series.at(mm).unwrap(), colour(mm)) < series.error(), "{mm}");
    }
    assert!(matches!(series.at(2.5), Err(SeriesError::Outside { .. })));
    assert!(matches!(Series::new(&rows[..2]), Err(SeriesError::TooFew(2))));
    let turned = [rows[1], rows[0], rows[2]];
    assert!(matches!(Series::new(&turned), Err(SeriesError::Order { row: 2, .. })));
}

fn field(rgb: [f64; 3]) -> Field {
    Field { mean: rgb, sd: rgb.map(|v| 0.02 * v), clipped: 0.0, pixels: 4000 }
}

#[test]
fn a_photograph_is_balanced_by_its_card() {
    let truth = Lab::new(62.0, 5.0, 20.0);
    let linear = srgb::linear_from_lab(truth);
    // Half the light, and a warm lamp.
    let cast = [0.6, 0.5, 0.35];
    let seen = |v: [f64; 3]| field(std::array::from_fn(|c| v[c] * cast[c]));
    let card = Grey { field: seen([0.18; 3]), reflectance: 0.18 };
    let white = Grey { field: seen([0.8; 3]), reflectance: 0.8 };
    let spread = |second| match photographed(&seen(linear), &card, second).unwrap() {
        Spread::Normal { mean, sd } => (mean, sd),
        other => panic!("{other:?}"),
    };
    let (mean, alone) = spread(None);
    assert!(ciede2000(mean, truth) < 0.01, "{mean:?}");
    let (_, proven) = spread(Some(&white));
    assert!(alone.l > proven.l && proven.l >= 2.0);
}

#[test]
fn clipped_dark_coloured_uneven_and_unlinear_photographs_are_refused() {
    let card = Grey { field: field([0.18; 3]), reflectance: 0.18 };
    let stump = field([0.3, 0.25, 0.2]);
    let refuse = |f: Field, card: Grey, second: Option<Grey>| photographed(&f, &card, second.as_ref()).unwrap_err();
    let with = |field: Field| Grey { field, reflectance: 0.18 };
    assert!(matches!(refuse(Field { clipped: 0.02, ..stump }, card, None), PhotoError::Clipped { .. }));
    assert!(matches!(refuse(Field { clipped: f64::NAN, ..stump }, card, None), PhotoError::Clipped { .. }));
    assert!(matches!(refuse(Field { pixels: 9, ..stump }, card, None), PhotoError::Field(_)));
    assert!(matches!(refuse(stump, with(field([0.01; 3])), None), PhotoError::Exposure(_)));
    assert!(matches!(refuse(stump, with(field([0.5, 0.3, 0.1])), None), PhotoError::Cast(_)));
    assert!(matches!(refuse(stump, with(Field { sd: [0.06; 3], ..card.field }), None), PhotoError::Uneven(_)));
    // A picture with the curve of a screen left in: 0.8 and 0.18 come to lie too close.
    let coded = |y: f64| Grey { field: field([0.5 * srgb::encode(y); 3]), reflectance: y };
    assert!(matches!(refuse(stump, coded(0.18), Some(coded(0.8))), PhotoError::Unlinear { .. }));
}
