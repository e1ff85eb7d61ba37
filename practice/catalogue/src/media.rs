//! A practice's own media, characterised from its own discs: scattering and absorption by wavelength. Shipped empty, since no
//! published table of either was found for any restorative class.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Grade, Material, words_of};
use answer::{Issue, Provenance};
use table::Row;

/// One band of one medium: a row of `media.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct MediumRow {
    /// Own name of the medium.
    pub medium: String,
    /// Class it stands for; `None`: used by name only.
    pub material: Option<Material>,
    /// Grade it stands for.
    pub grade: Option<Grade>,
    /// Refractive index.
    pub index: f64,
    /// Wavelength, nm.
    pub wavelength_nm: f64,
    /// Scattering, per mm.
    pub scattering: f64,
    /// Absorption, per mm.
    pub absorption: f64,
    /// Standard deviation of ln scattering.
    pub sd_log_scattering: f64,
    /// Standard deviation of ln absorption.
    pub sd_log_absorption: f64,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl MediumRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let within = |column: &str, low: f64, high: f64, expected: &str| -> Result<f64, Issue> {
            let value = row.number(column)?;
            if (low..=high).contains(&value) {
                Ok(value)
            } else {
                Err(row.complain(
                    column,
                    format!("{value} is not possible"),
                    expected,
                    "write the file anew with `bisque colour characterise`",
                ))
            }
        };
        Ok(Self {
            medium: row.text("medium")?.to_owned(),
            material: row.maybe_word("material", Material::ALL, Material::word)?,
            grade: row.maybe_word("grade", Grade::ALL, Grade::word)?,
            index: within("index", 1.0, 4.0, "1 to 4")?,
            wavelength_nm: within("wavelength_nm", 300.0, 900.0, "300 to 900 nm")?,
            scattering: within("scattering_per_mm", 0.0, 1e4, "a number per mm, not below 0")?,
            absorption: within("absorption_per_mm", 0.0, 1e4, "a number per mm, not below 0")?,
            sd_log_scattering: within("sd_log_scattering", 0.0, 5.0, "0 to 5")?,
            sd_log_absorption: within("sd_log_absorption", 0.0, 5.0, "0 to 5")?,
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }
}

impl Catalogue {
    /// Names of own media.
    pub fn media(&self) -> Vec<&str> {
        let mut names: Vec<&str> = self.media.iter().map(|m| m.medium.as_str()).collect();
        names.dedup();
        names
    }

    /// Bands of an own medium in order of wavelength; empty when there is none of this name.
    pub fn medium(&self, name: &str) -> Vec<&MediumRow> {
        let mut bands: Vec<&MediumRow> = self.media.iter().filter(|m| m.medium == name).collect();
        bands.sort_by(|a, b| a.wavelength_nm.total_cmp(&b.wavelength_nm));
        bands
    }

    /// Bands of the own medium that stands for a class and grade.
    pub fn medium_for(&self, material: Material, grade: Grade) -> Vec<&MediumRow> {
        let fits = |m: &&MediumRow| m.material == Some(material) && m.grade == Some(grade);
        self.media.iter().find(fits).map_or(Vec::new(), |m| self.medium(&m.medium))
    }
}
