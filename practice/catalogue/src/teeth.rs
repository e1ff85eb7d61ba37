//! Average tooth dimensions.

use crate::Catalogue;
use crate::fact::basis;
use crate::words::{Tooth, words_of};
use answer::{Basis, Issue};
use table::Row;

/// A row of `tooth_dimensions.csv`: averages of one tooth, both sides, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct ToothDimensions {
    /// Id.
    pub id: String,
    /// The two teeth.
    pub teeth: [Tooth; 2],
    /// Height of the anatomical crown.
    pub crown_height_mm: f64,
    /// Root length.
    pub root_length_mm: f64,
    /// Mesiodistal width of the crown.
    pub mesiodistal_mm: f64,
    /// Mesiodistal width at the cervix.
    pub mesiodistal_cervix_mm: f64,
    /// Buccolingual width of the crown.
    pub buccolingual_mm: f64,
    /// Buccolingual width at the cervix.
    pub buccolingual_cervix_mm: f64,
    /// Rise of the enamel's edge from the facial to the mesial side.
    pub neck_curve_mesial_mm: f64,
    /// Rise of the enamel's edge from the facial to the distal side.
    pub neck_curve_distal_mm: f64,
    /// Root surface, mm2.
    pub root_area_mm2: Option<f64>,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis of the row.
    pub basis: Basis,
}

impl ToothDimensions {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let tooth = |column: &str| -> Result<Tooth, Issue> {
            let code = row.number(column)?;
            Tooth::new(code as u8)
                .map_err(|e| row.complain(column, e.to_string(), "a code of ISO 3950", "correct the code"))
        };
        Ok(Self {
            id: row.text("id")?.to_owned(),
            teeth: [tooth("fdi_right")?, tooth("fdi_left")?],
            crown_height_mm: row.number("crown_height_mm")?,
            root_length_mm: row.number("root_length_mm")?,
            mesiodistal_mm: row.number("md_crown_mm")?,
            mesiodistal_cervix_mm: row.number("md_cervix_mm")?,
            buccolingual_mm: row.number("bl_crown_mm")?,
            buccolingual_cervix_mm: row.number("bl_cervix_mm")?,
            neck_curve_mesial_mm: row.number("cej_curve_mesial_mm")?,
            neck_curve_distal_mm: row.number("cej_curve_distal_mm")?,
            root_area_mm2: row.maybe_number("root_surface_area_mm2")?,
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }
}

impl Catalogue {
    /// Average dimensions of a tooth.
    pub fn tooth(&self, tooth: Tooth) -> Option<&ToothDimensions> {
        self.teeth.iter().find(|d| d.teeth.contains(&tooth))
    }

    /// Root area of a tooth, mm2.
    pub fn root_area(&self, tooth: Tooth) -> Option<f64> {
        self.tooth(tooth).and_then(|d| d.root_area_mm2)
    }
}
