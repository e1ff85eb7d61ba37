//! Optical values of classes and tooth tissues: contrast ratio, translucency parameter, index of refraction, scattering.

use crate::Catalogue;
use crate::fact::Fact;
use answer::Issue;
use table::{Range, Row};

/// A row of `optics.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct OpticalRow {
    /// Material word of the data (also tooth tissues and cements).
    pub material: String,
    /// Kind within the class; empty: not told.
    pub variant: String,
    /// What was measured: `contrast_ratio`, `translucency_parameter_ab`, `refractive_index` ...
    pub property: String,
    /// Thickness of the specimen, mm, where given.
    pub thickness_mm: Option<Range>,
    /// Wavelengths, nm, as told; empty: not told.
    pub band_nm: String,
    /// What a ratio is of: `Y`, or `L*`, which is no contrast ratio; empty: no ratio.
    pub ratio_of: String,
    /// Whether the figure may be set beside one from another laboratory.
    pub comparable: bool,
    /// The figure.
    pub fact: Fact,
}

impl OpticalRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let thickness = Range::of(
            row.maybe_number("thickness_mm")?,
            row.maybe_number("thickness_low_mm")?,
            row.maybe_number("thickness_high_mm")?,
        );
        if thickness.is_some_and(|t| t.low <= 0.0 || t.low > t.high) {
            return Err(row.complain(
                "thickness_mm",
                "the thickness is not above 0, or its ends are exchanged",
                "mm above 0",
                "correct it",
            ));
        }
        let fact = Fact::read(row)?;
        let property = row.text("property")?.to_owned();
        if property == "contrast_ratio" && !(0.0..=1.0).contains(&fact.figure.middle()) {
            return Err(row.complain(
                "value",
                format!("a contrast ratio of {}", fact.figure.middle()),
                "0 to 1",
                "correct the figure",
            ));
        }
        Ok(Self {
            material: row.text("material")?.to_owned(),
            variant: row.maybe("variant").unwrap_or("").to_owned(),
            property,
            thickness_mm: thickness,
            band_nm: row.maybe("band_nm").unwrap_or("").to_owned(),
            ratio_of: row.maybe("ratio_of").unwrap_or("").to_owned(),
            comparable: row.maybe_yes("comparable_across_laboratories")? == Some(true),
            fact,
        })
    }
}

impl Catalogue {
    /// Every optical row.
    pub fn optical_rows(&self) -> &[OpticalRow] {
        &self.optics
    }

    /// Rows of one material word and property, better basis first. Ratios of L* readings are no contrast ratios and left out.
    pub fn optics(&self, material: &str, property: &str) -> Vec<&OpticalRow> {
        let fits = |o: &&OpticalRow| o.material == material && o.property == property && o.ratio_of != "L*";
        let mut list: Vec<&OpticalRow> = self.optics.iter().filter(fits).collect();
        list.sort_by_key(|o| o.fact.basis);
        list
    }

    /// Index of refraction of a material word, the row of the best basis.
    pub fn refractive_index(&self, material: &str) -> Option<&Fact> {
        self.optics(material, "refractive_index").first().map(|o| &o.fact)
    }
}
