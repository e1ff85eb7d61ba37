//! Grades, substrates, thresholds and natural tooth colours.

use crate::Catalogue;
use crate::fact::{Fact, basis, provenance};
use crate::words::{Grade, Jaw, Material, ToothClass, words_of};
use answer::{Basis, Issue, Provenance};
use table::{Range, Row};

/// A row of `grades.csv`: contrast ratio at 1.0 mm of a grade, in one class or as the band that names the grade.
#[derive(Debug, Clone, PartialEq)]
pub struct GradeRow {
    /// Grade.
    pub grade: Grade,
    /// Class that offers it; `None`: the band that names it.
    pub material: Option<Material>,
    /// Contrast ratio.
    pub fact: Fact,
    /// Thickness it was taken at, mm.
    pub thickness_mm: f64,
}

impl GradeRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        Ok(Self {
            grade: row.word("grade", Grade::ALL, Grade::word)?,
            material: row.maybe_word("material", Material::ALL, Material::word)?,
            fact: Fact::read(row)?,
            thickness_mm: row.number("thickness_mm")?,
        })
    }
}

/// A row of `substrates.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct SubstrateRow {
    /// Id.
    pub id: String,
    /// Word of the case.
    pub substrate: String,
    /// `default_range`, `ideal_upper_bound`, `read_range`, or `own_reading` of a practice.
    pub role: String,
    /// CIELAB, each with its range.
    pub lab: [Range; 3],
    /// True when something was measured.
    pub measured: bool,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl SubstrateRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let axis = |value: &str, low: &str, high: &str| -> Result<Range, Issue> {
            Range::of(row.maybe_number(value)?, row.maybe_number(low)?, row.maybe_number(high)?).ok_or_else(|| {
                row.complain(
                    value,
                    "no colour is given",
                    "a value, or low and high",
                    "fill in the CIELAB values or their ranges",
                )
            })
        };
        Ok(Self {
            id: row.text("id")?.to_owned(),
            substrate: row.text("substrate")?.to_owned(),
            role: row.text("role")?.to_owned(),
            lab: [axis("L", "L_low", "L_high")?, axis("a", "a_low", "a_high")?, axis("b", "b_low", "b_high")?],
            measured: row.maybe("measured") == Some("yes"),
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }
}

/// A row of `thresholds.csv` on colour differences.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    /// `colour_difference`, `translucency_difference` ...
    pub quantity: String,
    /// Formula as given.
    pub formula: String,
    /// `perceptibility` or `acceptability`.
    pub kind: String,
    /// `bench`, `in_mouth`, `literature`.
    pub setting: String,
    /// The figure.
    pub fact: Fact,
}

impl Threshold {
    /// `None` for a row without a figure.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_figure()?.is_none() {
            return Ok(None);
        }
        Ok(Some(Self {
            quantity: row.text("quantity")?.to_owned(),
            formula: row.maybe("formula").unwrap_or("").to_owned(),
            kind: row.text("kind")?.to_owned(),
            setting: row.text("setting")?.to_owned(),
            fact: Fact::read(row)?,
        }))
    }
}

/// Differences at which half the observers see, or refuse, and how much observers differ.
#[derive(Debug, Clone, PartialEq)]
pub struct ColourLimits {
    /// Difference that half see.
    pub seen: f64,
    /// Difference that half refuse.
    pub unacceptable: f64,
    /// Standard deviation of its logarithm over observers and studies.
    pub sd_log: f64,
    /// Sources and basis.
    pub provenance: Provenance,
}

/// A row of `tooth_colours.csv` with a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct ToothColour {
    /// Jaw, where told.
    pub jaw: Option<Jaw>,
    /// Kind of tooth, where told.
    pub class: Option<ToothClass>,
    /// Zone and population as given.
    pub zone: String,
    /// `L`, `a`, `b` or another quantity.
    pub quantity: String,
    /// Standard deviation between people, where given.
    pub sd: Option<f64>,
    /// The figure.
    pub fact: Fact,
}

impl ToothColour {
    /// `None` for a row without a figure.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_figure()?.is_none() {
            return Ok(None);
        }
        Ok(Some(Self {
            jaw: row.maybe_word("jaw", Jaw::ALL, Jaw::word)?,
            class: row.maybe_word("tooth_class", ToothClass::ALL, ToothClass::word)?,
            zone: row.maybe("zone").unwrap_or("").to_owned(),
            quantity: row.text("quantity")?.to_owned(),
            sd: row.maybe_number("sd")?,
            fact: Fact::read(row)?,
        }))
    }
}

impl Catalogue {
    /// Grades a class is offered in, clearest first.
    pub fn grades(&self, material: Material) -> Vec<&GradeRow> {
        let mut list: Vec<&GradeRow> = self.grades.iter().filter(|g| g.material == Some(material)).collect();
        list.sort_by_key(|g| g.grade);
        list
    }

    /// What is known of a substrate by its word: an own measured row before the default range.
    pub fn substrate(&self, word: &str) -> Option<&SubstrateRow> {
        let named = || self.substrates.iter().filter(|s| s.substrate == word);
        named().find(|s| s.measured && s.role == "own_reading").or_else(|| named().find(|s| s.role == "default_range"))
    }

    /// Where people see and refuse a colour difference in a setting (`bench`, `in_mouth`), in the formula whose name begins so; of
    /// several rows the first that was read, own rows replacing shipped ones by id. `None` where a figure is missing.
    pub fn colour_limits(&self, setting: &str, formula: &str) -> Option<ColourLimits> {
        let pick = |quantity: &str, kind: &str| {
            let fits = |t: &&Threshold| {
                t.quantity == quantity && t.kind == kind && t.setting == setting && t.formula.starts_with(formula)
            };
            let mut rows: Vec<&Threshold> = self.thresholds.iter().filter(fits).collect();
            rows.sort_by_key(|t| t.fact.basis == Basis::Memory);
            rows.first().map(|t| &t.fact)
        };
        let seen = pick("colour_difference", "perceptibility")?;
        let refused = pick("colour_difference", "acceptability")?;
        let spread = pick("colour_difference_spread", "observers")?;
        Some(ColourLimits {
            seen: seen.figure.middle(),
            unacceptable: refused.figure.middle(),
            sd_log: spread.figure.middle(),
            provenance: seen.provenance().and(&refused.provenance()).and(&spread.provenance()),
        })
    }

    /// Thresholds of colour difference.
    pub fn thresholds(&self) -> &[Threshold] {
        &self.thresholds
    }

    /// Natural tooth colours.
    pub fn tooth_colours(&self) -> &[ToothColour] {
        &self.tooth_colours
    }
}
