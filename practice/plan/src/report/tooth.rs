//! What is said of one tooth: colour over what lies beneath, and preparation.

use crate::show::ColourDetail;
use answer::Interval;
use catalogue::words::{Surface, Tooth};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Colour over one abutment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ColourAnswer {
    /// Over which tooth.
    pub tooth: Tooth,
    /// What lies beneath, in words.
    pub substrate: String,
    /// CIELAB of what lies beneath (mean of the draws).
    pub substrate_lab: [f64; 3],
    /// Wished CIELAB, mean of the draws.
    pub wish_lab: [f64; 3],
    /// How the wish came about.
    pub wish: String,
    /// Predicted CIELAB, mean of the draws.
    pub predicted_lab: [f64; 3],
    /// 25 draws of the prediction, for the picture.
    pub predicted_draws: Vec<[f64; 3]>,
    /// CIEDE2000 between prediction and wish.
    pub difference: Interval,
    /// Chance of being seen side by side (0..1).
    pub seen: f64,
    /// Chance of being remade for its colour (0..1).
    pub remade: f64,
    /// What would mask, in words; empty where nothing needs masking.
    pub masking: String,
    /// Layers from the outside in: name and thickness in mm.
    pub stack: Vec<(String, f64)>,
    /// Intervals, both settings, lamp, likeness, what would mask.
    #[serde(default)]
    pub detail: ColourDetail,
}

/// Preparation of one abutment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PreparationAnswer {
    /// Which tooth.
    pub tooth: Tooth,
    /// Reduction by surface, mm.
    pub depths: Vec<(Surface, Interval)>,
    /// Share of the crown removed (0..1).
    pub share_removed: Interval,
    /// Least dentine left over the pulp, mm.
    pub dentine_left: Option<Interval>,
    /// Chance of less than 2.0 mm.
    pub chance_below_2: Option<f64>,
    /// Chance of less than 1.0 mm.
    pub chance_below_1: Option<f64>,
}
