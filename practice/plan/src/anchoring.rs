//! Causes that stress drives, anchored: the clinic gives the level, mechanics the change (`strength::anchor`).

use crate::bite::Bite;
use crate::curve::YEARS;
use crate::kin;
use crate::mechanics::StressPerNewton;
use answer::{Draws, World};
use std::sync::Arc;
use strength::RiskTable;
use strength::anchor::{Anchor, Family, Normal, Reference};

/// Years at which risks are anchored.
const ANCHORS: [f64; 3] = [5.0, 10.0, 15.0];

/// What anchoring does not know and every option shares: drawn once a plan.
#[derive(Debug, Clone)]
pub struct Anchoring {
    /// Mean risk of a normal ln hazard.
    table: Arc<RiskTable>,
    /// Share of fractures that no section explains.
    phi_framework: Draws,
    /// Share of chips that no load explains.
    phi_chip: Draws,
    /// Level of mechanics where nothing was observed ([`crate::kin`]).
    delta: Draws,
    /// Modulus and crack growth exponent of veneering ceramics, from memory: m 6 to 12, n 15 to 30.
    veneer: (Draws, Draws),
}

impl Anchoring {
    /// In a world: phi ~ Beta(2, 6) for framework fracture, Beta(6, 3) for chips; delta ~ N(0, 0.35^2).
    pub fn of(world: &World, table: Arc<RiskTable>) -> Self {
        Self {
            table,
            phi_framework: world.beta("strength/phi/framework", 2.0, 6.0),
            phi_chip: world.beta("strength/phi/chip", 6.0, 3.0),
            delta: world.normal("strength/delta", 0.0, strength::anchor::PRIOR_SD),
            veneer: (world.between("strength/veneer/m", 6.0, 12.0), world.between("strength/veneer/n", 15.0, 30.0)),
        }
    }

    /// For a class that nobody was followed with, whose kin have levels.
    pub(crate) fn among(&self, kin: &[Draws]) -> Self {
        Self { delta: kin::level(kin, &self.delta), ..self.clone() }
    }
}

/// A cause's hazard after anchoring.
pub(crate) struct Shifted {
    /// Cumulative hazard at each of [`YEARS`].
    pub(crate) hazard: Vec<Draws>,
    /// d ln risk / d ln stress.
    pub(crate) sensitivity: f64,
    /// Level of mechanics against observation (ln of a factor of strength), where solved.
    pub(crate) level: Option<Draws>,
    /// The level lies outside its prior.
    pub(crate) disagrees: bool,
    /// Nothing was observed.
    pub(crate) mechanics_only: bool,
}

/// Framework fracture: phi ~ Beta(2, 6), level solved per draw where observed, prior level otherwise.
pub(crate) fn fracture(
    pooled: &[Draws],
    bite: &Bite,
    stress: &StressPerNewton,
    observed: bool,
    anchoring: &Anchoring,
) -> Option<Shifted> {
    let (phi, delta) = (&anchoring.phi_framework, &anchoring.delta);
    let reference = |k: usize| Normal {
        mean: bite.reference.get(k) + stress.reference.get(k) - stress.ln_strength.get(k),
        sd: hypot3(bite.reference_sd, stress.reference_sd, BATCH),
    };
    let case = |k: usize| Normal {
        mean: bite.case.get(k) + stress.case.get(k) - stress.ln_strength.get(k),
        sd: hypot3(bite.case_sd, stress.case_sd, BATCH),
    };
    let m = |k: usize| strength::Strength {
        characteristic: 1.0,
        m: stress.m.get(k),
        n: stress.n.get(k).max(3.0),
        rate: 1.0,
        wet: 1.0,
    };
    let family = Family::new(&*anchoring.table, phi.len(), |q, k| {
        let strength = m(k);
        if observed {
            let p = risks_at_anchors(pooled, k);
            Anchor::solve(q, &Reference { p, w: reference(k) }, phi.get(k), strength.inert_modulus(), strength.n)
        } else {
            Anchor::mechanics_only(delta.get(k), strength.inert_modulus(), strength.n, &ANCHORS)
        }
    })
    .ok()?;
    apply(pooled, &family, case, observed)
}

