//! Average sizes of one permanent tooth, mm.

use answer::Provenance;
use thiserror::Error;

/// Sizes of one tooth as tabulated: averages without scatter. The scatter is added per draw ([`crate::StandingTooth`]).
#[derive(Debug, Clone, PartialEq)]
pub struct ToothSize {
    /// Anatomical crown, from the enamel's edge at the facial surface to the cusp tip or incisal edge, mm.
    pub crown_height: f64,
    /// Greatest mesiodistal width of the crown, mm.
    pub mesiodistal: f64,
    /// Mesiodistal width at the neck, mm.
    pub mesiodistal_neck: f64,
    /// Greatest faciolingual width of the crown, mm.
    pub faciolingual: f64,
    /// Faciolingual width at the neck, mm.
    pub faciolingual_neck: f64,
    /// How much further up the enamel's edge lies on the mesial side than on the facial, mm.
    pub neck_curve_mesial: f64,
    /// The same on the distal side, mm.
    pub neck_curve_distal: f64,
    /// Where the figures come from.
    pub provenance: Provenance,
}

/// Sizes that no tooth has.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{what} is {value} mm; expected {expected}; correct the row of tooth sizes")]
pub struct ImpossibleSize {
    /// Which size.
    pub what: &'static str,
    /// Its value, mm.
    pub value: f64,
    /// What was expected.
    pub expected: &'static str,
}

impl ToothSize {
    /// Checks that the sizes can belong to a tooth.
    ///
    /// # Errors
    /// [`ImpossibleSize`] names the first that cannot.
    pub fn checked(self) -> Result<Self, ImpossibleSize> {
        let lengths = [
            ("crown height", self.crown_height),
            ("mesiodistal width", self.mesiodistal),
            ("mesiodistal width at the neck", self.mesiodistal_neck),
            ("faciolingual width", self.faciolingual),
            ("faciolingual width at the neck", self.faciolingual_neck),
        ];
        for (what, value) in lengths {
            if !(2.0..=20.0).contains(&value) {
                return Err(ImpossibleSize { what, value, expected: "2 to 20 mm" });
            }
        }
        for (what, value) in
            [("mesial curve of the neck", self.neck_curve_mesial), ("distal curve of the neck", self.neck_curve_distal)]
        {
            if !(0.0..=0.5 * self.crown_height).contains(&value) {
                return Err(ImpossibleSize { what, value, expected: "0 to half the crown height" });
            }
        }
        for (what, neck, crown) in [
            ("mesiodistal width at the neck", self.mesiodistal_neck, self.mesiodistal),
            ("faciolingual width at the neck", self.faciolingual_neck, self.faciolingual),
        ] {
            if neck > crown {
                return Err(ImpossibleSize { what, value: neck, expected: "not more than the width of the crown" });
            }
        }
        Ok(self)
    }
}
