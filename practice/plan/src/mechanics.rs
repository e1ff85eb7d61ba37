//! Stress per newton in the body that breaks: the connector of a bridge, the chewing wall of a crown; and how the planned dimensions
//! differ from those of the studies.
//!
//! First engine: closed forms (`strength`). Connector: a neck of elliptical section in a beam between half-built-in ends, the load in the
//! middle of the pontic; for one wing and free ends an arm. Chewing wall: a plate under a contact patch on dentine. The studies'
//! restorations are taken at the tested minimum x LogNormal(ln 1.15, 0.15) unless they report more (method: docs/methods/strength.md).

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use answer::{Basis, Draws, Provenance, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Construct, Tooth};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use strength::{Base, Bending, EquivalentTable, Neck, NeckShape, Plate, StrengthError, neck_spectrum, plate_spectrum};

/// Spread of what is made against what was planned (ln; common practice, no source).
const MADE: f64 = 0.08;
/// Spread and median factor of the studies' dimensions over the tested minimum.
const STUDIES: (f64, f64) = (1.15, 0.15);
/// Radius of a contact, mm: facets are 0.5 to 3 mm wide (Kelly 1999, from memory).
const CONTACT: f64 = 1.0;

/// Modulus (MPa) and Poisson ratio of the dentine under a wall.
const DENTINE: (f64, f64) = (18_000.0, 0.31);

/// ln of the equivalent stress per newton, in the studies and in the case, per draw.
#[derive(Debug, Clone, PartialEq)]
pub struct StressPerNewton {
    /// Mean of ln s in the studies.
    pub reference: Draws,
    /// Spread of ln s between the studies' restorations.
    pub reference_sd: f64,
    /// Mean of ln s in the case.
    pub case: Draws,
    /// Spread of ln s from making it.
    pub case_sd: f64,
    /// Wet characteristic strength of 1 mm2, ln MPa, per draw.
    pub ln_strength: Draws,
    /// Weibull modulus per draw.
    pub m: Draws,
    /// Crack growth exponent per draw.
    pub n: Draws,
    /// What breaks, in words.
    pub body: &'static str,
    /// What it rests on.
    pub provenance: Provenance,
}

/// Equivalent stresses by the numbers of the body, made once for all options that share one.
#[derive(Debug, Default)]
pub struct Bodies(Mutex<BTreeMap<Vec<u64>, Arc<EquivalentTable>>>);

impl Bodies {
    fn get(
        &self,
        numbers: &[f64],
        make: impl FnOnce() -> Result<EquivalentTable, StrengthError>,
    ) -> Result<Arc<EquivalentTable>, StrengthError> {
        let key: Vec<u64> = numbers.iter().map(|x| x.to_bits()).collect();
        // A poisoned lock means another worker stopped: compute without the store.
        if let Some(known) = self.0.lock().ok().and_then(|bodies| bodies.get(&key).cloned()) {
            return Ok(known);
        }
        let table = Arc::new(make()?);
        if let Ok(mut bodies) = self.0.lock() {
            bodies.insert(key, table.clone());
        }
        Ok(table)
    }
}

