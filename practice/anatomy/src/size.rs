//! Average sizes of one permanent tooth, mm.

use answer::Provenance;
use catalogue::Catalogue;
use catalogue::words::Tooth;
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

/// Why a tooth has no usable size.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SizeError {
    /// The table holds no row for it.
    #[error("no average size of tooth {0} is known; expected a row in tooth_dimensions.csv; add one")]
    Missing(Tooth),
    /// The table holds no form for it.
    #[error("no form of tooth {0} is known; expected rows in tooth_forms.csv and tooth_ridges.csv; add them")]
    NoForm(Tooth),
    /// A figure that no tooth has.
    #[error("{what} is {value} mm; expected {expected}; correct the tooth's row in tooth_dimensions.csv")]
    Impossible {
        /// Which size.
        what: &'static str,
        /// Its value, mm.
        value: f64,
        /// What was expected.
        expected: &'static str,
    },
}

impl ToothSize {
    /// Average size of a tooth as the catalogue has it.
    ///
    /// # Errors
    /// [`SizeError`] when there is no row, or one with figures that no tooth has.
    pub fn of(catalogue: &Catalogue, tooth: Tooth) -> Result<Self, SizeError> {
        let row = catalogue.tooth(tooth).ok_or(SizeError::Missing(tooth))?;
        Self {
            crown_height: row.crown_height_mm,
            mesiodistal: row.mesiodistal_mm,
            mesiodistal_neck: row.mesiodistal_cervix_mm,
            faciolingual: row.buccolingual_mm,
            faciolingual_neck: row.buccolingual_cervix_mm,
            neck_curve_mesial: row.neck_curve_mesial_mm,
            neck_curve_distal: row.neck_curve_distal_mm,
            provenance: Provenance { ids: row.sources.iter().cloned().collect(), weakest: Some(row.basis) },
        }
        .checked()
    }

    /// Checks that the sizes can belong to a tooth.
    ///
    /// # Errors
    /// [`SizeError::Impossible`] names the first that cannot.
    pub fn checked(self) -> Result<Self, SizeError> {
        let lengths = [
            ("crown height", self.crown_height),
            ("mesiodistal width", self.mesiodistal),
            ("mesiodistal width at the neck", self.mesiodistal_neck),
            ("faciolingual width", self.faciolingual),
            ("faciolingual width at the neck", self.faciolingual_neck),
        ];
        for (what, value) in lengths {
            if !(2.0..=20.0).contains(&value) {
                return Err(SizeError::Impossible { what, value, expected: "2 to 20 mm" });
            }
        }
        for (what, value) in
            [("mesial curve of the neck", self.neck_curve_mesial), ("distal curve of the neck", self.neck_curve_distal)]
        {
            if !(0.0..=0.5 * self.crown_height).contains(&value) {
                return Err(SizeError::Impossible { what, value, expected: "0 to half the crown height" });
            }
        }
        for (what, neck, crown) in [
            ("mesiodistal width at the neck", self.mesiodistal_neck, self.mesiodistal),
            ("faciolingual width at the neck", self.faciolingual_neck, self.faciolingual),
        ] {
            if neck > crown {
                return Err(SizeError::Impossible {
                    what,
                    value: neck,
                    expected: "not more than the width of the crown",
                });
            }
        }
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_permanent_tooth_has_a_size() {
        let catalogue = Catalogue::shipped().unwrap();
        for tooth in Tooth::all() {
            assert!(ToothSize::of(&catalogue, tooth).is_ok(), "{tooth}");
        }
    }

    #[test]
    fn sizes_that_no_tooth_has_are_refused_by_name() {
        let size = ToothSize::of(&Catalogue::shipped().unwrap(), Tooth::new(46).unwrap()).unwrap();
        let wide_neck = ToothSize { mesiodistal_neck: 12.0, ..size.clone() }.checked().unwrap_err();
        assert!(wide_neck.to_string().contains("at the neck is 12 mm"), "{wide_neck}");
        assert!(ToothSize { crown_height: f64::NAN, ..size }.checked().is_err());
    }
}
