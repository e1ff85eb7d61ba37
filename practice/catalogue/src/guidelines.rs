//! What societies recommend, with grade and validity.

use crate::Catalogue;
use crate::fact::basis;
use crate::words::{Build, Construct, Material, Region, words_of};
use answer::{Basis, Issue};
use table::Row;

/// A row of `guidelines.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guideline {
    /// Id.
    pub id: String,
    /// Society.
    pub society: String,
    /// Name and edition of the text.
    pub text: String,
    /// Construct word as written (may be wider than the closed list).
    pub construct: String,
    /// Region; `None`: any.
    pub region: Option<Region>,
    /// Material words as written.
    pub materials: Vec<String>,
    /// Build word as written; empty: any.
    pub build: String,
    /// Conditions in words.
    pub conditions: String,
    /// `for`, `open`, `none`, `against`, `not_read`.
    pub direction: String,
    /// Grade as printed; empty: not read.
    pub grade: String,
    /// Valid until, `year-month`; empty: not told.
    pub valid_until: String,
    /// True when a newer version exists.
    pub replaced: bool,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

/// Whether a guideline still holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Validity {
    /// Within its term.
    Valid,
    /// Its term has ended or a newer version exists.
    Ended,
    /// No term is given.
    NoEndGiven,
    /// The recommendation itself was not read.
    NotRead,
}

impl Validity {
    /// Words printed.
    pub fn words(self) -> &'static str {
        match self {
            Self::Valid => "valid",
            Self::Ended => "validity ended",
            Self::NoEndGiven => "no end of validity given",
            Self::NotRead => "not read",
        }
    }
}

impl Guideline {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let region = row.maybe("region").and_then(Region::parse);
        Ok(Self {
            id: row.text("id")?.to_owned(),
            society: row.maybe("society").unwrap_or("").to_owned(),
            text: [row.maybe("guideline"), row.maybe("year")].into_iter().flatten().collect::<Vec<_>>().join(", "),
            construct: row.maybe("construct").unwrap_or("any").to_owned(),
            region,
            materials: words_of(row, "material"),
            build: row.maybe("build").unwrap_or("").to_owned(),
            conditions: row.maybe("conditions").unwrap_or("").to_owned(),
            direction: row.maybe("direction").unwrap_or("not_read").to_owned(),
            grade: row.maybe("grade").unwrap_or("").to_owned(),
            valid_until: row.maybe("valid_until").unwrap_or("").to_owned(),
            replaced: row.maybe("replaced") == Some("yes"),
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }

    /// Validity on a day given as `year-month` or `year-month-day`; the month named as its end still counts as valid.
    pub fn validity(&self, today: &str) -> Validity {
        if self.direction == "not_read" {
            Validity::NotRead
        } else if self.replaced || (!self.valid_until.is_empty() && month(&self.valid_until) < month(today)) {
            Validity::Ended
        } else if self.valid_until.is_empty() {
            Validity::NoEndGiven
        } else {
            Validity::Valid
        }
    }

    fn speaks_of(&self, construct: Construct, material: Material, build: Build, region: Region) -> bool {
        self.construct.split([';', '|']).any(|c| matches!(c.trim(), "any") || c.trim() == construct.word())
            && self.materials.iter().any(|m| material.is_meant_by(m))
            && (self.build.is_empty() || self.build == "any" || self.build == build.word())
            && self.region.is_none_or(|r| r == region)
    }
}

/// The `year-month` of a date.
fn month(date: &str) -> &str {
    date.get(..7).unwrap_or(date)
}

impl Catalogue {
    /// Recommendations that speak of one way of making it.
    pub fn guidelines(
        &self,
        construct: Construct,
        material: Material,
        build: Build,
        region: Region,
    ) -> Vec<&Guideline> {
        self.guidelines.iter().filter(|g| g.speaks_of(construct, material, build, region)).collect()
    }
}
