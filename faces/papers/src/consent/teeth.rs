//! Teeth in the patient's words: what the work is about.

use super::Texts;
use crate::blocks::Block;
use case::Case;
use catalogue::words::{Tooth, ToothClass};

/// A tooth by jaw, side and kind, with its number.
pub(super) fn name(texts: &Texts, tooth: Tooth) -> String {
    let kind = match tooth.class() {
        ToothClass::CentralIncisor => "kind_central_incisor",
        ToothClass::LateralIncisor => "kind_lateral_incisor",
        ToothClass::Canine => "kind_canine",
        ToothClass::Premolar => "kind_premolar",
        ToothClass::Molar => "kind_molar",
    };
    let name = texts.fill(
        "tooth",
        &[
            ("jaw", texts.get(&format!("jaw_{}", tooth.jaw().word()))),
            ("side", texts.get(&format!("side_{}", tooth.side().word()))),
            ("kind", texts.get(kind)),
            ("code", &tooth.code().to_string()),
        ],
    );
    let mut letters = name.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

fn names(texts: &Texts, teeth: &[Tooth]) -> String {
    teeth.iter().map(|t| name(texts, *t)).collect::<Vec<_>>().join(", ")
}

/// The tooth, or the gap and what stands beside it.
pub(super) fn blocks(texts: &Texts, case: &Case) -> Vec<Block> {
    let (missing, standing) = (case.missing(), case.standing());
    let line = |key: &str, teeth: &[Tooth]| {
        (!teeth.is_empty()).then(|| Block::Paragraph(texts.fill(key, &[("teeth", &names(texts, teeth))]).into()))
    };
    if missing.is_empty() {
        line("what_tooth", &standing).into_iter().collect()
    } else {
        line("what_gap", &missing).into_iter().chain(line("what_beside", &standing)).collect()
    }
}
