//! Stress per newton in the body that breaks: the connector of a bridge, the chewing wall of a crown; and how the planned dimensions
//! differ from those of the studies.
//!
//! By surfaces fitted to finite elements ([`crate::surfaces`]), their error in the interval: the chewing wall; the connector beside a pontic between retainers or wings; of several pontics the connector between them, the bite beside it; of one or two that hang on one side the connector beside the retainer, the bite on the outer one.
//! The studies' restorations are taken at the tested minimum x LogNormal(ln 1.15, 0.15) unless they report more, and with one pontic where it hangs; a lean of the bite counts at connectors
//! ([`crate::loads`]). Method: docs/methods/strength.md.

use crate::candidates::Candidate;
use crate::dimensions::Connector;
use crate::loads::{FIXITY, Lean, leaning, places};
use crate::planned::Planned;
use crate::surfaces::{SPRINGS, Surfaces};
use answer::{Basis, Draws, Provenance};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::{Construct, Tooth};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use strength::designs::{Family, block_length};
use strength::{Bending, EquivalentTable, ResponseSurface, StrengthError};

/// Spread of what is made against what was planned (ln; common practice, no source).
const MADE: f64 = 0.08;
/// Spread and median factor of the studies' dimensions over the tested minimum.
pub(crate) const STUDIES: (f64, f64) = (1.15, 0.15);
/// Weibull modulus at which a surface's error is taken.
const USUAL_M: f64 = 10.0;

/// Modulus (MPa) and Poisson ratio of the dentine under a wall.
pub(crate) const DENTINE: (f64, f64) = (18_000.0, 0.31);

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
    /// How the stress was found.
    pub engine: Engine,
    /// What it rests on.
    pub provenance: Provenance,
}

/// The surface over solved designs by which the stress of a body was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engine {
    /// Designs it rests on.
    pub designs: usize,
    /// Standard deviation of ln of what the difference of ln stress between case and studies is out by.
    pub error: f64,
}

impl Engine {
    /// In words.
    pub fn words(self) -> String {
        format!(
            "finite elements, by a surface over {} designs; what a size is worth is known to {:.0} %",
            self.designs,
            100.0 * self.error
        )
    }
}

/// Equivalent stresses by the numbers of the body, made once for all options that share one.
#[derive(Debug)]
pub struct Bodies {
    known: Mutex<BTreeMap<Vec<u64>, Arc<EquivalentTable>>>,
    surfaces: Surfaces,
}

impl Default for Bodies {
    fn default() -> Self {
        Self { known: Mutex::default(), surfaces: Surfaces::shipped() }
    }
}

impl Bodies {
    pub(crate) fn surface(&self, family: Family) -> Option<&ResponseSurface> {
        self.surfaces.of_family(family)
    }

    pub(crate) fn get(
        &self,
        numbers: &[f64],
        make: impl FnOnce() -> Result<EquivalentTable, StrengthError>,
    ) -> Result<Arc<EquivalentTable>, StrengthError> {
        let key: Vec<u64> = numbers.iter().map(|x| x.to_bits()).collect();
        // A poisoned lock means another worker stopped: compute without the store.
        if let Some(known) = self.known.lock().ok().and_then(|bodies| bodies.get(&key).cloned()) {
            return Ok(known);
        }
        let table = Arc::new(make()?);
        if let Ok(mut bodies) = self.known.lock() {
            bodies.insert(key, table.clone());
        }
        Ok(table)
    }
}

