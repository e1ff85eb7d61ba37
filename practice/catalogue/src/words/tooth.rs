//! Teeth by ISO 3950 and their regions and surfaces.

use super::words;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;

/// A permanent tooth by its two-digit code (ISO 3950:2016): quadrant 1-4, tooth 1-8 from the midline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "u8", into = "u8")]
#[schemars(with = "u8")]
pub struct Tooth(u8);

/// A code that names no permanent tooth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{0} names no permanent tooth: ISO 3950 codes run 11-18, 21-28, 31-38, 41-48")]
pub struct NoSuchTooth(pub u8);

words! {
    /// Upper or lower jaw.
    Jaw {
        /// Upper jaw.
        Upper = "upper", "upper";
        /// Lower jaw.
        Lower = "lower", "lower";
    }
}

words! {
    /// The patient's right or left.
    Side {
        /// The patient's right.
        Right = "right", "right";
        /// The patient's left.
        Left = "left", "left";
    }
}

words! {
    /// Kind of tooth.
    ToothClass {
        /// Central incisor.
        CentralIncisor = "central_incisor", "central incisor";
        /// Lateral incisor.
        LateralIncisor = "lateral_incisor", "lateral incisor";
        /// Canine.
        Canine = "canine", "canine";
        /// First or second premolar.
        Premolar = "premolar", "premolar";
        /// First, second or third molar.
        Molar = "molar", "molar";
    }
}

words! {
    /// Part of the arch as studies divide it.
    Region {
        /// Incisors and canines.
        Anterior = "anterior", "front";
        /// Premolars and molars.
        Posterior = "posterior", "back";
    }
}

words! {
    /// Surface of a crown, as reductions are given.
    Surface {
        /// Chewing surface, or the incisal edge of a front tooth.
        Occlusal = "occlusal", "occlusal or incisal";
        /// Towards lip or cheek.
        Facial = "facial", "facial";
        /// Towards tongue or palate.
        Lingual = "lingual", "lingual";
        /// Towards the neighbours, both sides.
        Proximal = "proximal", "proximal";
        /// At the finish line.
        Margin = "margin", "margin";
    }
}

impl Tooth {
    /// From the two-digit code.
    ///
    /// # Errors
    /// [`NoSuchTooth`] when the code names no permanent tooth.
    pub fn new(code: u8) -> Result<Self, NoSuchTooth> {
        if (1..=4).contains(&(code / 10)) && (1..=8).contains(&(code % 10)) {
            Ok(Self(code))
        } else {
            Err(NoSuchTooth(code))
        }
    }

    /// All 32, quadrant by quadrant.
    pub fn all() -> impl Iterator<Item = Self> {
        (1..=4).flat_map(|q| (1..=8).map(move |t| Self(q * 10 + t)))
    }

    /// Two-digit code.
    pub fn code(self) -> u8 {
        self.0
    }

    /// Number from the midline, 1-8.
    pub fn number(self) -> u8 {
        self.0 % 10
    }

    /// Jaw.
    pub fn jaw(self) -> Jaw {
        if self.0 / 10 <= 2 { Jaw::Upper } else { Jaw::Lower }
    }

    /// Side of the patient.
    pub fn side(self) -> Side {
        if matches!(self.0 / 10, 1 | 4) { Side::Right } else { Side::Left }
    }

    /// Kind of tooth.
    pub fn class(self) -> ToothClass {
        match self.number() {
            1 => ToothClass::CentralIncisor,
            2 => ToothClass::LateralIncisor,
            3 => ToothClass::Canine,
            4 | 5 => ToothClass::Premolar,
            _ => ToothClass::Molar,
        }
    }

    /// Front or back.
    pub fn region(self) -> Region {
        if self.number() <= 3 { Region::Anterior } else { Region::Posterior }
    }

    /// The same tooth on the other side.
    pub fn mirrored(self) -> Self {
        let quadrant = match self.0 / 10 {
            1 => 2,
            2 => 1,
            3 => 4,
            _ => 3,
        };
        Self(quadrant * 10 + self.number())
    }

    /// Place along its arch, 0..15 from the patient's right to the left; the same for upper and lower jaw.
    pub fn place(self) -> u8 {
        match self.side() {
            Side::Right => 8 - self.number(),
            Side::Left => 7 + self.number(),
        }
    }

    /// The tooth at a place of a jaw's arch; `None` beyond its ends.
    pub fn at(jaw: Jaw, place: u8) -> Option<Self> {
        let (right, left) = if jaw == Jaw::Upper { (1, 2) } else { (4, 3) };
        match place {
            0..=7 => Some(Self(right * 10 + 8 - place)),
            8..=15 => Some(Self(left * 10 + place - 7)),
            _ => None,
        }
    }

    /// The next tooth along the arch towards the patient's left; `None` behind the last.
    pub fn next(self) -> Option<Self> {
        Self::at(self.jaw(), self.place() + 1)
    }

    /// The next tooth along the arch towards the patient's right; `None` behind the last.
    pub fn previous(self) -> Option<Self> {
        self.place().checked_sub(1).and_then(|p| Self::at(self.jaw(), p))
    }

    /// In words, e.g. `lower right first molar`.
    pub fn name(self) -> String {
        let kind = match self.number() {
            1 => "central incisor",
            2 => "lateral incisor",
            3 => "canine",
            4 => "first premolar",
            5 => "second premolar",
            6 => "first molar",
            7 => "second molar",
            _ => "third molar",
        };
        format!("{} {} {kind}", self.jaw(), self.side())
    }
}

impl TryFrom<u8> for Tooth {
    type Error = NoSuchTooth;
    fn try_from(code: u8) -> Result<Self, NoSuchTooth> {
        Self::new(code)
    }
}

impl From<Tooth> for u8 {
    fn from(tooth: Tooth) -> u8 {
        tooth.0
    }
}

impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arch_runs_from_18_to_28_and_48_to_38() {
        let codes = |jaw| (0..16).map(|p| Tooth::at(jaw, p).unwrap().code()).collect::<Vec<_>>();
        assert_eq!(codes(Jaw::Upper), [18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28]);
        assert_eq!(codes(Jaw::Lower), [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38]);
        assert!(Tooth::all().all(|t| Tooth::at(t.jaw(), t.place()) == Some(t) && t.mirrored().mirrored() == t));
    }

    #[test]
    fn codes_outside_the_standard_are_refused() {
        for code in [0, 10, 19, 51, 49, 99] {
            assert_eq!(Tooth::new(code), Err(NoSuchTooth(code)));
        }
        assert_eq!(Tooth::new(46).unwrap().name(), "lower right first molar");
    }
}
