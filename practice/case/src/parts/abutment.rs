//! One tooth that carries the restoration.

use super::Reading;
use crate::words::{Apical, Bone, Cracks, FerruleStep, Filled, Margin, Pulp, Substrate};
use catalogue::words::Tooth;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Dentine above the finish line: a step or a measured height.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Ferrule {
    /// Judged.
    Step(FerruleStep),
    /// Measured, mm.
    Millimetres(f64),
}

impl Ferrule {
    /// Lowest and highest height it can mean, mm: steps are read as 0, 0.5-1.5 and 2-4 (the upper end is a crown's wall).
    pub fn millimetres(self) -> (f64, f64) {
        match self {
            Self::Step(FerruleStep::Nothing) => (0.0, 0.0),
            Self::Step(FerruleStep::AboutOne) => (0.5, 1.5),
            Self::Step(FerruleStep::TwoOrMore) => (2.0, 4.0),
            Self::Millimetres(mm) => (mm, mm),
        }
    }
}

/// A place in a scan's own frame, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ScanPlace {
    /// First coordinate.
    pub x: f64,
    /// Second.
    pub y: f64,
    /// Third.
    pub z: f64,
}

/// A sound tooth that shows how large this one should be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SoundNeighbour {
    /// Which tooth.
    pub tooth: Tooth,
    /// Height of its clinical crown, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_mm: Option<f64>,
    /// Its greatest width between the neighbours, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub width_mm: Option<f64>,
}

/// State of one abutment (or of the single tooth to be crowned).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Abutment {
    /// Which tooth.
    pub tooth: Tooth,
    /// Prepared already.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prepared: Option<bool>,
    /// Pulp.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pulp: Option<Pulp>,
    /// Root end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub apical: Option<Apical>,
    /// What lies beneath.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub substrate: Option<Substrate>,
    /// Walls of dentine left after preparation, 0 to 4.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub walls: Option<u8>,
    /// Dentine above the finish line.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ferrule: Option<Ferrule>,
    /// How much is filling.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub filled: Option<Filled>,
    /// Share of the surface to be bonded that is enamel, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub enamel_share: Option<f64>,
    /// Cracks.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cracks: Option<Cracks>,
    /// Mobility grade, 0 to 3.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mobility: Option<u8>,
    /// Bone that carries it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bone: Option<Bone>,
    /// Tilt against the path of placement, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tilt_degrees: Option<f64>,
    /// Recession of the gum, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recession_mm: Option<f64>,
    /// Finish line against the gum.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin: Option<Margin>,
    /// Height of the prepared wall, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wall_mm: Option<f64>,
    /// Height of the clinical crown before preparation, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crown_mm: Option<f64>,
    /// Dentine over the pulp at the nearest place, on the radiograph, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dentine_mm: Option<f64>,
    /// Depth prepared on the chewing surface or incisal edge, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub occlusal_depth_mm: Option<f64>,
    /// Depth prepared on the facial surface, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub facial_depth_mm: Option<f64>,
    /// Depth prepared at the finish line, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub margin_depth_mm: Option<f64>,
    /// Total convergence of opposite walls, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub convergence_degrees: Option<f64>,
    /// File with the scan of the tooth as it stands, beside the case.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scan: Option<String>,
    /// File with the wax-up or wished outer form, beside the case.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wax_up: Option<String>,
    /// Place on its chewing surface, where the scan shows more than this tooth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub scan_place: Option<ScanPlace>,
    /// A sound tooth whose measured size the outer form is scaled to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sound_neighbour: Option<SoundNeighbour>,
    /// Colour of the stump.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stump: Option<Reading>,
    /// Name of an own reading of the stump; reading the file with the practice's colours puts the colour in its place.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stump_own: Option<String>,
}

impl Abutment {
    /// A tooth of which nothing else is known.
    pub fn unanswered(tooth: Tooth) -> Self {
        Self {
            tooth,
            prepared: None,
            pulp: None,
            apical: None,
            substrate: None,
            walls: None,
            ferrule: None,
            filled: None,
            enamel_share: None,
            cracks: None,
            mobility: None,
            bone: None,
            tilt_degrees: None,
            recession_mm: None,
            margin: None,
            wall_mm: None,
            crown_mm: None,
            dentine_mm: None,
            occlusal_depth_mm: None,
            facial_depth_mm: None,
            margin_depth_mm: None,
            convergence_degrees: None,
            scan: None,
            wax_up: None,
            scan_place: None,
            sound_neighbour: None,
            stump: None,
            stump_own: None,
        }
    }

    /// True when the pulp is known to be alive (irreversibly inflamed counts as lost).
    pub fn is_vital(&self) -> bool {
        self.pulp == Some(Pulp::Vital)
    }
}
