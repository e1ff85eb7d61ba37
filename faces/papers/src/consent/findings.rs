//! What was found, in the patient's words: the closed answers of the case, tooth by tooth, then the mouth.

use super::{Texts, teeth};
use crate::blocks::{Block, Words};
use case::words::{Apical, Bone, Cracks, Filled, Grinding, Margin, Pulp, Risk, Substrate, Turn};
use case::{Abutment, Case};

/// A list of what was found, and lines for what only the dentist can write.
pub(super) fn blocks(texts: &Texts, case: &Case) -> Vec<Block> {
    let mut facts: Vec<(String, Words)> = Vec::new();
    for tooth in case.standing() {
        let Some(abutment) = case.abutment(tooth) else { continue };
        facts.push((teeth::name(texts, tooth), said(texts, &of_tooth(abutment))));
    }
    let mouth = of_mouth(case);
    if !mouth.is_empty() {
        facts.push((texts.get("found_in_mouth").to_owned(), said(texts, &mouth)));
    }
    let mut blocks = Vec::new();
    if case.restoration.turn == Some(Turn::Replacement) {
        blocks.push(Block::Paragraph(texts.get("found_replaced").into()));
    }
    if !facts.is_empty() {
        blocks.push(Block::Facts(facts));
    }
    blocks.push(Block::Blank(texts.get("found_by_hand").into(), 2));
    blocks
}

fn said(texts: &Texts, keys: &[&str]) -> Words {
    if keys.is_empty() {
        return texts.get("found_plain").into();
    }
    keys.iter().map(|k| texts.get(k)).collect::<Vec<_>>().join(" ").into()
}

/// Keys of the findings of one tooth.
fn of_tooth(a: &Abutment) -> Vec<&'static str> {
    let cracks = match a.cracks {
        Some(Cracks::Split) => Some("found_split"),
        Some(Cracks::Dentine | Cracks::Symptomatic) => Some("found_crack"),
        Some(Cracks::Nothing | Cracks::Enamel) | None => None,
    };
    let nerve = match a.pulp {
        Some(Pulp::RootFilled) => Some("found_root_filled"),
        Some(Pulp::Irreversible | Pulp::Necrotic) => Some("found_nerve"),
        Some(Pulp::Vital | Pulp::Unknown) | None => None,
    };
    let dark = matches!(a.substrate, Some(Substrate::MetalPost | Substrate::DiscolouredDentine));
    let few_walls = a.walls.is_some_and(|w| w <= 2);
    [
        cracks,
        nerve,
        (a.apical == Some(Apical::Lesion)).then_some("found_root_end"),
        (a.filled == Some(Filled::Heavily)).then_some("found_filled"),
        few_walls.then_some("found_walls"),
        dark.then_some("found_dark"),
        (a.margin == Some(Margin::Below)).then_some("found_below_gum"),
        matches!(a.bone, Some(Bone::ThirdLost | Bone::HalfLost)).then_some("found_bone"),
        a.mobility.is_some_and(|m| m >= 1).then_some("found_loose"),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Keys of the findings of the mouth.
fn of_mouth(case: &Case) -> Vec<&'static str> {
    let mouth = &case.mouth;
    let grinding = match mouth.grinding {
        Some(Grinding::Evident) => Some("found_grinding"),
        Some(Grinding::Suspected) => Some("found_may_grind"),
        Some(Grinding::Nothing) | None => None,
    };
    [
        grinding,
        (mouth.smoking == Some(true)).then_some("found_smoking"),
        (mouth.caries_risk == Some(Risk::High)).then_some("found_decay"),
        (mouth.reflux == Some(true)).then_some("found_acid"),
        mouth.allergies.as_ref().is_some_and(|list| !list.is_empty()).then_some("found_allergy"),
        (mouth.growing == Some(true)).then_some("found_growing"),
    ]
    .into_iter()
    .flatten()
    .collect()
}
