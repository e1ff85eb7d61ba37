//! Peak bite on the restoration: population of the studies, and this patient.
//!
//! ln F is normal: its mean from voluntary single-tooth force by kind of tooth (men and women alike; Ferrario 2004, from memory), its
//! spread 0.35 between people (Braun 1995: SD 209 of 738 N, and the difference between the sexes). Only the difference between case and
//! studies moves an anchored risk, so the level matters where nothing was observed. Grinding multiplies the peak by a factor
//! (1.0 to 1.8, most likely 1.2, from memory; reports conflict); suspected grinding by its square root; a guard takes away an unknown
//! part of that. Studies left grinders out. The relation of the jaws never lowers a load.

use answer::{Basis, Draws, Provenance, World};
use case::Case;
use case::words::Grinding;
use catalogue::Catalogue;
use catalogue::words::{Tooth, ToothClass};

/// Spread of ln F between people.
const BETWEEN_PEOPLE: f64 = 0.35;
/// Spread of ln F when the force was measured at the place.
const MEASURED: f64 = 0.12;

/// ln of the peak force, per draw, with what is not known about this patient.
#[derive(Debug, Clone, PartialEq)]
pub struct Bite {
    /// Mean of ln F (N) in the studies' population, per draw.
    pub reference: Draws,
    /// Mean of ln F in the case, per draw.
    pub case: Draws,
    /// Spread between people in the studies.
    pub reference_sd: f64,
    /// What is not known about this patient.
    pub case_sd: f64,
    /// What it rests on.
    pub provenance: Provenance,
}

impl Bite {
    /// At the place of the case.
    pub fn of(world: &World, case: &Case, catalogue: &Catalogue) -> Self {
        let mut provenance = Provenance::of("common_practice", Basis::CommonPractice);
        let place = heaviest(case);
        // Without a row for the tooth: 250 N, the middle of the rows read (common practice, no source).
        let newtons = place.and_then(|t| single_tooth(catalogue, t, &mut provenance)).unwrap_or(250.0);
        // The level itself is uncertain by a fifth: methods of measuring differ far more than sides or jaws.
        let reference = world.normal("load/level", newtons.ln(), 0.2);
        let grinding = grinding(world, case, catalogue, &mut provenance);
        let (mean, case_sd) = match case.mouth.bite_force_n {
            Some(force) => (Draws::constant(world.draws(), force.ln()), MEASURED),
            None => (reference.clone(), BETWEEN_PEOPLE),
        };
        // A force measured in the mouth already holds what the muscles can do: grinding adds to how often, not to the peak.
        let case_mean = if case.mouth.bite_force_n.is_some() { mean } else { mean.plus(&grinding) };
        Self { reference, case: case_mean, reference_sd: BETWEEN_PEOPLE, case_sd, provenance }
    }
}

/// The tooth that takes the heaviest bite.
fn heaviest(case: &Case) -> Option<Tooth> {
    let teeth = if case.is_gap() { case.missing() } else { case.standing() };
    teeth.into_iter().max_by_key(|t| match t.class() {
        ToothClass::Molar => 4,
        ToothClass::Premolar => 3,
        ToothClass::Canine => 2,
        _ => 1,
    })
}

/// Mean over the sexes of the voluntary force on one tooth of this kind, N.
fn single_tooth(catalogue: &Catalogue, tooth: Tooth, provenance: &mut Provenance) -> Option<f64> {
    let words: &[&str] = match (tooth.class(), tooth.number()) {
        (ToothClass::CentralIncisor | ToothClass::LateralIncisor, _) => &["incisor"],
        (ToothClass::Canine, _) => &["canine"],
        (ToothClass::Premolar, 4) => &["premolar_first", "first_premolar", "premolar"],
        (ToothClass::Premolar, _) => &["premolar_second", "second_premolar", "premolar"],
        (ToothClass::Molar, 6) => &["molar_first", "first_molar", "molar"],
        _ => &["molar_second", "second_molar", "molar"],
    };
    let rows: Vec<_> = catalogue.loads("max_voluntary_single_tooth").collect();
    for word in words {
        let here: Vec<f64> = rows
            .iter()
            .filter(|l| l.fact.id.contains(word) || l.site.contains(word))
            .map(|l| {
                l.fact.sources.iter().for_each(|s| provenance.add(s.clone(), l.fact.basis));
                l.fact.figure.middle()
            })
            .collect();
        if !here.is_empty() {
            return Some(here.iter().sum::<f64>() / here.len() as f64);
        }
    }
    None
}

/// What grinding adds to ln F, per draw.
fn grinding(world: &World, case: &Case, catalogue: &Catalogue, provenance: &mut Provenance) -> Draws {
    let row = catalogue.loads("max_voluntary_bruxers").next();
    let (low, best, high) =
        row.map_or((1.0, 1.2, 1.8), |l| (l.fact.figure.low, l.fact.figure.middle(), l.fact.figure.high));
    if let Some(l) = row {
        l.fact.sources.iter().for_each(|s| provenance.add(s.clone(), l.fact.basis));
    }
    let full = world.triangular("load/grinding_factor", low, best, high).map(f64::ln);
    let share = match case.mouth.grinding {
        Some(Grinding::Nothing) => Draws::constant(world.draws(), 0.0),
        Some(Grinding::Suspected) => Draws::constant(world.draws(), 0.5),
        Some(Grinding::Evident) => Draws::constant(world.draws(), 1.0),
        // Not asked: anything from nothing to suspected.
        None => world.between("load/grinding_not_asked", 0.0, 0.5),
    };
    let kept = match case.mouth.guard_worn {
        Some(true) => world.between("load/guard_keeps", 0.3, 1.0),
        _ => Draws::constant(world.draws(), 1.0),
    };
    full.times(&share).times(&kept)
}
