//! How much more a chewing wall of one ceramic bears before it cracks where it is bitten on the slopes around its middle in place of the middle: at three places of a molar, at two of a premolar
//! (common practice, no source), by surfaces over caps pressed so (`strength::designs::touches`).
//!
//! Told, not reckoned with: how the patients of the studies bit is not known, so it moves no odds. Limits: walls of one layer, equal contacts, average size of the tooth.

use crate::mechanics::{Bodies, DENTINE};
use crate::planned::Planned;
use crate::walls::CONTACT;
use catalogue::words::{Build, Tooth, ToothClass};
use serde::Serialize;
use strength::designs::Family;

/// Distances of the contacts from the middle, mm: slopes of 15 to 30 degrees under a cusp of 3 mm radius (common practice, no source).
const FROM_MIDDLE: [f64; 2] = [0.8, 1.6];
/// Weibull modulus it is told for.
const USUAL_M: f64 = 10.0;

/// What contacts around the middle are worth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpreadBite {
    /// How many contacts.
    pub contacts: usize,
    /// Their least and greatest distance from the middle looked at, mm.
    pub from_middle: [f64; 2],
    /// Load at the first crack over that of one contact of the same area in the middle: lower and higher end over those distances and the error of the surface (90 %).
    pub times: [f64; 2],
}

/// `None` for front teeth, walls of two layers or thinner than any solved, and where no modulus is known.
pub(crate) fn spread_bite(planned: Planned, bodies: &Bodies) -> Option<SpreadBite> {
    let Planned { case, candidate, dimensions, catalogue, .. } = planned;
    let (family, contacts) = family(case.main_tooth()?)?;
    if candidate.build == Build::Layered || candidate.material.has_alloy() {
        return None;
    }
    let modulus = catalogue.class_value(candidate.material.word(), "youngs_modulus")?.figure.middle() * 1000.0;
    let length = catalogue.tooth(case.main_tooth()?).map_or(9.0, |d| d.mesiodistal_mm);
    let surface = bodies.surface(family)?;
    // Thinner walls than were solved tell nothing.
    let thinnest = surface.variables().first()?.low;
    let wall = dimensions.occlusal().filter(|wall| *wall >= thinnest)?;
    let at = |from_middle: f64| {
        let point = [wall, modulus / DENTINE.0, CONTACT, length, from_middle];
        let error = 1.645 * surface.error(&point, USUAL_M);
        let ln = surface.table(&point).ok()?.ln_equivalent(USUAL_M);
        Some([-ln - error, -ln + error].map(f64::exp))
    };
    let [near, far] = [at(FROM_MIDDLE[0])?, at(FROM_MIDDLE[1])?];
    Some(SpreadBite { contacts, from_middle: FROM_MIDDLE, times: [near[0].min(far[0]), near[1].max(far[1])] })
}

fn family(tooth: Tooth) -> Option<(Family, usize)> {
    match tooth.class() {
        ToothClass::Molar => Some((Family::Tripod, 3)),
        ToothClass::Premolar => Some((Family::Pair, 2)),
        _ => None,
    }
}
