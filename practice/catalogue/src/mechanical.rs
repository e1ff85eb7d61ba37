//! Mechanical values as measured: strength, toughness, elasticity, slow crack growth, expansion, row by row.
//!
//! Test methods are never mixed without converting by effective area or volume; [`Catalogue::class_value`] gives the start value of
//! a class, these rows what stands behind it.

use crate::Catalogue;
use crate::fact::Fact;
use answer::{Basis, Issue};
use table::Row;

/// A row of `mechanical.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct MechanicalRow {
    /// Material word of the data (may be wider than the closed list: `veneer_for_metal`, `dentine` ...).
    pub material: String,
    /// Kind within the class; empty: not told.
    pub variant: String,
    /// What was measured: `flexural_strength_biaxial`, `youngs_modulus`, `slow_crack_growth_n` ...
    pub property: String,
    /// Test method as told; empty: not told.
    pub method: String,
    /// Condition as told (`wet`, `dry`, temperatures ...); empty: not told.
    pub condition: String,
    /// Standard deviation in the unit of the figure, where given.
    pub sd: Option<f64>,
    /// Specimens, where given.
    pub n: Option<u32>,
    /// The figure.
    pub fact: Fact,
}

impl MechanicalRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        Ok(Self {
            material: row.text("material")?.to_owned(),
            variant: row.maybe("variant").unwrap_or("").to_owned(),
            property: row.text("property")?.to_owned(),
            method: row.maybe("method").unwrap_or("").to_owned(),
            condition: row.maybe("condition").unwrap_or("").to_owned(),
            sd: row.maybe_number("sd")?,
            n: row.maybe_count("n")?,
            fact: Fact::read(row)?,
        })
    }

    /// True when it was measured in water or saliva, as in the mouth.
    pub fn is_wet(&self) -> bool {
        ["wet", "water", "saliva"].iter().any(|w| self.condition.contains(w))
    }

    /// Order of preference: figures of the better basis first, then wet before untold before dry.
    fn preference(&self) -> (Basis, u8) {
        let wetness = if self.is_wet() { 0 } else { u8::from(self.condition.starts_with("dry")) + 1 };
        (self.fact.basis, wetness)
    }
}

impl Catalogue {
    /// Every mechanical row.
    pub fn mechanical_rows(&self) -> &[MechanicalRow] {
        &self.mechanical
    }

    /// Rows of one material word and property, the preferred first (read before recalled, wet before dry, then file order).
    pub fn mechanical(&self, material: &str, property: &str) -> Vec<&MechanicalRow> {
        let mut list: Vec<&MechanicalRow> =
            self.mechanical.iter().filter(|m| m.material == material && m.property == property).collect();
        list.sort_by_key(|m| m.preference());
        list
    }
}
