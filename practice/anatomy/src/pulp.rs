//! Where the pulp begins under each surface.
//!
//! The pulp is a solid that tapers straight between the neck and its roof. A row gives the hard tissue between the outer surface
//! and the pulp at the height where it was measured, mm, with its scatter between teeth; the pulp's half-width at that height is
//! the crown's half-width less the row's value, and at the other end a stated share of it.
//!
//! Age: the sectional area of the pulp chamber of first molars falls as A(age) = 11.582 - 0.142 age (upper) and
//! 14.249 - 0.163 age (lower), mm2, age 11-74 y (Sue 2018); half-widths go with the square root of the area relative to 40 years.
//! For other teeth this is borrowed from first molars. No table of dentine thickness by tooth, zone and age was found: rows marked
//! `Memory` are wide on purpose.

use answer::Basis;
use catalogue::words::{Jaw, Tooth, ToothClass};

/// Hard tissue between the outer surface and the pulp at one height.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wall {
    /// Mean, mm.
    pub(crate) mean: f64,
    /// SD between teeth, mm.
    pub(crate) sd: f64,
    /// Measured at the neck, otherwise at the roof of the pulp.
    pub(crate) at_neck: bool,
    /// Half-width of the pulp at the other end over that where it was measured.
    pub(crate) other_end: f64,
    /// Source id and basis.
    pub(crate) source: (&'static str, Basis),
}

/// The pulp's walls of one tooth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PulpWalls {
    /// From the chewing surface (hollow parts) or incisal edge down to the roof, mm: mean and SD.
    pub(crate) occlusal: (f64, f64, (&'static str, Basis)),
    pub(crate) facial: Wall,
    pub(crate) lingual: Wall,
    pub(crate) mesial: Wall,
    pub(crate) distal: Wall,
}

const ASSUMED: (&str, Basis) = ("common_practice", Basis::Memory);

impl PulpWalls {
    pub(crate) fn of(tooth: Tooth) -> Self {
        match (tooth.class(), tooth.jaw()) {
            (ToothClass::CentralIncisor, Jaw::Upper) => Self {
                // Zhang 2015, micro-CT of 30: mesial horn to incisal edge 4.24 (1.04), to the mesial surface 2.09 (0.26), distal horn to
                // the distal surface 2.53 (0.30);
                // facial enamel and dentine at their thick, cervical end 0.47 + 2.17 (0.48), lingual 0.39 + 2.82 (0.36).
                occlusal: (4.24, 1.04, ("zhang2015", Basis::Read)),
                facial: front(2.64, 0.5, ("zhang2015", Basis::Computed)),
                lingual: front(3.21, 0.4, ("zhang2015", Basis::Computed)),
                mesial: horn(2.09, 0.26),
                distal: horn(2.53, 0.3),
            },
            (ToothClass::CentralIncisor | ToothClass::LateralIncisor, Jaw::Lower) => Self {
                occlusal: (4.2, 1.2, ASSUMED),
                facial: front(2.3, 0.5, ASSUMED),
                lingual: front(2.5, 0.5, ASSUMED),
                // 0.42 (0.12) mm left after preparation in 24 lower incisors; with an assumed depth of 0.8 mm.
                mesial: front(1.22, 0.25, ("jds_mandinc", Basis::Memory)),
                distal: front(1.22, 0.25, ("jds_mandinc", Basis::Memory)),
            },
            (ToothClass::LateralIncisor, Jaw::Upper) => Self {
                occlusal: (4.2, 1.2, ASSUMED),
                facial: front(2.4, 0.5, ASSUMED),
                lingual: front(2.7, 0.5, ASSUMED),
                mesial: front(1.6, 0.35, ASSUMED),
                distal: front(1.6, 0.35, ASSUMED),
            },
            (ToothClass::Canine, _) => Self {
                occlusal: (4.8, 1.2, ASSUMED),
                facial: front(2.9, 0.6, ASSUMED),
                lingual: front(3.2, 0.6, ASSUMED),
                mesial: front(1.9, 0.4, ASSUMED),
                distal: front(1.9, 0.4, ASSUMED),
            },
            (ToothClass::Premolar, _) => Self {
                occlusal: (4.8, 1.0, ASSUMED),
                facial: back(2.2, 0.4, ASSUMED),
                lingual: back(2.3, 0.4, ASSUMED),
                // At or below 0.7 mm left after a 1.2 mm shoulder (Polansky 2000).
                mesial: back(1.9, 0.35, ("polansky2000", Basis::Computed)),
                distal: back(1.9, 0.35, ("polansky2000", Basis::Computed)),
            },
            (ToothClass::Molar, jaw) => {
                let first = tooth.number() == 6;
                let (mean, sd) = if jaw == Jaw::Upper { (4.07, 0.59) } else { (4.44, 0.48) };
                // Liu 2006, enamel and dentine under the hollow parts of first molars; borrowed for the others with half as much
                // scatter again. Axial: 0.7 mm left after a 1.2 mm shoulder in lower molars, more in upper ones (Polansky 2000).
                let axial = if jaw == Jaw::Upper { 2.1 } else { 1.9 };
                let polansky = ("polansky2000", Basis::Computed);
                Self {
                    occlusal: (mean, if first { sd } else { 1.5 * sd }, ("liu2006", Basis::Computed)),
                    facial: back(axial, 0.4, polansky),
                    lingual: back(axial, 0.4, polansky),
                    mesial: back(axial, 0.4, polansky),
                    distal: back(axial, 0.4, polansky),
                }
            }
        }
    }

    /// Source ids and bases of all walls.
    pub(crate) fn sources(&self) -> [(&'static str, Basis); 5] {
        [self.occlusal.2, self.facial.source, self.lingual.source, self.mesial.source, self.distal.source]
    }
}

/// A pulp horn of an upper central incisor: measured at the roof, from where the pulp narrows to the neck.
fn horn(mean: f64, sd: f64) -> Wall {
    Wall { mean, sd, at_neck: false, other_end: 0.7, source: ("zhang2015", Basis::Read) }
}

/// A front tooth's pulp narrows to its roof.
fn front(mean: f64, sd: f64, source: (&'static str, Basis)) -> Wall {
    Wall { mean, sd, at_neck: true, other_end: 0.3, source }
}

/// A back tooth's chamber keeps most of its width to the roof.
fn back(mean: f64, sd: f64, source: (&'static str, Basis)) -> Wall {
    Wall { mean, sd, at_neck: true, other_end: 0.6, source }
}

/// Factor on the pulp's half-widths at an age in years, 1 at 40 (Sue 2018, within its 11-74 years).
pub(crate) fn age_factor(jaw: Jaw, age: f64) -> f64 {
    let (at_birth, slope) = if jaw == Jaw::Upper { (11.582, 0.142) } else { (14.249, 0.163) };
    let area = |age: f64| at_birth - slope * age.clamp(11.0, 74.0);
    (area(age) / area(40.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pulp_shrinks_with_age() {
        // Sue 2018: upper first molars 5.902 mm2 at 40 and 3.062 mm2 at 60 years; sqrt(3.062 / 5.902) = 0.72028.
        assert!((age_factor(Jaw::Upper, 60.0) - 0.72028).abs() < 1e-4);
        assert_eq!(age_factor(Jaw::Lower, 40.0), 1.0);
        assert!(age_factor(Jaw::Lower, 15.0) > 1.0 && age_factor(Jaw::Upper, 100.0).is_finite());
    }
}
