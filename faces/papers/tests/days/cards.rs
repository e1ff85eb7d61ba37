//! The cards open with the dangers, leave no step out, and never etch in the mouth.

use crate::cases::{Planned, catalogue, text as case_text};
use crate::{made, text};
use catalogue::words::{Construct, Material};
use papers::blocks::{Block, Weight};

#[test]
fn every_fit_card_opens_with_its_acids() {
    for name in ["bridge-45-47", "dark-incisor-cast-post", "implant-premolar", "lost-lower-incisor", "chipped-crown"] {
        let planned = Planned::shipped(name);
        let card = made(&planned.known(), "fit").document;
        let Some(Block::Note(Weight::Caution, first)) = card.opening.first() else {
            panic!("{name}: no caution first")
        };
        assert!(first.text().contains("hydrofluoric acid"), "{name}: {}", first.text());
    }
}

#[test]
fn glass_ceramic_is_told_where_how_and_with_what_at_hand_its_acid_is_used() {
    let planned = Planned::shipped("dark-incisor-cast-post");
    let card = text(&made(&planned.named("crown.lithium_disilicate.monolithic"), "fit").document);
    for wanted in [
        "outside the mouth only",
        "gloves",
        "Eye shield",
        "Neutraliser",
        "has the laboratory etched already",
        "never on zirconia",
        "Silane",
        "Resin cement",
    ] {
        assert!(card.to_lowercase().contains(&wanted.to_lowercase()), "{wanted:?} is missing in {card}");
    }
}

#[test]
fn zirconia_is_never_etched_and_never_left_rough() {
    let planned = Planned::shipped("bridge-45-47");
    let card = text(&made(&planned.named("bridge.zirconia_3y.monolithic"), "fit").document);
    assert!(card.contains("never on zirconia") && card.contains("never left rough") && card.contains("10-MDP"));
    assert!(!card.contains("Etch the fitting surface"), "{card}");
}

#[test]
fn a_chip_is_mended_without_hydrofluoric_acid_in_the_mouth() {
    let chipped = Planned::shipped("chipped-crown");
    for material in ["metal_ceramic", "zirconia_3y", "lithium_disilicate", "feldspathic"] {
        let old =
            case_text("chipped-crown").replace("material = \"metal_ceramic\"", &format!("material = \"{material}\""));
        let planned = chipped.with_case(&old);
        let card = made(&planned.known(), "fit").document;
        let told = text(&card);
        assert!(
            told.contains("No hydrofluoric acid in the mouth") || told.contains("no hydrofluoric acid in the mouth")
        );
        // Beyond the caution, no step names it.
        assert_eq!(told.to_lowercase().matches("hydrofluoric").count(), 1, "{material}: {told}");
        assert!(told.contains("Rubber dam"), "{material}");
    }
    // The rows themselves: none that a repair may print asks for it.
    for row in catalogue().protocol_steps().iter().filter(|r| r.constructs.contains(&Construct::PolishOrRepair)) {
        assert!(row.card == "acid" || !row.instruction.to_lowercase().contains("hydrofluoric"), "{}", row.id);
    }
}

#[test]
fn a_step_without_a_row_is_printed_as_a_line_to_fill() {
    for name in ["bridge-45-47", "dark-incisor-cast-post", "lost-lower-incisor", "chipped-crown"] {
        let planned = Planned::shipped(name);
        let card = text(&made(&planned.known(), "fit").document);
        assert!(card.contains("follow the cement's own instructions ____"), "{name}");
    }
    // Every class a laboratory makes finds a row, or the line, at every place of the card.
    for material in Material::ALL {
        let steps = catalogue().card_steps("surface", Construct::Crown, Some(*material));
        assert!(
            !steps.is_empty() || *material == Material::Composite,
            "{material}: nothing is told of its fitting surface"
        );
    }
}

#[test]
fn an_implant_crown_is_told_its_torque_and_its_excess() {
    let screwed = Planned::shipped("implant-premolar");
    let card = text(&made(&screwed.known(), "fit").document);
    assert!(card.contains("____ N cm") && card.contains("Retightening after 2 min") && !card.contains("Excess"));
    let planned =
        screwed.with_case(&case_text("implant-premolar").replace("fixing = \"screw\"", "fixing = \"cement\""));
    let card = text(&made(&planned.known(), "fit").document);
    assert!(card.contains("copy of the abutment") && card.contains("residual cement"));
    let untold = screwed.with_case(&case_text("implant-premolar").replace("fixing = \"screw\"\n", ""));
    let both = made(&untold.known(), "fit");
    assert!(
        !both.missing.is_empty()
            && text(&both.document).contains("____ N cm")
            && text(&both.document).contains("Excess")
    );
}

#[test]
fn a_screwed_implant_crown_is_not_prepared_and_a_wing_stays_in_enamel() {
    let implant = Planned::shipped("implant-premolar");
    assert!(text(&made(&implant.known(), "preparation").document).contains("Nothing is cut"));
    let wing = Planned::shipped("lost-lower-incisor");
    let card = text(&made(&wing.known(), "preparation").document);
    assert!(card.contains("Stay in enamel") && card.contains("before anything dries"), "{card}");
}

#[test]
fn what_the_laboratory_has_done_to_the_fitting_surface_is_told_on_the_fit_card() {
    let planned = Planned::shipped("molar-crown-ordered");
    let card = text(&made(&planned.known(), "fit").document);
    assert!(card.contains("air-abraded") && card.contains("2026-04-02"));
    let other = planned.with_case(&case_text("molar-crown-ordered").replace("\"abraded\"", "\"etched\""));
    assert!(text(&made(&other.known(), "fit").document).contains("do not etch it again"));
}

#[test]
fn a_veneered_framework_is_polished_as_its_porcelain_and_treated_inside_as_its_core() {
    let planned = Planned::shipped("bridge-45-47");
    let card = text(&made(&planned.named("bridge.zirconia_3y.layered"), "fit").document);
    assert!(card.contains("Ceramic polishers") && !card.contains("zirconia polishers") && card.contains("10-MDP"));
}
