//! What the trade expects (common practice, no source): reported with hit or miss; asserted only where physics decides.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // prints rows of the validation page

use answer::NoProgress;
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Cause, Process};
use plan::{Fidelity, PlannedOption, Report, Settings, plan, shipped_posterior};

fn planned(file: &str, text: &str, edit: impl Fn(&mut Case)) -> Report {
    let (mut case, _) = Case::parse(file, text).unwrap();
    edit(&mut case);
    let settings = Settings {
        seed: 1,
        fidelity: Fidelity::Instant,
        today: "2026-11".into(),
        name: file.into(),
        program: "test".into(),
        warnings: Vec::new(),
        changes: false,
        shown: Default::default(),
    };
    plan(&case, &Catalogue::shipped().unwrap(), &shipped_posterior().unwrap(), &settings, &NoProgress).unwrap()
}

fn bridge() -> Report {
    planned("bridge", include_str!("../../../examples/bridge-45-47.toml"), |_| {})
}

fn risk(option: &PlannedOption, cause: Cause, process: Process) -> f64 {
    option.failures.iter().find(|f| f.cause == cause && f.process == process).map_or(0.0, |f| f.risk[1].mean)
}

fn row(claim: &str, expected: &str, found: String, hit: bool) {
    let word = if hit { "hit" } else { "miss" };
    println!(
        "validation | {claim} | common practice, no source | {expected} | {found} | {word} | reported, not asserted"
    );
}

#[test]
fn fractures_and_chips_of_a_posterior_bridge() {
    let report = bridge();
    let get = |id: &str| report.option(id).unwrap();
    let fracture = |id: &str| risk(get(id), Cause::FrameworkFracture, Process::Loss);
    for build in ["layered", "monolithic"] {
        let lithium = fracture(&format!("bridge.lithium_disilicate.{build}"));
        for other in ["bridge.zirconia_3y.layered", "bridge.zirconia_3y.monolithic", "bridge.metal_ceramic.layered"] {
            let claim = format!("bridge fracture by ten years, lithium disilicate {build}");
            let found = format!("{lithium:.3} against {:.3}", fracture(other));
            row(&claim, &format!("above {other}"), found, lithium > fracture(other));
        }
    }
    let mut by_loss: Vec<(f64, &str)> = report
        .options
        .iter()
        .filter(|o| o.id.starts_with("bridge."))
        .filter_map(|o| Some((o.answers[0].value?.mean, o.id.as_str())))
        .collect();
    by_loss.sort_by(|a, b| a.0.total_cmp(&b.0));
    let order: Vec<String> = by_loss.iter().map(|(loss, id)| format!("{id} {loss:.2}")).collect();
    println!("loss of a bridge by ten years, all causes, as the data give it: {}", order.join(", "));
    let chip = |id: &str| risk(get(id), Cause::Chip, Process::Complication);
    let (layered, monolithic) = (chip("bridge.zirconia_3y.layered"), chip("bridge.zirconia_3y.monolithic"));
    // Physics decides this one: a monolithic body has no veneer to chip.
    assert!(layered > monolithic, "{layered} against {monolithic}");
    row(
        "chips, layered against monolithic 3Y",
        "above",
        format!("{layered:.3} against {monolithic:.3}"),
        layered > monolithic,
    );
}

#[test]
fn monolithic_3y_takes_less_tooth_than_veneered_metal_ceramic() {
    let report = planned("worn", include_str!("../../../examples/worn-molar.toml"), |_| {});
    let share = |id: &str| report.option(id).unwrap().preparation[0].share_removed.mean;
    // Geometry decides: every working dimension of the first is smaller.
    assert!(share("crown.zirconia_3y.monolithic") < share("crown.metal_ceramic.layered"));
}

#[test]
fn an_onlay_takes_less_tooth_than_a_crown_of_the_same_material() {
    // Geometry decides: it leaves the walls.
    let report = planned("cracked", include_str!("../../../examples/cracked-molar.toml"), |_| {});
    let share = |id: &str| report.option(id).unwrap().preparation[0].share_removed.mean;
    for material in ["zirconia_3y", "lithium_disilicate"] {
        assert!(
            share(&format!("partial_crown.{material}.monolithic")) < share(&format!("crown.{material}.monolithic"))
        );
    }
}

#[test]
fn a_dark_stump_shows_less_the_denser_and_less_behind_metal() {
    let report = planned("dark", include_str!("../../../examples/dark-incisor-cast-post.toml"), |_| {});
    let remade = |id: &str| report.option(id).unwrap().colour[0].remade;
    let clear = remade("crown.lithium_disilicate.monolithic");
    row("dark stump under a glass-ceramic", "shows: above 50 of 100 remade", format!("{clear:.2}"), clear > 0.5);
    assert!(remade("crown.metal_ceramic.layered") < clear);
    assert!(remade("crown.zirconia_3y.monolithic") < remade("crown.zirconia_5y.monolithic"));
}

