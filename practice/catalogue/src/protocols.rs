//! Steps at the chair and bench: fitting surface, cleaning, cement, polishing, firing.
//!
//! They are what the literature holds for a class; the instructions of the material actually used go before them.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Construct, Material, words_of};
use answer::{Issue, Provenance};
use table::{Range, Row};

/// A row of `protocols.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct ProtocolStep {
    /// Row id.
    pub id: String,
    /// Phase: `intaglio treatment`, `cleaning after try-in`, `choice of cement` ...
    pub phase: String,
    /// Material words as written (`any`, `any_ceramic` and words beyond the closed list are met); empty: not told.
    pub materials: Vec<String>,
    /// What it is said of, in words: `dentine, self-adhesive cement` ...
    pub applies_to: String,
    /// Order within phase and material, where there is one.
    pub order: Option<u32>,
    /// What to do.
    pub step: String,
    /// What the figure is of; empty: no figure.
    pub parameter: String,
    /// Figure, where it could be put into numbers.
    pub figure: Option<Range>,
    /// Figure as printed, where it could not.
    pub figure_in_words: String,
    /// Unit of the figure.
    pub unit: String,
    /// Condition in words.
    pub condition: String,
    /// Remarks.
    pub note: String,
    /// The place of a card it is printed in: `surface`, `primer`, `try_in` ...; empty: on none.
    pub card: String,
    /// Constructs for whose cards it is meant; empty: any.
    pub constructs: Vec<Construct>,
    /// The step as an instruction; its figures are those of the row.
    pub instruction: String,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl ProtocolStep {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let text = |column: &str| row.maybe(column).unwrap_or("").to_owned();
        Ok(Self {
            id: row.text("id")?.to_owned(),
            phase: row.text("phase")?.to_owned(),
            materials: words_of(row, "material"),
            applies_to: text("applies_to"),
            order: row.maybe_count("step_no")?,
            step: row.text("step")?.to_owned(),
            parameter: text("parameter"),
            figure: row.maybe_figure()?,
            figure_in_words: text("value_text"),
            unit: text("unit"),
            condition: text("condition"),
            note: text("note"),
            card: text("card"),
            constructs: row.words("construct", Construct::ALL, Construct::word)?,
            instruction: text("instruction"),
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }
}

impl Catalogue {
    /// Every step.
    pub fn protocol_steps(&self) -> &[ProtocolStep] {
        &self.protocols
    }

    /// Steps of a phase that speak of a material, in their order (steps without a number last).
    pub fn protocol(&self, phase: &str, material: Material) -> Vec<&ProtocolStep> {
        let speaks = |s: &&ProtocolStep| s.phase == phase && s.materials.iter().any(|word| material.is_meant_by(word));
        let mut list: Vec<&ProtocolStep> = self.protocols.iter().filter(speaks).collect();
        list.sort_by_key(|s| s.order.unwrap_or(u32::MAX));
        list
    }

    /// Steps printed in one place of a card for a construct and a material (`None`: not told, only steps for any material), in
    /// their order.
    pub fn card_steps(&self, place: &str, construct: Construct, material: Option<Material>) -> Vec<&ProtocolStep> {
        let meant = |s: &ProtocolStep| {
            s.materials.iter().any(|word| word == "any" || material.is_some_and(|m| m.is_meant_by(word)))
        };
        let speaks = |s: &&ProtocolStep| {
            s.card == place && (s.constructs.is_empty() || s.constructs.contains(&construct)) && meant(s)
        };
        let mut list: Vec<&ProtocolStep> = self.protocols.iter().filter(speaks).collect();
        list.sort_by_key(|s| s.order.unwrap_or(u32::MAX));
        list
    }
}
