//! What stands behind a colour answer: intervals, both settings, lamp, likeness to what stands beside it, and what would mask.

use answer::Interval;
use catalogue::words::Grade;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Chances while everybody looks, 0..1.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct ColourChance {
    /// Seen side by side.
    pub seen: f64,
    /// Would be remade.
    pub remade: f64,
}

/// Difference to the wish under a light.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct UnderLight {
    /// Name of the CIE illuminant.
    pub light: String,
    /// CIEDE2000.
    pub difference: Interval,
    /// Would be remade, mean of bench and mouth, weighted by visibility (0..1).
    pub remade: f64,
}

/// Likeness to something beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Likeness {
    /// What it stands beside.
    pub beside: String,
    /// CIEDE2000.
    pub difference: Interval,
    /// Seen side by side, mean of bench and mouth, weighted by visibility (0..1).
    pub seen: f64,
}

/// One way of hiding what lies beneath.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Masking {
    /// What is done, in words.
    pub way: String,
    /// Grade of the core.
    pub grade: Grade,
    /// Least thickness of the core that hides in nine of ten draws, mm; `None`: none up to 3 mm, or not sought for this way.
    pub least_mm: Option<f64>,
    /// Thickness there is, mm.
    pub room_mm: f64,
    /// Chance that it hides at that thickness (0..1).
    pub chance: f64,
    /// Thickness of the core (mm), then low, median and high CIEDE2000 to the same over ordinary dentine; empty where not sought.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub course: Vec<[f64; 4]>,
}

/// Details of a colour answer.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct ColourDetail {
    /// Predicted L*, a*, b*, each with its interval.
    pub predicted: Vec<Interval>,
    /// By limits of the bench, everybody looking.
    pub bench: ColourChance,
    /// Median limits of the bench in CIEDE2000: seen side by side, and refused.
    pub bench_limits: Option<[f64; 2]>,
    /// By limits of the mouth, everybody looking.
    pub mouth: ColourChance,
    /// How visible the place is (0..1); the chances of the answer are weighted by it.
    pub visibility: f64,
    /// Against the wish under other lights.
    pub lights: Vec<UnderLight>,
    /// Against neighbour and other units.
    pub beside: Vec<Likeness>,
    /// What would mask; empty where nothing dark lies beneath.
    pub masking: Vec<Masking>,
}