/// Mechanics of the body that breaks; `None` where nothing brittle carries the load or no strength is known.
pub fn stress(
    world: &World,
    case: &Case,
    candidate: &Candidate,
    dimensions: &Dimensions,
    catalogue: &Catalogue,
    bodies: &Bodies,
) -> Option<StressPerNewton> {
    if candidate.material.has_alloy() {
        return None;
    }
    let word = candidate.material.word();
    let mut provenance = Provenance::of("common_practice", Basis::CommonPractice);
    let mut fact = |quantity: &str| {
        let fact = catalogue.class_value(word, quantity)?;
        fact.sources.iter().for_each(|s| provenance.add(s.clone(), fact.basis));
        Some(fact.figure)
    };
    let (strength, m, n) = (fact("strength")?, fact("weibull_modulus")?, fact("slow_crack_growth_n"));
    let modulus = fact("youngs_modulus")?.middle() * 1000.0;
    let poisson = fact("poissons_ratio").map_or(0.25, |p| p.middle());
    let key = |q: &str| format!("strength/{word}/{q}");
    let m = world.triangular(&key("m"), m.low, m.middle(), m.high);
    // A class without a crack growth exponent takes the range of all ceramics read: 17 to 80.
    let n = n.map_or_else(
        || world.between(&key("n"), 17.0, 80.0),
        |n| world.triangular(&key("n"), n.low.min(n.middle()), n.middle(), n.high.max(n.middle())),
    );
    let strength = world.triangular(&key("strength"), strength.low, strength.middle(), strength.high);
    // Strength by standard bars; wet over dry 0.75 to 1.0 (common practice, no source).
    let wet = world.between("strength/wet", 0.75, 1.0);
    let ln_strength = strength.times(&wet).map(f64::ln);
    let (tables, body) = match dimensions.connector {
        Some(connector) => {
            let bending = bending(case, candidate, catalogue)?;
            let at = |height: f64, width: f64, radius: f64| {
                let neck = Neck { height, width, shape: NeckShape::Ellipse, fillet_radius: radius, depth: 2.0 };
                let moment = bending.moment()?;
                bodies.get(&[height, width, radius, moment], || Ok(neck_spectrum(&neck, &bending)?.table()))
            };
            let (ratio, radius) = connector.studies;
            let least = (connector.least_area * 4.0 / std::f64::consts::PI / ratio).sqrt().max(connector.least_height);
            (
                three(
                    |f| at(least * STUDIES.0 * f, least * STUDIES.0 * f * ratio, radius),
                    || at(connector.height, connector.width, connector.radius),
                ),
                "connector",
            )
        }
        None => {
            let (least, planned) = (dimensions.minimum("occlusal")?, dimensions.occlusal()?);
            let share = core_share(dimensions);
            let dentine = Base::HalfSpace { modulus: DENTINE.0, poisson: DENTINE.1 };
            let at = |thickness: f64| {
                let wall = Plate { thickness: thickness * share, modulus, poisson, patch: CONTACT };
                // Thinner than where a plate under a fixed patch is stressed most: inversely to thickness from there (common practice, no source).
                let plate =
                    Plate { thickness: wall.thickness.max(wall.turning_thickness(DENTINE.0, DENTINE.1)), ..wall };
                let more = plate.thickness / wall.thickness;
                bodies.get(&[wall.thickness, modulus, poisson], || {
                    Ok(plate_spectrum(&plate, &dentine)?.scaled(more)?.table())
                })
            };
            (three(|f| at(least * STUDIES.0 * f), || at(planned)), "chewing wall")
        }
    };
    let [reference, wider, case_table] = tables.ok()?;
    let at = |table: &EquivalentTable| m.map(|m| table.ln_equivalent(m.clamp(2.0, 79.0)));
    let (reference, wider) = (at(&reference), at(&wider));
    let slope = (wider.mean() - reference.mean()).abs() / STUDIES.1;
    Some(StressPerNewton {
        reference,
        reference_sd: slope * STUDIES.1,
        case: at(&case_table),
        case_sd: slope * MADE,
        ln_strength,
        m,
        n,
        body,
        provenance,
    })
}

/// Stress at the studies' dimension, at one standard deviation above it, and in the case.
fn three<E>(
    studies: impl Fn(f64) -> Result<Arc<EquivalentTable>, E>,
    case: impl Fn() -> Result<Arc<EquivalentTable>, E>,
) -> Result<[Arc<EquivalentTable>; 3], E> {
    Ok([studies(1.0)?, studies(STUDIES.1.exp())?, case()?])
}

/// Share of the wall's thickness that the core has, where a veneer lies over it.
fn core_share(dimensions: &Dimensions) -> f64 {
    match (dimensions.working("core_thickness"), dimensions.working("veneer_thickness")) {
        (Some(core), Some(veneer)) if core + veneer > 0.0 => core / (core + veneer),
        _ => 1.0,
    }
}

/// How the framework is bent, from average widths of the teeth or the measured gap.
fn bending(case: &Case, candidate: &Candidate, catalogue: &Catalogue) -> Option<Bending> {
    let width = |t: Tooth| catalogue.tooth(t).map(|d| d.mesiodistal_mm);
    let gap = case.span_mm(width)?;
    match candidate.construct {
        Construct::OneWing | Construct::CantileverBridge => Some(Bending::Cantilever { arm: 0.5 * gap }),
        Construct::Bridge | Construct::TwoWings => {
            let ends: Vec<f64> = case.standing().into_iter().filter_map(width).collect();
            let (first, last) = (*ends.first()?, *ends.last()?);
            let span = 0.5 * first + gap + 0.5 * last;
            // Half built in: roots give a little, neighbours hold (a blend, see the method page).
            Some(Bending::Span { span, load_at: 0.5 * first + 0.5 * gap, at: 0.5 * first, fixity: 0.5 })
        }
        _ => None,
    }
}