/// Mechanics of the body that breaks; `None` where nothing brittle carries the load or no strength is known.
pub(crate) fn stress(planned: Planned, bodies: &Bodies) -> Option<StressPerNewton> {
    let Planned { world, case, candidate, dimensions, catalogue } = planned;
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
    let plates = dimensions.minimum("wing_thickness").zip(dimensions.working("wing_thickness"));
    let plates = plates.map(|(least, planned)| [least, planned]);
    let wanted = Wanted { case, candidate, catalogue, bodies, modulus, plates };
    let found = match dimensions.connector {
        Some(connector) => wanted.connector(&connector)?,
        // A bridge whose connector no source tells of is not judged by its chewing wall.
        None if candidate.construct.has_pontic() => return None,
        None => wanted.wall(dimensions)?,
    };
    let at = |table: &EquivalentTable| m.map(|m| table.ln_equivalent(m.clamp(2.0, 79.0)));
    let (mut reference, wider, mut own) = (at(&found.reference), at(&found.wider), at(&found.case));
    let slope = (wider.mean() - reference.mean()).abs() / STUDIES.1;
    // One draw for all options: what a surface misses it misses for every material alike. The difference as a whole is out, so that more section never looks worse.
    let out =
        world.normal(&format!("strength/surface/{}", found.body), 0.0, 1.0).scaled(found.engine.error).map(f64::exp);
    own = reference.plus(&own.zip(&reference, |own, studies| own - studies).times(&out));
    if let Some(connector) = dimensions.connector {
        let leans = Lean::of(world, case, catalogue, &mut provenance);
        if matches!(candidate.construct, Construct::Bridge | Construct::TwoWings) {
            for l in catalogue.loads("tooth_mobility") {
                l.fact.sources.iter().for_each(|s| provenance.add(s.clone(), l.fact.basis));
            }
        }
        let [height, width] = connector.in_studies();
        // A neck higher than stress is known for is as its stress: that of the greatest height.
        let seen = |height: f64| height.min(found.tallest);
        reference = reference.plus(&leaning(&leans.reference, seen(height), width));
        own = own.plus(&leaning(&leans.case, seen(connector.height), connector.width));
    }
    Some(StressPerNewton {
        reference,
        reference_sd: slope * STUDIES.1,
        case: own,
        case_sd: slope * MADE,
        ln_strength,
        m,
        n,
        body: found.body,
        engine: found.engine,
        provenance,
    })
}

/// Stress of one body at the studies' dimension, at one standard deviation above it, and in the case.
pub(crate) struct Found {
    reference: Arc<EquivalentTable>,
    wider: Arc<EquivalentTable>,
    case: Arc<EquivalentTable>,
    body: &'static str,
    engine: Engine,
    /// Greatest height of a connector that the stress follows, mm.
    tallest: f64,
}

/// What a body is asked for with.
pub(crate) struct Wanted<'a> {
    pub(crate) case: &'a Case,
    pub(crate) candidate: &'a Candidate,
    pub(crate) catalogue: &'a Catalogue,
    pub(crate) bodies: &'a Bodies,
    pub(crate) modulus: f64,
    /// Thickness of wings, where it has any: tested minimum and planned, mm.
    plates: Option<[f64; 2]>,
}

