//! Units of length that files of surfaces are written in, and which of them a size suggests.

use std::fmt;
use std::str::FromStr;

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// 0.001 mm.
    Micrometre,
    /// The house's unit.
    Millimetre,
    /// 10 mm.
    Centimetre,
    /// 25.4 mm exactly.
    Inch,
    /// 304.8 mm exactly.
    Foot,
    /// 1000 mm.
    Metre,
}

impl LengthUnit {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Micrometre, Self::Millimetre, Self::Centimetre, Self::Inch, Self::Foot, Self::Metre];

    /// Millimetres in one.
    pub fn millimetres(self) -> f64 {
        match self {
            Self::Micrometre => 1e-3,
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Inch => 25.4,
            Self::Foot => 304.8,
            Self::Metre => 1000.0,
        }
    }

    /// Units in which a body of the given extent would have an extent within `expected` (mm), likeliest first: millimetres, then metres, inches,
    /// centimetres, micrometres. A guess, to be shown to a person, never applied.
    pub fn suggested(extent: f64, expected: [f64; 2]) -> Vec<Self> {
        let fits = |u: &Self| (expected[0]..=expected[1]).contains(&(extent * u.millimetres()));
        [Self::Millimetre, Self::Metre, Self::Inch, Self::Centimetre, Self::Micrometre]
            .into_iter()
            .filter(fits)
            .collect()
    }

    /// The word a 3MF file uses (3MF Core Specification 1.3, table of `ST_Unit`, where the metric ones are spelt the American way).
    pub(crate) fn of_3mf(word: &str) -> Option<Self> {
        Some(match word {
            "micron" => Self::Micrometre,
            "millimeter" => Self::Millimetre,
            "centimeter" => Self::Centimetre,
            "inch" => Self::Inch,
            "foot" => Self::Foot,
            "meter" => Self::Metre,
            _ => return None,
        })
    }
}

impl fmt::Display for LengthUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Micrometre => "micrometre",
            Self::Millimetre => "millimetre",
            Self::Centimetre => "centimetre",
            Self::Inch => "inch",
            Self::Foot => "foot",
            Self::Metre => "metre",
        })
    }
}

impl FromStr for LengthUnit {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        Ok(match word {
            "um" | "micrometre" => Self::Micrometre,
            "mm" | "millimetre" => Self::Millimetre,
            "cm" | "centimetre" => Self::Centimetre,
            "in" | "inch" => Self::Inch,
            "ft" | "foot" => Self::Foot,
            "m" | "metre" => Self::Metre,
            _ => return Err(format!("no unit `{word}`: give um, mm, cm, m, inch or foot")),
        })
    }
}
