//! Rules of design from the same texts as the recommendations: thickness, span, preparation, recall.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Build, Construct, Material, Region, words_of};
use answer::{Issue, Provenance};
use table::{Range, Row};

/// A row of `design_rules.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct DesignRule {
    /// Row id.
    pub id: String,
    /// Society.
    pub society: String,
    /// `thickness`, `span`, `preparation`, `recall` ...
    pub topic: String,
    /// Construct words as written.
    pub constructs: Vec<String>,
    /// Material words as written.
    pub materials: Vec<String>,
    /// Builds; empty: any.
    pub builds: Vec<Build>,
    /// Region; `None`: any.
    pub region: Option<Region>,
    /// The rule in our words.
    pub rule: String,
    /// Its figure, where it has one.
    pub figure: Option<Range>,
    /// Unit of the figure.
    pub unit: String,
    /// `for`, `open`, `none`, `against`.
    pub direction: String,
    /// Grade as printed; empty: not read.
    pub grade: String,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl DesignRule {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let text = |column: &str| row.maybe(column).unwrap_or("").to_owned();
        Ok(Self {
            id: row.text("id")?.to_owned(),
            society: text("society"),
            topic: row.text("topic")?.to_owned(),
            constructs: words_of(row, "construct"),
            materials: words_of(row, "material"),
            builds: row.words("build", Build::ALL, Build::word)?,
            region: row.maybe_word("region", Region::ALL, Region::word)?,
            rule: row.text("rule")?.to_owned(),
            figure: row.maybe_figure()?,
            unit: text("unit"),
            direction: row.text("direction")?.to_owned(),
            grade: text("grade"),
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }

    fn speaks_of(&self, construct: Construct, material: Material, build: Build, region: Region) -> bool {
        self.constructs.iter().any(|word| word == "any" || word == construct.word())
            && self.materials.iter().any(|word| material.is_meant_by(word))
            && (self.builds.is_empty() || self.builds.contains(&build))
            && self.region.is_none_or(|r| r == region)
    }
}

impl Catalogue {
    /// Rules of design that speak of one way of making it, in file order.
    pub fn design_rules(
        &self,
        construct: Construct,
        material: Material,
        build: Build,
        region: Region,
    ) -> Vec<&DesignRule> {
        self.design_rules.iter().filter(|r| r.speaks_of(construct, material, build, region)).collect()
    }
}
