//! What room each material and build needs: tested minimum and working dimension.

use crate::Catalogue;
use crate::fact::basis;
use crate::words::{Build, Construct, Material, Region, Surface, words_of};
use answer::{Basis, Issue};
use table::{Range, Row};

/// A row of `needs.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct Need {
    /// Id.
    pub id: String,
    /// Construct.
    pub construct: Construct,
    /// Material.
    pub material: Material,
    /// Build.
    pub build: Build,
    /// Region; `None`: any.
    pub region: Option<Region>,
    /// Pontics between abutments; `None`: any.
    pub pontics: Option<u32>,
    /// What is needed, as written: `occlusal`, `connector_area` ...
    pub dimension: String,
    /// Tested minimum with its range.
    pub minimum: Range,
    /// Working dimension.
    pub working: f64,
    /// Unit as written.
    pub unit: String,
    /// Sources of the minimum and of the working dimension.
    pub sources: Vec<String>,
    /// Weakest basis of the two.
    pub basis: Basis,
}

impl Need {
    /// `None` for a row that only tells that nothing is known.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        let Some(minimum) = row.maybe_figure()? else { return Ok(None) };
        let mut sources = words_of(row, "source");
        sources.extend(words_of(row, "working_source"));
        sources.dedup();
        let working_basis = row.maybe("working_basis").and_then(|b| Basis::parse(&b.replace('_', " ")));
        Ok(Some(Self {
            id: row.text("id")?.to_owned(),
            construct: row.word("construct", Construct::ALL, Construct::word)?,
            material: row.word("material", Material::ALL, Material::word)?,
            build: row.word("build", Build::ALL, Build::word)?,
            region: row.maybe_word("region", Region::ALL, Region::word)?,
            pontics: row.maybe_count("pontics")?,
            dimension: row.text("dimension")?.to_owned(),
            minimum,
            working: row.maybe_number("working")?.unwrap_or(minimum.middle()),
            unit: row.maybe("unit").unwrap_or("").to_owned(),
            sources,
            basis: working_basis.map_or(basis(row)?, |w| w.max(basis(row).unwrap_or(w))),
        }))
    }

    /// The tested minimum as one number.
    pub fn tested_minimum(&self) -> f64 {
        self.minimum.middle()
    }

    /// The surface of a tooth it speaks of.
    pub fn surface(&self) -> Option<Surface> {
        Surface::parse(&self.dimension)
    }
}

impl Catalogue {
    /// Needs of one way of making it; rows for the region and number of pontics go before general ones.
    pub fn needs(
        &self,
        construct: Construct,
        material: Material,
        build: Build,
        region: Region,
        pontics: u32,
    ) -> Vec<&Need> {
        let fits = |n: &&Need| {
            n.construct == construct
                && n.material == material
                && n.build == build
                && n.region.is_none_or(|r| r == region)
                && n.pontics.is_none_or(|p| p == pontics)
        };
        let mut list: Vec<&Need> = self.needs.iter().filter(fits).collect();
        list.sort_by_key(|n| (n.region.is_none(), n.pontics.is_none()));
        let mut seen: Vec<&str> = Vec::new();
        list.retain(|n| {
            let new = !seen.contains(&n.dimension.as_str());
            seen.push(&n.dimension);
            new
        });
        list
    }

    /// Whether a construct is made in this material and build at all.
    pub fn offers(&self, construct: Construct, material: Material, build: Build, region: Region) -> bool {
        self.needs.iter().any(|n| {
            n.construct == construct
                && n.material == material
                && n.build == build
                && n.region.is_none_or(|r| r == region)
        })
    }
}
