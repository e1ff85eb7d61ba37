//! Units that quantities carry across crate borders.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Unit of a quantity as stored and printed; inside kernels numbers are plain and in these units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Pure number.
    One,
    /// Probability or share, 0..1.
    Share,
    /// Events a year.
    PerYear,
    /// Years.
    Years,
    /// Millimetres.
    Millimetres,
    /// Square millimetres.
    SquareMillimetres,
    /// Cubic millimetres.
    CubicMillimetres,
    /// Newtons.
    Newtons,
    /// Megapascals (N/mm2).
    Megapascals,
    /// Degrees of arc.
    Degrees,
    /// CIEDE2000 colour difference.
    ColourDifference,
    /// Money in the practice's own currency.
    Money,
    /// Minutes.
    Minutes,
}

impl Unit {
    /// Symbol as printed after a number; empty for pure numbers and shares.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::One | Self::Share | Self::Money => "",
            Self::PerYear => "/y",
            Self::Years => "y",
            Self::Millimetres => "mm",
            Self::SquareMillimetres => "mm²",
            Self::CubicMillimetres => "mm³",
            Self::Newtons => "N",
            Self::Megapascals => "MPa",
            Self::Degrees => "°",
            Self::ColourDifference => "ΔE00",
            Self::Minutes => "min",
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}
