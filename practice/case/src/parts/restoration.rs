//! What is to be made, and what it replaces.

use crate::words::{Temporary, Turn, WhyReplaced};
use catalogue::words::{Build, Construct, Material, Tooth};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the dentist has in mind: everything open, or one construct.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Wanted {
    /// Compare everything sensible.
    Open,
    /// One construct; the alternatives still stand in the list.
    One(Construct),
}

impl TryFrom<String> for Wanted {
    type Error = String;
    fn try_from(word: String) -> Result<Self, String> {
        match word.as_str() {
            "open" => Ok(Self::Open),
            _ => Construct::parse(&word).map(Self::One).ok_or(format!("`{word}` names no construct")),
        }
    }
}

impl From<Wanted> for String {
    fn from(wanted: Wanted) -> Self {
        match wanted {
            Wanted::Open => "open",
            Wanted::One(construct) => construct.word(),
        }
        .to_owned()
    }
}

impl JsonSchema for Wanted {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Wanted".into()
    }
    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        String::json_schema(generator)
    }
}

/// The restoration asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Restoration {
    /// Every tooth it covers, standing or missing, as written.
    pub teeth: Vec<Tooth>,
    /// Those of them that are missing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<Tooth>,
    /// What the dentist has in mind.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<Wanted>,
    /// The gap has a tooth on one side only, and the pontic may hang free.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cantilever: Option<bool>,
    /// First or replacement.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turn: Option<Turn>,
    /// What is worn meanwhile.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temporary: Option<Temporary>,
    /// Names of scan files at hand.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub scans: Vec<String>,
}

impl Restoration {
    /// The construct named; `None` while open or unanswered.
    pub fn construct(&self) -> Option<Construct> {
        match self.kind {
            Some(Wanted::One(construct)) => Some(construct),
            _ => None,
        }
    }
}

/// What was there before.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Old {
    /// What it was.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub construct: Option<Construct>,
    /// Of what.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// How built.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub build: Option<Build>,
    /// Why it has to be replaced.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub failed_by: Vec<WhyReplaced>,
    /// Years it served.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub years: Option<f64>,
}
