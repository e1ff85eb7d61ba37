//! The parts of a model file as they are written (see docs/strength-model.md).

use crate::commands::shape::model::Body as Part;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The whole file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct File {
    pub schema: Option<u32>,
    pub cell: Option<f64>,
    pub origin: Option<[f64; 3]>,
    pub moduli: Option<Vec<f64>>,
    pub material: BTreeMap<String, MaterialPart>,
    pub body: Vec<BodyPart>,
    #[serde(default)]
    pub interface: Vec<InterfacePart>,
    #[serde(default)]
    pub support: Vec<SupportPart>,
    #[serde(default)]
    pub load: Vec<LoadPart>,
    #[serde(default)]
    pub group: Vec<GroupPart>,
    #[serde(default)]
    pub zoom: Vec<ZoomPart>,
    /// Boxes that give back to the whole, each within the one before.
    #[serde(default)]
    pub inset: Vec<ZoomPart>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MaterialPart {
    pub young: f64,
    pub poisson: f64,
    pub expansion: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BodyPart {
    pub name: String,
    pub material: String,
    pub parts: Vec<Part>,
    /// Change of temperature from the stress-free state, K.
    #[serde(default)]
    pub temperature: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InterfacePart {
    pub name: String,
    pub bodies: [String; 2],
    pub young: Option<f64>,
    pub poisson: Option<f64>,
    pub thickness: Option<f64>,
    pub normal: Option<f64>,
    pub tangential: Option<f64>,
    #[serde(default)]
    pub bonded: bool,
    #[serde(default = "reach")]
    pub reach: f64,
}

fn reach() -> f64 {
    1e-3
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SupportPart {
    pub name: String,
    pub body: String,
    pub region: Option<Vec<Part>>,
    #[serde(default)]
    pub clamp: bool,
    pub displacement: Option<[f64; 3]>,
    pub gradient: Option<[[f64; 3]; 3]>,
    pub normal: Option<f64>,
    pub tangential: Option<f64>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadPart {
    pub name: String,
    pub case: Option<String>,
    pub body: String,
    pub region: Option<Vec<Part>>,
    pub force: Option<[f64; 3]>,
    pub contact: Option<ContactPart>,
    pub pressure: Option<f64>,
    pub per_volume: Option<[f64; 3]>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ContactPart {
    pub centre: [f64; 3],
    pub radius: f64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GroupPart {
    pub name: String,
    pub body: String,
    pub region: Option<Vec<Part>>,
    pub exclude: Option<Vec<Part>>,
    /// Surface nearer than this many cells to a load, a support or the edge of an interface is left out.
    #[serde(default = "margin")]
    pub margin: f64,
}

fn margin() -> f64 {
    1.0
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ZoomPart {
    pub name: String,
    pub centre: [f64; 3],
    pub size: [f64; 3],
    pub cell: f64,
}
