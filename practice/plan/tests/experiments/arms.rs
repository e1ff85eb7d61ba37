//! What a laboratory broke: the load at the first crack and, for a wall of one ceramic, at which it splits; which of them is compared, by the rule of `reference/validation_README.md`.

use crate::DRAWS;
use crate::bench::Bench;
use crate::walls::{Die, MOLAR};
use answer::Draws;

/// ln of loads, N.
#[derive(Clone)]
pub(crate) struct Arm {
    pub(crate) first: Draws,
    pub(crate) split: Option<Draws>,
    cemented: bool,
}

impl Arm {
    /// A connector, or a wall of two ceramics.
    pub(crate) fn first_crack(first: Draws) -> Self {
        Self { first, split: None, cemented: false }
    }

    /// The text reached tells of cement between wall and support.
    pub(crate) fn cemented(self) -> Self {
        Self { cemented: true, ..self }
    }

    /// Whether coming apart is compared.
    pub(crate) fn comes_apart(&self) -> bool {
        self.cemented && self.split.is_some()
    }

    /// What is compared: the larger of both where it is coming apart.
    pub(crate) fn load(&self) -> Draws {
        match &self.split {
            Some(split) if self.cemented => self.first.zip(split, f64::max),
            _ => self.first.clone(),
        }
    }

    /// Tested wet.
    pub(crate) fn wet(self, b: &Bench) -> Self {
        let wet = b.wet();
        Self { first: self.first.plus(&wet), split: self.split.map(|s| s.plus(&wet)), ..self }
    }

    /// Cycled in water before, which leaves `first` for the first crack; a crack that is not there does not grow.
    pub(crate) fn aged(self, b: &Bench, first: Draws) -> Self {
        Self { first, split: self.split.map(|s| s.plus(&b.wet())), ..self }
    }
}

impl Bench {
    /// A crown of one ceramic.
    pub(crate) fn crown_of(&self, material: &str, wall: &Draws, on: Die, cement: &Draws) -> Arm {
        let first = self.crown(material, wall, on, cement);
        let split = self.splitting(material, wall, on);
        Arm { first, split: Some(split), cemented: false }
    }

    /// The same of a wall told.
    pub(crate) fn crown_arm(&self, material: &str, wall: f64, on: Die) -> Arm {
        self.crown_of(material, &Draws::constant(DRAWS, wall), on, &self.of("crown", "cement_mm"))
    }

    /// A cover without walls on a die as stiff as a tooth.
    pub(crate) fn cover_arm(&self, material: &str, wall: f64) -> Arm {
        let split = self.splitting(material, &Draws::constant(DRAWS, wall), MOLAR);
        Arm { first: self.cover(material, wall), split: Some(split), cemented: false }
    }
}