/// Chipping: phi ~ Beta(6, 3), only the bite differs (a veneer's own stress is not computed), exponent of feldspathic ceramic.
pub(crate) fn chip(pooled: &[Draws], bite: &Bite, anchoring: &Anchoring) -> Option<Shifted> {
    let phi = &anchoring.phi_chip;
    let (m, n) = &anchoring.veneer;
    let sd = (bite.reference_sd.powi(2) + BATCH.powi(2)).sqrt();
    let family = Family::new(&*anchoring.table, phi.len(), |q, k| {
        let p = risks_at_anchors(pooled, k);
        Anchor::solve(
            q,
            &Reference { p, w: Normal { mean: bite.reference.get(k), sd } },
            phi.get(k),
            m.get(k),
            n.get(k),
        )
    })
    .ok()?;
    let case_sd = (bite.case_sd.powi(2) + BATCH.powi(2)).sqrt();
    apply(pooled, &family, |k| Normal { mean: bite.case.get(k), sd: case_sd }, true)
}

/// Spread of strength between batches, flaws and unreported radii (ln; common practice, no source).
const BATCH: f64 = 0.15;

fn hypot3(a: f64, b: f64, c: f64) -> f64 {
    (a * a + b * b + c * c).sqrt()
}

fn risks_at_anchors(pooled: &[Draws], k: usize) -> Vec<(f64, f64)> {
    ANCHORS
        .iter()
        .map(|&year| {
            let i = YEARS.iter().position(|&y| y >= year).unwrap_or(YEARS.len() - 1);
            (year, (-(-pooled[i].get(k)).exp_m1()).clamp(1e-9, 1.0 - 1e-9))
        })
        .collect()
}

/// The pooled hazard times the ratio of case to pooled hazard at the anchors; where mechanics stands alone, its own hazard.
fn apply(
    pooled: &[Draws],
    family: &Family<&RiskTable>,
    case: impl Fn(usize) -> Normal,
    observed: bool,
) -> Option<Shifted> {
    let anchored = family.case(case).ok()?;
    let n = anchored.delta.len();
    let at_anchors: Vec<Draws> = anchored
        .risk
        .iter()
        .map(|(year, risk)| {
            let i = YEARS.iter().position(|y| y >= year).unwrap_or(YEARS.len() - 1);
            Draws::from_fn(n, |k| {
                let own = -(-risk.get(k).clamp(0.0, 1.0 - 1e-12)).ln_1p();
                if observed { own / pooled[i].get(k).max(1e-12) } else { own }
            })
        })
        .collect();
    let hazard = YEARS
        .iter()
        .zip(pooled)
        .map(|(&year, pooled)| {
            Draws::from_fn(n, |k| {
                let value = between_anchors(&at_anchors, k, year);
                if observed { pooled.get(k) * value } else { value * (year / ANCHORS[0]).min(1.0) }
            })
        })
        .collect();
    Some(Shifted {
        hazard,
        sensitivity: anchored.sensitivity.mean(),
        disagrees: anchored.disagrees,
        level: observed.then_some(anchored.delta),
        mechanics_only: !observed,
    })
}

/// Linear between the anchors, held before the first and after the last.
fn between_anchors(values: &[Draws], k: usize, year: f64) -> f64 {
    let upper = ANCHORS.iter().position(|&a| a >= year).unwrap_or(ANCHORS.len() - 1);
    if upper == 0 || year >= ANCHORS[upper] {
        return values[upper].get(k);
    }
    let (low, high) = (ANCHORS[upper - 1], ANCHORS[upper]);
    let share = (year - low) / (high - low);
    values[upper - 1].get(k) * (1.0 - share) + values[upper].get(k) * share
}
