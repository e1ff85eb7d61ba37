//! Test specimens: effective area and volume, and from a measured strength the strength of 1 mm2.
//!
//! Bars (v = inner/outer span, 0 for three points): volume V (m v + 1)/(2(m+1)^2), area [Li + (Lo-Li)/(m+1)][b + h/(m+1)], V = b h Lo.
//! Disks: the plate field of [`crate::disk`] over the whole tensile face, both principal stresses (independent action). The same rule must hold for the part:
//! an even two-way stress counts twice. Volume of a disk: area times h/(2(m+1)).
//! Weibull 1939, Ing Vet Akad Handl 151; Quinn, Quinn 2010, Dent Mater 26:135-147 (both memory).
//! Strength of A0 = 1 mm2: s0 = s (A_eff/A0)^(1/m).

use crate::disk::Disk;
use crate::error::{StrengthError, positive, within};
use crate::spectrum::{EquivalentTable, Extent, StressSpectrum};

/// A specimen with the field that its strength was worked out by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Specimen {
    /// Bar on rollers, three points (`inner` 0) or four.
    Bar {
        /// Width across the load, mm.
        width: f64,
        /// Height along the load, mm.
        height: f64,
        /// Outer span, mm.
        outer: f64,
        /// Inner span, mm; 0 for three points.
        inner: f64,
    },
    /// Disk on a ring or on balls in a circle.
    Disk(Disk),
}

impl Specimen {
    /// The specimen, or the error that names its unusable measure.
    pub fn check(&self) -> Result<&Self, StrengthError> {
        match self {
            Self::Bar { width, height, outer, inner } => {
                positive("width of the bar", *width)?;
                positive("height of the bar", *height)?;
                positive("outer span", *outer)?;
                within("inner span", *inner, *inner >= 0.0 && inner < outer, "0 to below the outer span")?;
            }
            Self::Disk(disk) => {
                disk.check()?;
            }
        }
        Ok(self)
    }

    /// Area that at the greatest stress would fail as often as the specimen, mm2, modulus `m`.
    pub fn effective_area(&self, m: f64) -> f64 {
        match self {
            Self::Bar { width, height, outer, inner } => {
                (inner + (outer - inner) / (m + 1.0)) * (width + height / (m + 1.0))
            }
            Self::Disk(disk) => {
                let peak = disk.centre();
                disk.samples().iter().map(|&(s, area)| area * (s / peak).max(0.0).powf(m)).sum()
            }
        }
    }

    /// Volume likewise, mm3.
    pub fn effective_volume(&self, m: f64) -> f64 {
        match self {
            Self::Bar { width, height, outer, inner } => {
                width * height * outer * (m * inner / outer + 1.0) / (2.0 * (m + 1.0).powi(2))
            }
            Self::Disk(disk) => self.effective_area(m) * disk.thickness / (2.0 * (m + 1.0)),
        }
    }

    /// Strength of 1 mm2 under even one-way tension from the specimen's strength (same unit), modulus `m`.
    pub fn strength_of_unit_area(&self, strength: f64, m: f64) -> f64 {
        strength * self.effective_area(m).powf(1.0 / m)
    }

    /// ln of the effective area over m, for use draw by draw; the field has unit peak.
    pub fn table(&self) -> Result<EquivalentTable, StrengthError> {
        self.check()?;
        let samples: Vec<(f64, f64)> = match self {
            Self::Bar { .. } => return Ok(self.bar_table()),
            Self::Disk(disk) => disk.samples().iter().map(|&(s, area)| (s / disk.centre(), area)).collect(),
        };
        Ok(StressSpectrum::from_samples("specimen", Extent::Surface, &samples)?.table())
    }

    fn bar_table(&self) -> EquivalentTable {
        EquivalentTable::from_fn(|m| self.effective_area(m).ln())
    }
}