impl Wanted<'_> {
    /// A unit between retainers, several in a row, or one or two on one side.
    fn connector(&self, connector: &Connector) -> Option<Found> {
        let ([height, width], radius) = (connector.in_studies(), connector.studies.1);
        let sizes = [
            [height, width, radius],
            [height * STUDIES.1.exp(), width * STUDIES.1.exp(), radius],
            [connector.height, connector.width, connector.radius],
        ];
        let gap = self.case.span_mm(|t: Tooth| self.catalogue.tooth(t).map(|d| d.mesiodistal_mm))?;
        // A rounder embrasure takes its room from the retainers: the pontic stays as long.
        let block = |unit: f64| block_length(unit, radius);
        let plates = |[least, planned]: [f64; 2]| [least * STUDIES.0, least * STUDIES.0 * STUDIES.1.exp(), planned];
        let pontics = self.case.missing().len();
        let (family, units, last) = match (self.candidate.construct, pontics) {
            (Construct::Bridge, 1) => (Family::Span, [gap; 3], Some([SPRINGS; 3])),
            (Construct::Bridge | Construct::TwoWings, 2..) => {
                (Family::Row, [unit_of_two(gap, pontics); 3], Some([SPRINGS; 3]))
            }
            (Construct::TwoWings, 1) => (Family::Wings, [gap; 3], Some(plates(self.plates?))),
            (construct, 1 | 2) if construct.hangs_free() => {
                // The studies' patients are taken to have had one pontic.
                let one = gap / pontics as f64;
                (Family::Arm, [one, one, 2.0 * lever(gap, pontics)], None)
            }
            _ => return None,
        };
        let point = |n: usize| {
            let [h, w, r] = sizes[n];
            [h, w, r, block(units[n]), self.modulus / DENTINE.0].into_iter().chain(last.map(|last| last[n])).collect()
        };
        self.by_surface(family, [0, 1, 2].map(point), "connector")
    }

    /// `None` where the point is none a body can have, or designs too few of the family are shipped.
    pub(crate) fn by_surface(&self, family: Family, points: [Vec<f64>; 3], body: &'static str) -> Option<Found> {
        let surface = self.bodies.surface(family)?;
        let at = |point: &Vec<f64>| {
            let key: Vec<f64> = [family as usize as f64].iter().chain(point).copied().collect();
            self.bodies.get(&key, || surface.table(point)).ok()
        };
        let [reference, wider, case] = &points;
        let error = surface.error_of_difference(reference, case, USUAL_M);
        Some(Found {
            reference: at(reference)?,
            wider: at(wider)?,
            case: at(case)?,
            body,
            engine: Engine { designs: surface.designs(), error },
            tallest: surface.variables().first().map_or(f64::INFINITY, |v| v.high),
        })
    }
}

/// Length of each of two units (mm) whose middle connector is bent as much as the one bent most among `pontics` units over a gap, its ends free to turn and half a tooth beyond it, the bite beside it.
fn unit_of_two(gap: f64, pontics: usize) -> f64 {
    // Of the caps of the designs, 9 mm long.
    const TOOTH: f64 = 4.5;
    let span = gap + 2.0 * TOOTH;
    let at = |k: usize| TOOTH + gap * k as f64 / pontics as f64;
    let moment = (1..pontics).map(|k| at(k) * (span - at(k)) / span).fold(0.0, f64::max);
    2.0 * moment - TOOTH
}

/// From the neck of `pontics` units that hang over a gap to the middle of the last of them, where a bite bends the neck most.
fn lever(gap: f64, pontics: usize) -> f64 {
    gap * (1.0 - 0.5 / pontics.max(1) as f64)
}

/// How the framework is bent, from average widths of the teeth or the measured gap.
pub(crate) fn bending(case: &Case, candidate: &Candidate, catalogue: &Catalogue) -> Option<Bending> {
    let width = |t: Tooth| catalogue.tooth(t).map(|d| d.mesiodistal_mm);
    let gap = case.span_mm(width)?;
    match candidate.construct {
        construct if construct.hangs_free() => Some(Bending::Cantilever { arm: lever(gap, case.missing().len()) }),
        Construct::Bridge | Construct::TwoWings => {
            let ends: Vec<f64> = case.standing().into_iter().filter_map(width).collect();
            let (first, last) = (*ends.first()?, *ends.last()?);
            // Teeth hardly hold a frame against turning. The bite lands where it bends the neck most.
            let places = places(first, gap, last, FIXITY).ok()?;
            Some(Bending::Moment(places.iter().map(|p| p.1.abs()).fold(0.0, f64::max)))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lever_ends_in_the_middle_of_the_last_unit() {
        assert!((lever(8.0, 1) - 4.0).abs() < 1e-12 && (lever(16.0, 2) - 12.0).abs() < 1e-12);
    }

    #[test]
    fn two_units_are_as_long_as_they_are_and_three_bend_as_longer_ones() {
        assert!((unit_of_two(16.0, 2) - 8.0).abs() < 1e-12);
        // Three of 8 mm: x (L - x)/L at x = 12.5 of 33 mm.
        assert!((unit_of_two(24.0, 3) - (2.0 * 12.5 * 20.5 / 33.0 - 4.5)).abs() < 1e-12);
        assert!(unit_of_two(32.0, 4) > unit_of_two(24.0, 3));
    }
}
