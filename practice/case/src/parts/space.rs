//! Room for the restoration.

use crate::words::{Room, SpaceSource};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Room now, room planned and where it comes from, room for connectors.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(default)]
pub struct Space {
    /// Room between tooth and antagonist as it is, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub now_mm: Option<f64>,
    /// Room there will be, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_mm: Option<f64>,
    /// Where the planned room comes from.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planned_by: Option<SpaceSource>,
    /// Room judged, if not measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub room: Option<Room>,
    /// Height a connector may take, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connector_height_mm: Option<f64>,
    /// Width a connector may take, cheek to tongue, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub connector_width_mm: Option<f64>,
    /// Width of the gap between its neighbours, mm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span_mm: Option<f64>,
}

impl Room {
    /// Room the judgement is read as, mm (common practice, no source).
    pub fn millimetres(self) -> (f64, f64) {
        match self {
            Self::Tight => (0.5, 1.0),
            Self::Normal => (1.0, 1.6),
            Self::Ample => (1.6, 2.5),
        }
    }
}

impl Space {
    /// Room for the restoration, mm: what is planned, else what is there.
    pub fn millimetres(&self) -> Option<f64> {
        self.planned_mm.or(self.now_mm)
    }

    /// Lowest and highest room for the restoration, mm: measured or planned, else as judged; `None` when nothing was said.
    pub fn range_mm(&self) -> Option<(f64, f64)> {
        self.millimetres().map(|mm| (mm, mm)).or(self.room.map(Room::millimetres))
    }
}
