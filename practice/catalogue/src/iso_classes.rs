//! Ceramic classes and alloy types of the standards, with what each is meant for.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Construct, words_of};
use answer::{Issue, Provenance};
use table::Row;

/// A row of `iso6872_classes.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct IsoClass {
    /// Row id.
    pub id: String,
    /// Standard and edition, e.g. `ISO 6872:2015`.
    pub standard: String,
    /// Class or type within it.
    pub class: String,
    /// What it is meant for, in words.
    pub meant_for: String,
    /// Constructs it is meant for, where the row names them.
    pub constructs: Vec<Construct>,
    /// Most units, where limited.
    pub units_max: Option<u32>,
    /// Whether a molar may be replaced, where told.
    pub molar_replaced: Option<bool>,
    /// Least strength, with its unit.
    pub strength_min: Option<(f64, String)>,
    /// Least toughness, with its unit.
    pub toughness_min: Option<(f64, String)>,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl IsoClass {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let limit = |value: &str, unit: &str| -> Result<Option<(f64, String)>, Issue> {
            row.maybe_number(value)?.map(|v| Ok((v, row.text(unit)?.to_owned()))).transpose()
        };
        let standard = row.text("standard")?;
        Ok(Self {
            id: row.text("id")?.to_owned(),
            standard: row.maybe("edition").map_or(standard.to_owned(), |e| format!("{standard}:{e}")),
            class: row.text("iso_class")?.to_owned(),
            meant_for: row.maybe("use").unwrap_or("").to_owned(),
            constructs: row.words("constructs", Construct::ALL, Construct::word)?,
            units_max: row.maybe_count("units_max")?,
            molar_replaced: row.maybe_yes("molar_replaced")?,
            strength_min: limit("strength_min", "strength_unit")?,
            toughness_min: limit("toughness_min", "toughness_unit")?,
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }
}

impl Catalogue {
    /// Classes and types of the standards.
    pub fn iso_classes(&self) -> &[IsoClass] {
        &self.iso_classes
    }
}
