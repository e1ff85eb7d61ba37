//! What is asked of a crown on an implant.

use super::Reading;
use crate::words::{Fixing, Substrate};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Implant and abutment.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Implant {
    /// Screw or cement.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fixing: Option<Fixing>,
    /// Angle between the implant's axis and the crown's, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub axis_degrees: Option<f64>,
    /// Distance of the axis from the middle of the crown, mm (facial positive).
    #[serde(skip_serializing_if = "Option::is_none")]
    pub axis_mm: Option<f64>,
    /// Height from the implant's shoulder to the antagonist, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub height_mm: Option<f64>,
    /// Thickness of the gum in front of the abutment, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gum_mm: Option<f64>,
    /// What the abutment is made of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub abutment: Option<Substrate>,
    /// The implant stands already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub placed: Option<bool>,
    /// Colour of the abutment.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading: Option<Reading>,
    /// Name of an own reading of the abutment; see `Abutment::stump_own`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reading_own: Option<String>,
}
