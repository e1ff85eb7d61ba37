//! What must hold while a connector or a wall is dragged: the same answer as the plan's where nothing is changed, risk falls with every dimension, wrong sizes and unknown
//! options are refused in words.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod cases;

use answer::{NoProgress, World};
use case::Case;
use cases::hanging;
use catalogue::Catalogue;
use catalogue::words::{Cause, Process, Question};
use plan::{Breaking, Fidelity, Report, Settings, Surfaces, Tried, plan, shipped_posterior};

const BRIDGE: &str = include_str!("../../../examples/bridge-45-47.toml");
const CROWN: &str = include_str!("../../../examples/cracked-molar.toml");
const INCISOR: &str = include_str!("../../../examples/lost-lower-incisor.toml");

/// The bridge with a premolar more missing.
fn two_pontics() -> String {
    let units = BRIDGE.replace("teeth = [45, 46, 47]", "teeth = [44, 45, 46, 47]").replace("tooth = 45", "tooth = 44");
    units.replace("missing = [46]", "missing = [45, 46]").replace("span_mm = 10.0", "span_mm = 17.5")
}

fn ten_years(text: &str, option: &str, tried: &Tried) -> Result<f64, String> {
    let (case, _) = Case::parse("case", text).unwrap();
    let (world, catalogue) = (World::with_draws(1, 256), Catalogue::shipped().unwrap());
    let posterior = shipped_posterior().unwrap().thinned(256);
    let desk = Breaking::of(&world, &case, &catalogue, &posterior);
    desk.tried(option, tried).unwrap().map(|f| f.ten_years.mean)
}

fn planned(case: &Case) -> Report {
    let settings = Settings {
        seed: 1,
        fidelity: Fidelity::Instant,
        today: "2026-11".into(),
        name: "bridge".into(),
        program: "test".into(),
        warnings: Vec::new(),
        changes: false,
        shown: Default::default(),
    };
    plan(case, &Catalogue::shipped().unwrap(), &shipped_posterior().unwrap(), &settings, &NoProgress).unwrap()
}

const ZIRCONIA: &str = "bridge.zirconia_3y.monolithic";
const HANGING: &str = "cantilever_bridge.zirconia_3y.monolithic";

#[test]
fn an_unchanged_option_has_the_plans_risk() {
    let (case, _) = Case::parse("case", BRIDGE).unwrap();
    let report = planned(&case);
    let failures = &report.option(ZIRCONIA).unwrap().failures;
    let fracture =
        failures.iter().find(|f| f.cause == Cause::FrameworkFracture && f.process == Process::Loss).unwrap().risk[1];
    let tried = ten_years(BRIDGE, ZIRCONIA, &Tried::default()).unwrap();
    assert!((tried / fracture.mean - 1.0).abs() < 1e-5, "{tried} {}", fracture.mean);
}

#[test]
fn risk_falls_with_every_dimension() {
    let by = |set: fn(&mut Tried, f64), sizes: &[f64], text: &str, option: &str| -> Vec<f64> {
        let one = |size: &f64| {
            let mut tried = Tried::default();
            set(&mut tried, *size);
            ten_years(text, option, &tried).unwrap()
        };
        sizes.iter().map(one).collect()
    };
    let sizes = [2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.5];
    let heights = |text: &str, option: &str| by(|t, x| t.connector_height = Some(x), &sizes, text, option);
    let one_pontic = heights(BRIDGE, ZIRCONIA);
    let two_pontics = heights(&two_pontics(), ZIRCONIA);
    let two_hanging = heights(&hanging("46, 47", "20.0"), HANGING);
    let two_wings = heights(INCISOR, "two_wings.zirconia_3y.monolithic");
    let widths = by(|t, x| t.connector_width = Some(x), &[2.0, 3.0, 4.0, 5.0], BRIDGE, ZIRCONIA);
    let radii = by(|t, x| t.connector_radius = Some(x), &[0.25, 0.45, 0.6, 0.9], BRIDGE, ZIRCONIA);
    let thickness = |option| by(|t, x| t.thickness = Some(x), &[0.3, 0.5, 0.8, 1.0, 1.5, 2.0, 2.5, 3.5], CROWN, option);
    let walls = [
        "crown.lithium_disilicate.monolithic",
        "partial_crown.lithium_disilicate.monolithic",
        "crown.zirconia_3y.layered",
    ];
    for risks in
        [one_pontic, two_pontics, two_hanging, two_wings, widths, radii].into_iter().chain(walls.map(thickness))
    {
        // Where stress is flat a surface may rise by a hair between the moduli it is kept at: by less than a thousandth of the risk.
        assert!(risks.windows(2).all(|w| w[1] <= 1.001 * w[0]), "{risks:?}");
        assert!(risks.last() < risks.first(), "{risks:?}");
    }
}

