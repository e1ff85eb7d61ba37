//! How constructs are drawn on the arch.

use catalogue::words::Construct;
use schemars::JsonSchema;
use serde::Serialize;

/// How a place of the arch is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Drawn {
    /// The whole crown is covered.
    Crown,
    /// A part of it is.
    Part,
    /// A pontic hangs there.
    Pontic,
    /// A crown on an implant stands there.
    Implant,
    /// The gap stays open.
    Gap,
    /// The tooth stays as it is.
    None,
}

impl Drawn {
    /// A missing tooth with a construct.
    pub fn gap(construct: Construct) -> Self {
        match construct {
            Construct::ImplantCrown => Self::Implant,
            c if c.has_pontic() => Self::Pontic,
            _ => Self::Gap,
        }
    }

    /// A standing tooth of a construct.
    pub fn tooth(construct: Construct) -> Self {
        match construct {
            Construct::Crown | Construct::Bridge | Construct::CantileverBridge | Construct::Endocrown => Self::Crown,
            c if c.is_indirect() && c != Construct::ImplantCrown => Self::Part,
            _ => Self::None,
        }
    }
}
