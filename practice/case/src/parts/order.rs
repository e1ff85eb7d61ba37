//! What the dentist adds to the plan for the laboratory, and what the laboratory answers.

use crate::words::{Alloy, Cement, Contacts, Finish, Lustre, MarginDesign, PonticForm, ReplyAnswer, Texture, Treated};
use catalogue::words::Tooth;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What the dentist adds to the plan for the laboratory.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Order {
    /// The practice's own number for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub number: Option<String>,
    /// With what impression or bite were disinfected; files: `files only`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub disinfected: Option<String>,
    /// Names of photographs that go with it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub photographs: Vec<String>,
    /// Unit of the scan files.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scan_unit: Option<String>,
    /// Shade map, zones, stains in own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shade_notes: Option<String>,
    /// Texture.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub texture: Option<Texture>,
    /// Lustre.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lustre: Option<Lustre>,
    /// Teeth whose stump is to be blocked out; an empty list means: thought of, none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub block_out: Option<Vec<Tooth>>,
    /// Form of the pontic.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pontic_form: Option<PonticForm>,
    /// Proximal contacts.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub contacts: Option<Contacts>,
    /// Emergence, embrasures, contour at the gum, in own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub emergence: Option<String>,
    /// Form of the edge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_design: Option<MarginDesign>,
    /// Finish of the surfaces that bite.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<Finish>,
    /// Contact marks and scheme wanted, in own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub occlusion_notes: Option<String>,
    /// Class of alloy.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub alloy: Option<Alloy>,
    /// Cement planned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cement: Option<Cement>,
    /// Its colour, in own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cement_colour: Option<String>,
    /// Day of the try-in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub try_in: Option<String>,
    /// Day on which it is needed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanted_by: Option<String>,
}

/// What the laboratory answered to an order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct LaboratoryReply {
    /// Mark of the order it answers, as printed on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub order: Option<String>,
    /// Day of the answer.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Accepted, asks or deviates.
    pub answer: ReplyAnswer,
    /// What it asks, or what will be otherwise, point by point.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<String>,
    /// What it has done to the fitting surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fitting_surface: Option<Treated>,
}
