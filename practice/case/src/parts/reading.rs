//! A colour read by an instrument.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// CIELAB colour (CIE 15, D65, 2 degrees unless the instrument's name says otherwise) with its spread.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// Lightness L*, 0 to 100.
    #[serde(rename = "L")]
    pub l: f64,
    /// a*, green to red.
    pub a: f64,
    /// b*, blue to yellow.
    pub b: f64,
    /// Standard deviation of repeated readings, as a CIELAB distance.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
    /// What it was read with, in own words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
}

impl Reading {
    /// `[L*, a*, b*]`.
    pub fn lab(&self) -> [f64; 3] {
        [self.l, self.a, self.b]
    }
}