/// The bite on the outer of two is three times as far from the neck as that on one alone.
#[test]
fn two_teeth_that_hang_break_more_often_than_one_and_are_warned_of() {
    let risk = |text: &str| ten_years(text, HANGING, &Tried::default()).unwrap();
    let (one, two) = (risk(&hanging("46", "10.0")), risk(&hanging("46, 47", "20.0")));
    assert!(two > 1.5 * one, "{one} {two}");
    let (case, _) = Case::parse("case", &hanging("46, 47", "20.0")).unwrap();
    let report = planned(&case);
    let option = report.option(HANGING).unwrap();
    assert!(option.stops.iter().any(|s| s.id == "cantilever_long" && s.forbids), "{:?}", option.stops);
}

#[test]
fn wrong_sizes_and_options_are_refused_in_words() {
    for size in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e6] {
        let told = ten_years(BRIDGE, ZIRCONIA, &Tried { connector_height: Some(size), ..Tried::default() });
        assert!(told.unwrap_err().contains("expected 0.05 to 20 mm"));
    }
    let metal = ten_years(BRIDGE, "bridge.metal_ceramic.layered", &Tried::default());
    assert!(metal.unwrap_err().contains("nothing brittle"));
    let (case, _) = Case::parse("case", BRIDGE).unwrap();
    let (world, catalogue) = (World::with_draws(1, 64), Catalogue::shipped().unwrap());
    let posterior = shipped_posterior().unwrap().thinned(64);
    assert!(
        Breaking::of(&world, &case, &catalogue, &posterior).tried("bridge.wood.carved", &Tried::default()).is_none()
    );
}

#[test]
fn absurd_forces_give_no_number_beyond_certainty() {
    let (mut case, _) = Case::parse("case", BRIDGE).unwrap();
    let (world, catalogue) = (World::with_draws(1, 64), Catalogue::shipped().unwrap());
    let posterior = shipped_posterior().unwrap().thinned(64);
    let mut last = 0.0;
    for force in [50.0, 500.0, 5_000.0, 50_000.0] {
        case.mouth.bite_force_n = Some(force);
        let risk = Breaking::of(&world, &case, &catalogue, &posterior).tried(ZIRCONIA, &Tried::default()).unwrap();
        let mean = risk.unwrap().ten_years.mean;
        assert!((0.0..=1.0).contains(&mean) && mean >= last, "{force} N: {mean}");
        last = mean;
    }
}

/// The error told covers fresh designs: those with numbers from 1000 in the shipped file, kept out of the fit.
#[test]
fn surfaces_keep_their_band_on_designs_they_were_not_fitted_to() {
    let text = include_str!("../../../data/surfaces.csv");
    let designs = plan::solved(text).unwrap();
    let surfaces = Surfaces::of(&designs);
    let (mut within, mut all) = (0, 0);
    for family in strength::designs::Family::ALL {
        let Some(surface) = surfaces.of_family(family) else { continue };
        for d in designs.iter().filter(|d| d.family == family && d.number >= plan::FRESH && d.finer == 1.0) {
            // m = 10.
            let off = d.sample.ln_s[3] - surface.ln_s(&d.sample.point).unwrap()[3];
            within += usize::from(off.abs() <= 1.645 * surface.error(&d.sample.point, 10.0));
            all += 1;
        }
    }
    println!(
        "validation | designs kept out of the fit within the 90 % band of the surfaces | data/surfaces.csv | 90 % of 200 | {within} of {all} | {} | as many designs as the machine had time for",
        if 10 * within >= 9 * all && all >= 200 { "hit" } else { "miss" }
    );
    assert!(all >= 5, "{all} fresh designs");
    // 90 % of them, less one standard deviation of so few.
    let share = f64::from(within as u32) / f64::from(all as u32);
    assert!(share >= 0.9 - (0.09 / f64::from(all as u32)).sqrt(), "{within} of {all}");
}

/// No source tells of the connectors of 5Y zirconia over two pontics, and no patient was followed: nothing is told, least of all by the chewing wall.
#[test]
fn a_bridge_whose_connector_no_source_tells_of_is_not_judged_by_its_chewing_wall() {
    let (case, _) = Case::parse("case", &two_pontics()).unwrap();
    let report = planned(&case);
    let option = report.option("bridge.zirconia_5y.monolithic").unwrap();
    let answer = option.answers.iter().find(|a| a.question == Question::Break).unwrap();
    assert!(answer.value.is_none() && answer.words.contains("not known"), "{}", answer.words);
    assert!(!answer.reasons.iter().any(|r| r.contains("chewing wall")), "{:?}", answer.reasons);
}
