//! What the dentist decided: the option chosen, and stops set aside with a reason.

use catalogue::words::{Build, Construct, Material};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The option the dentist chose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Chosen {
    /// Construct.
    pub construct: Construct,
    /// Material, for what a laboratory makes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub material: Option<Material>,
    /// Build, for what a laboratory makes.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub build: Option<Build>,
    /// Why, where it was not the first in the list.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// A stop set aside; goes on record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Override {
    /// Name of the stop, as printed.
    pub stop: String,
    /// Written reason.
    pub reason: String,
}
