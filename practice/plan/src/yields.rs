//! What the heaviest bites do to an alloy's framework: how much of its yield strength the neck reaches, and how far the span gives.
//!
//! An alloy yields before it breaks. F/P per draw, with F the heaviest bite of one of the people this patient may be and P the load at which the outer fibre of the weakest neck reaches the 0.2 %
//! proof stress (`strength::yielding`, beam theory; the notch is left out since a ductile root redistributes); deflection of the neck's section all along, an upper limit, in the middle of the span or at the tip.
//! Proof stress and modulus by the class (gold to cobalt-chromium). Veneer counts as nothing, the neck as planned as alloy. Limits: one heavy bite, no fatigue; no deflection at which a veneer fails was found.

use crate::bite::Bite;
use crate::candidates::Candidate;
use crate::loads::{FIXITY, Lean, leaning};
use crate::mechanics::bending;
use crate::planned::Planned;
use answer::{Draws, Provenance};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::Tooth;
use strength::yielding::{Metal, yielding};
use strength::{Bending, Neck, NeckShape};

/// What the heaviest bites do.
#[derive(Debug, Clone)]
pub struct Yields {
    /// Heaviest bite over the load at first yield, per draw of person and alloy.
    pub used: Draws,
    /// What the span gives under that bite, micrometres.
    pub deflection: Option<Draws>,
    /// What it rests on.
    pub provenance: Provenance,
}

impl Yields {
    /// Of a framework of alloy with a connector; `None` for all else.
    pub(crate) fn of(planned: Planned, bite: &Bite) -> Option<Self> {
        let Planned { world, case, candidate, dimensions, catalogue } = planned;
        let connector = dimensions.connector.filter(|_| candidate.material.has_alloy())?;
        let mut provenance = bite.provenance.clone();
        let mut fact = |quantity: &str| {
            let fact = catalogue.class_value("metal", quantity)?;
            fact.sources.iter().for_each(|s| provenance.add(s.clone(), fact.basis));
            let f = fact.figure;
            Some(world.triangular(&format!("strength/metal/{quantity}"), f.low, f.middle(), f.high))
        };
        let (proof, modulus, poisson) = (fact("yield_strength")?, fact("youngs_modulus")?, fact("poissons_ratio")?);
        let lean = leaning(&Lean::of(world, case, catalogue, &mut provenance).case, connector.height, connector.width);
        let neck = Neck {
            height: connector.height,
            width: connector.width,
            shape: NeckShape::Ellipse,
            fillet_radius: connector.radius,
            depth: 2.0,
        };
        let (neck_bent, span) = (bending(case, candidate, catalogue)?, span(case, candidate, catalogue));
        let metal = |k: usize| Metal { proof: proof.get(k), modulus: 1000.0 * modulus.get(k), poisson: poisson.get(k) };
        // One of the people this patient may be.
        let person = world.normal("load/person", 0.0, 1.0);
        let force = |k: usize| (bite.case.get(k) + bite.case_sd * person.get(k)).exp();
        // Measures that are none are refused once, for all draws alike.
        yielding(&neck, &neck_bent, &metal(0)).ok()?;
        let used = Draws::from_fn(world.draws(), |k| {
            let first = yielding(&neck, &neck_bent, &metal(k)).map_or(f64::INFINITY, |y| y.first_yield);
            force(k) * lean.get(k).exp() / first
        });
        let gives = |k: usize| span.and_then(|s| yielding(&neck, &s, &metal(k)).ok()?.deflection);
        let deflection =
            gives(0).map(|_| Draws::from_fn(world.draws(), |k| 1000.0 * force(k) * gives(k).unwrap_or(f64::NAN)));
        Some(Self { used, deflection, provenance })
    }

    /// Chance that the heaviest bite bends the neck for good.
    pub fn chance(&self) -> f64 {
        self.used.map(|u| if u >= 1.0 { 1.0 } else { 0.0 }).mean()
    }
}

/// The whole span with the bite in its middle, or the arm with the bite on its tip.
fn span(case: &Case, candidate: &Candidate, catalogue: &Catalogue) -> Option<Bending> {
    let width = |t: Tooth| catalogue.tooth(t).map(|d| d.mesiodistal_mm);
    let gap = case.span_mm(width)?;
    if candidate.construct.hangs_free() {
        return Some(Bending::Cantilever { arm: gap });
    }
    let ends: Vec<f64> = case.standing().into_iter().filter_map(width).collect();
    let (first, last) = (*ends.first()?, *ends.last()?);
    let span = 0.5 * first + gap + 0.5 * last;
    Some(Bending::Span { span, load_at: 0.5 * span, at: 0.5 * first, fixity: FIXITY })
}
