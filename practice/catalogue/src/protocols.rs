//! Steps at the chair and bench: fitting surface, cleaning, cement, polishing, firing.
//!
//! They are what the literature holds for a class; the instructions of the material actually used go before them.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Material, words_of};
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
            order: row.maybe_count("step_no")?,
            step: row.text("step")?.to_owned(),
            parameter: text("parameter"),
            figure: row.maybe_figure()?,
            figure_in_words: text("value_text"),
            unit: text("unit"),
            condition: text("condition"),
            note: text("note"),
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
}
