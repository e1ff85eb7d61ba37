//! Mechanical values by class, bite loads, and what a class is used for.

use crate::Catalogue;
use crate::fact::{Fact, basis};
use crate::words::{Build, Construct, Material, words_of};
use answer::{Basis, Issue};
use table::Row;

/// A row of `class_values.csv`.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ClassValue {
    pub material: String,
    pub quantity: String,
    pub fact: Fact,
}

impl ClassValue {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        Ok(Self {
            material: row.text("material")?.to_owned(),
            quantity: row.text("quantity")?.to_owned(),
            fact: Fact::read(row)?,
        })
    }
}

/// A row of `loads.csv` with a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Load {
    /// What was measured.
    pub topic: String,
    /// In whom.
    pub group: String,
    /// Site as given.
    pub site: String,
    /// Standard deviation, where given.
    pub sd: Option<f64>,
    /// The figure.
    pub fact: Fact,
}

impl Load {
    /// `None` for a row without a figure.
    pub(crate) fn read(row: &Row) -> Result<Option<Self>, Issue> {
        if row.maybe_figure()?.is_none() {
            return Ok(None);
        }
        Ok(Some(Self {
            topic: row.text("topic")?.to_owned(),
            group: row.maybe("group").unwrap_or("").to_owned(),
            site: row.maybe("site").unwrap_or("").to_owned(),
            sd: row.maybe_number("sd")?,
            fact: Fact::read(row)?,
        }))
    }
}

/// A row of `material_classes.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MaterialClass {
    /// Material.
    pub material: Material,
    /// Builds it is made in.
    pub builds: Vec<Build>,
    /// Constructs it is made for.
    pub constructs: Vec<Construct>,
    /// `adhesive`, `conventional` or `either`.
    pub cementing: String,
    /// Sources.
    pub sources: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

impl MaterialClass {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        Ok(Self {
            material: row.word("material", Material::ALL, Material::word)?,
            builds: row.words("builds", Build::ALL, Build::word)?,
            constructs: row.words("constructs", Construct::ALL, Construct::word)?,
            cementing: row.text("cementing")?.to_owned(),
            sources: words_of(row, "source"),
            basis: basis(row)?,
        })
    }
}

impl Catalogue {
    /// A start value of a class by its data word (`zirconia_3y`, `veneer_for_metal` ...) and quantity (`strength`,
    /// `weibull_modulus`, `slow_crack_growth_n`, `youngs_modulus`, `yield_strength` ...).
    pub fn class_value(&self, material: &str, quantity: &str) -> Option<&Fact> {
        self.class_values.iter().find(|v| v.material == material && v.quantity == quantity).map(|v| &v.fact)
    }

    /// Loads of one topic.
    pub fn loads<'a>(&'a self, topic: &'a str) -> impl Iterator<Item = &'a Load> {
        self.loads.iter().filter(move |l| l.topic == topic)
    }

    /// A load by its row id.
    pub fn load(&self, id: &str) -> Option<&Load> {
        self.loads.iter().find(|l| l.fact.id == id)
    }

    /// What a class is used for.
    pub fn material_class(&self, material: Material) -> Option<&MaterialClass> {
        self.materials.iter().find(|m| m.material == material)
    }
}
