//! The patient's mouth, as far as the restoration meets it.

use crate::words::{AgeBand, Allergen, DryField, Grinding, Guidance, Opposing, Risk, VerticalDimension, Visible};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Age in years or by band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Age {
    /// Whole years.
    Years(u8),
    /// A band.
    Band(AgeBand),
}

impl Age {
    /// Youngest and oldest age it can mean, years; open ends are closed at 10 and 95.
    pub fn years(self) -> (f64, f64) {
        match self {
            Self::Years(years) => (f64::from(years), f64::from(years)),
            Self::Band(AgeBand::Under18) => (10.0, 17.0),
            Self::Band(AgeBand::From18) => (18.0, 29.0),
            Self::Band(AgeBand::From30) => (30.0, 44.0),
            Self::Band(AgeBand::From45) => (45.0, 59.0),
            Self::Band(AgeBand::From60) => (60.0, 74.0),
            Self::Band(AgeBand::From75) => (75.0, 95.0),
        }
    }
}

/// Patient and bite.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Mouth {
    /// Age.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub age: Option<Age>,
    /// Jaws still growing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub growing: Option<bool>,
    /// Grinding or clenching.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub grinding: Option<Grinding>,
    /// A guard is worn at night.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guard_worn: Option<bool>,
    /// What it bites on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opposing: Option<Opposing>,
    /// Whether the field can be kept dry.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dry_field: Option<DryField>,
    /// How much is seen.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visible: Option<Visible>,
    /// Allergies; an empty list means: asked, none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub allergies: Option<Vec<Allergen>>,
    /// Caries risk.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caries_risk: Option<Risk>,
    /// Smokes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub smoking: Option<bool>,
    /// Acid reflux or erosion.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reflux: Option<bool>,
    /// Radiotherapy of the jaws.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub radiotherapy: Option<bool>,
    /// Antiresorptive medicine.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub antiresorptives: Option<bool>,
    /// What guides the jaw sideways.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub guidance: Option<Guidance>,
    /// Vertical dimension.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub vertical_dimension: Option<VerticalDimension>,
    /// Bite force measured at the place, N.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bite_force_n: Option<f64>,
}

impl Mouth {
    /// True when a reaction to a metal is on record.
    pub fn metal_allergy(&self) -> bool {
        self.allergies.as_ref().is_some_and(|list| list.iter().any(|a| a.is_metal()))
    }

    /// True when a reaction to methacrylates is on record.
    pub fn methacrylate_allergy(&self) -> bool {
        self.allergies.as_ref().is_some_and(|list| list.contains(&Allergen::Methacrylate))
    }
}
