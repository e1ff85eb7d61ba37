//! What the patient wants.

use super::Reading;
use crate::words::{Against, Matter};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Swing weights over the fixed anchors of the four criteria; only their ratios count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Weights {
    /// That little goes wrong.
    pub harm: f64,
    /// That nobody sees it.
    pub looks: f64,
    /// That little tooth is cut.
    pub tissue: f64,
    /// What it costs.
    pub money: f64,
}

/// Years of a restoration's expected life that would be given for each of the others; left out means the usual weight.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Trades {
    /// So that nobody sees it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub looks: Option<f64>,
    /// So that hardly any tooth is cut.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tissue: Option<f64>,
    /// So that it costs little.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub money: Option<f64>,
}

/// The wished colour, in one of the ways it can be given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WishedColour<'a> {
    /// Read by an instrument.
    Read(&'a Reading),
    /// Name of one of the practice's own tabs.
    Tab(&'a str),
    /// As the neighbour, with these differences (none: the same).
    Neighbour(&'a [Against]),
}

/// What matters, and the wished colour.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Wish {
    /// What matters, most important first.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub order: Vec<Matter>,
    /// Weights, where given instead of an order.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weights: Option<Weights>,
    /// Trade-offs, where given instead of an order or weights.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trades: Option<Trades>,
    /// Name of an own tab.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour_tab: Option<String>,
    /// As the neighbour, with these differences.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour_as_neighbour: Option<Vec<Against>>,
    /// Read by an instrument.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub colour: Option<Reading>,
}

impl Wish {
    /// The wished colour; the checks hold that it is given in one way only.
    pub fn wished_colour(&self) -> Option<WishedColour<'_>> {
        let tab = || self.colour_tab.as_deref().map(WishedColour::Tab);
        let neighbour = || self.colour_as_neighbour.as_deref().map(WishedColour::Neighbour);
        self.colour.as_ref().map(WishedColour::Read).or_else(tab).or_else(neighbour)
    }
}