#[test]
fn more_grinding_never_lowers_the_risk_of_fracture() {
    let text = include_str!("../../../examples/bridge-45-47.toml");
    let with = |grinding| {
        let report = planned("bridge", text, |c| c.mouth.grinding = Some(grinding));
        risk(report.option("bridge.zirconia_3y.monolithic").unwrap(), Cause::FrameworkFracture, Process::Loss)
    };
    let [none, suspected, evident] =
        [case::words::Grinding::Nothing, case::words::Grinding::Suspected, case::words::Grinding::Evident].map(with);
    assert!(none < suspected && suspected < evident, "{none} {suspected} {evident}");
}

#[test]
fn a_higher_connector_never_raises_the_risk_of_fracture() {
    let text = include_str!("../../../examples/bridge-45-47.toml");
    let with = |height| {
        let report = planned("bridge", text, |c| c.space.connector_height_mm = Some(height));
        risk(report.option("bridge.zirconia_3y.monolithic").unwrap(), Cause::FrameworkFracture, Process::Loss)
    };
    assert!(with(5.0) < with(4.0) && with(4.0) < with(3.0));
}

#[test]
fn the_same_case_and_seed_give_the_same_report() {
    assert_eq!(bridge(), bridge());
}

#[test]
fn what_no_patient_was_followed_with_is_never_first_and_never_suits() {
    let report = bridge();
    for option in report
        .options
        .iter()
        .filter(|o| o.id.starts_with("bridge.zirconia_5y") || o.id.starts_with("bridge.zirconia_4y"))
    {
        assert_ne!(option.verdict, answer::Verdict::Suits, "{}", option.id);
        assert_eq!(option.first_share, 0.0, "{}", option.id);
    }
}

/// Studies count more fractures where a framework is veneered all over: a class that nobody was followed with takes that from its kin.
#[test]
fn an_unfollowed_class_is_not_safer_veneered_all_over_than_in_one_material() {
    let report = planned("molar", include_str!("../../../examples/cracked-molar.toml"), |_| {});
    let of = |build: &str| {
        let option = report.option(&format!("crown.zirconia_5y.{build}")).unwrap();
        risk(option, Cause::FrameworkFracture, Process::Loss)
    };
    assert!(of("layered") > of("monolithic"), "{} {}", of("layered"), of("monolithic"));
}

#[test]
fn every_source_named_is_listed() {
    let report = bridge();
    for option in &report.options {
        for answer in &option.answers {
            for id in answer.sources.iter().filter(|id| !id.starts_with("own_")) {
                assert!(report.sources.iter().any(|s| &s.id == id), "{id} of {}", option.id);
            }
        }
    }
}

#[test]
fn light_through_equal_thickness() {
    // Contrast ratio at 1.0 mm, clearest grade a class offers: zirconia lets less light through than lithium disilicate, 5Y comes nearest,
    // an alloy lets none.
    use catalogue::words::Material;
    let catalogue = Catalogue::shipped().unwrap();
    let clearest = |m: Material| catalogue.grades(m)[0].fact.figure.low;
    let order = [
        Material::LithiumDisilicate,
        Material::Zirconia5y,
        Material::Zirconia4y,
        Material::Zirconia3y,
        Material::MetalCeramic,
    ]
    .map(clearest);
    assert!(order.windows(2).all(|pair| pair[0] < pair[1]), "{order:?}");
    assert_eq!(order[4], 1.0);
}

#[test]
fn lithium_disilicate_as_a_single_crown_and_layered_for_a_demanding_incisor() {
    let premolar = planned("premolar", include_str!("../../../examples/premolar-too-close.toml"), |_| {});
    let back = premolar.option("crown.lithium_disilicate.monolithic").unwrap();
    let sound = |o: &PlannedOption| {
        o.answers[0].verdict != answer::Verdict::Unsuitable && o.answers[1].verdict == answer::Verdict::Suits
    };
    let words = |o: &PlannedOption| format!("{}; {}", o.answers[0].words, o.answers[1].words);
    row("lithium disilicate crown at the back", "sound", words(back), sound(back));
    let incisor = planned("incisor", include_str!("../../../examples/dark-incisor-cast-post.toml"), |case| {
        for abutment in &mut case.abutments {
            abutment.substrate = Some(case::words::Substrate::Dentine);
            abutment.stump = Some(case::Reading { l: 72.0, a: 3.0, b: 20.0, spread: Some(1.0), instrument: None });
        }
    });
    let front = incisor.option("crown.lithium_disilicate.monolithic").unwrap();
    row("lithium disilicate crown in front", "sound", words(front), sound(front));
    let layered = incisor.option("crown.lithium_disilicate.layered").unwrap();
    let remade = layered.colour[0].remade;
    row(
        "layered glass-ceramic on an incisor over sound dentine",
        "fewer than 20 of 100 remade for colour",
        format!("{remade:.2}"),
        remade < 0.2,
    );
    // Over dentine as light as the laboratory expects, a layered crown cannot be worse off than over a dark post.
    let dark = planned("dark", include_str!("../../../examples/dark-incisor-cast-post.toml"), |_| {});
    assert!(remade < dark.option("crown.lithium_disilicate.layered").unwrap().colour[0].remade);
}
