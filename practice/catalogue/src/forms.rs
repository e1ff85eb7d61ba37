//! Forms of crowns, free of size: profiles by side and the ridges of the chewing surface.

use crate::Catalogue;
use crate::fact::basis;
use crate::words::{Jaw, Tooth, words_of};
use answer::{Basis, Issue};
use table::Row;

/// One value towards each side of a crown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BySide {
    /// Towards lip or cheek.
    pub facial: f64,
    /// Towards tongue or palate.
    pub lingual: f64,
    /// Towards the midline of the arch.
    pub mesial: f64,
    /// Away from the midline.
    pub distal: f64,
}

/// A row of `tooth_forms.csv`: shape of one kind of crown as shares of its size.
#[derive(Debug, Clone, PartialEq)]
pub struct CrownForm {
    /// Id.
    pub id: String,
    /// Jaw.
    pub jaw: Jaw,
    /// Number from the midline, 1-8.
    pub number: u8,
    /// Height of the widest place as a share of the crown's.
    pub crest: BySide,
    /// Half-width at the top as a share of half the greatest width.
    pub top: BySide,
    /// Exponent of the fall from crest to top: above 0 bulging, below 0 hollow.
    pub bow: BySide,
    /// Centre of the neck and of the top, towards the lip or cheek, as shares of the faciolingual width.
    pub lean: [f64; 2],
    /// How much narrower the crown is at its lingual side (share of the width).
    pub lingual_taper: f64,
    /// Shear of the section: millimetres facial per millimetre mesial.
    pub skew: f64,
    /// Exponent of the superelliptic section at the neck and at the top.
    pub exponent: [f64; 2],
    /// Rise of the lingual marginal ridges beside the hollow of a front tooth, mm.
    pub hollow: f64,
    /// Rounding between sides and top, mm.
    pub rounding: f64,
    /// Angle at which the crown leaves the root, degrees.
    pub emergence_degrees: f64,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

/// A row of `tooth_ridges.csv`: one ridge of a chewing surface or incisal edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Ridge {
    /// Id.
    pub id: String,
    /// Jaw.
    pub jaw: Jaw,
    /// Number from the midline, 1-8.
    pub number: u8,
    /// Where it begins and ends: mesial and facial place as shares of half the widths, height as a share of the crown's.
    pub ends: [[f64; 3]; 2],
    /// Slope of its flanks, degrees.
    pub slope_degrees: f64,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

impl CrownForm {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let by_side = |what: &str, low: f64, high: f64| -> Result<BySide, Issue> {
            let side = |s: &str| within(row, &format!("{s}_{what}"), low, high);
            Ok(BySide {
                facial: side("facial")?,
                lingual: side("lingual")?,
                mesial: side("mesial")?,
                distal: side("distal")?,
            })
        };
        Ok(Self {
            id: row.text("id")?.to_owned(),
            jaw: row.word("jaw", Jaw::ALL, Jaw::word)?,
            number: within(row, "number", 1.0, 8.0)? as u8,
            crest: by_side("crest", 0.05, 0.95)?,
            top: by_side("top", 0.05, 1.0)?,
            bow: by_side("bow", -4.0, 4.0)?,
            lean: [within(row, "neck_lean", -0.3, 0.3)?, within(row, "top_lean", -0.3, 0.3)?],
            lingual_taper: within(row, "lingual_taper", -0.3, 0.4)?,
            skew: within(row, "skew", -0.3, 0.3)?,
            exponent: [within(row, "exponent_neck", 1.5, 6.0)?, within(row, "exponent_top", 1.5, 6.0)?],
            hollow: within(row, "hollow", 0.0, 2.0)?,
            rounding: within(row, "rounding", 0.1, 1.0)?,
            emergence_degrees: within(row, "emergence_degrees", 0.0, 40.0)?,
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }
}

impl Ridge {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let end = |which: &str| -> Result<[f64; 3], Issue> {
            Ok([
                within(row, &format!("{which}_mesial"), -1.0, 1.0)?,
                within(row, &format!("{which}_facial"), -1.0, 1.0)?,
                within(row, &format!("{which}_height"), 0.2, 1.0)?,
            ])
        };
        Ok(Self {
            id: row.text("id")?.to_owned(),
            jaw: row.word("jaw", Jaw::ALL, Jaw::word)?,
            number: within(row, "number", 1.0, 8.0)? as u8,
            ends: [end("from")?, end("to")?],
            slope_degrees: within(row, "slope_degrees", 5.0, 80.0)?,
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }
}

/// A number of a row inside its bounds.
fn within(row: &Row, column: &str, low: f64, high: f64) -> Result<f64, Issue> {
    let value = row.number(column)?;
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(row.complain(column, format!("it is {value}"), format!("{low} to {high}"), "correct the figure"))
    }
}

impl Catalogue {
    /// Form of a tooth's crown, free of size.
    pub fn crown_form(&self, tooth: Tooth) -> Option<&CrownForm> {
        self.crown_forms.iter().find(|f| f.jaw == tooth.jaw() && f.number == tooth.number())
    }

    /// Ridges of a tooth's chewing surface or edge.
    pub fn ridges(&self, tooth: Tooth) -> Vec<&Ridge> {
        self.ridges.iter().filter(|r| r.jaw == tooth.jaw() && r.number == tooth.number()).collect()
    }
}
