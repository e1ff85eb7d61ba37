//! Peel at the edge of a wing beside the pontic, against that of the studies' wings. Relative only: what peel a bond bears for years is not known.
//!
//! `strength::peel`: the wing a strip of its working thickness on the cement's springs, pulled off by a bite on the middle of the pontic. The studies' wings are taken at the tested minimum x 1.15, as all their
//! dimensions are. Under the same bite peel goes as the thickness to the power -3/4 to -3/2 and hardly with the cement. It moves no odds: how often wings come off is counted in patients.

use crate::candidates::Candidate;
use crate::dimensions::Dimensions;
use crate::mechanics::{STUDIES, bending};
use answer::{Basis, Draws, Provenance, World};
use case::Case;
use catalogue::Catalogue;
use catalogue::words::Construct;
use strength::peel::{Pull, Strip, peel};

/// Length and width of a wing, mm (common practice, no source); width falls out of the ratio.
const WING: (f64, f64) = (6.0, 5.0);
/// What is told of: so much more thickness, mm.
const MORE: f64 = 0.1;

/// Peel at a wing's edge.
pub(crate) struct Wings {
    /// Over that of the studies' wings.
    pub(crate) over_studies: Draws,
    /// Over that of the wing as planned, a tenth of a millimetre thicker.
    pub(crate) thicker: Draws,
    /// As planned, mm.
    pub(crate) thickness: f64,
    pub(crate) provenance: Provenance,
}

impl Wings {
    /// Of an option with wings; `None` for all else.
    pub(crate) fn of(
        world: &World,
        case: &Case,
        candidate: &Candidate,
        dimensions: &Dimensions,
        catalogue: &Catalogue,
    ) -> Option<Self> {
        if !matches!(candidate.construct, Construct::OneWing | Construct::TwoWings) {
            return None;
        }
        let (planned, least) = (dimensions.working("wing_thickness")?, dimensions.minimum("wing_thickness")?);
        let mut provenance = Provenance::of("common_practice", Basis::CommonPractice);
        let mut modulus = |word: &str| {
            let fact = catalogue.class_value(word, "youngs_modulus")?;
            fact.sources.iter().for_each(|s| provenance.add(s.clone(), fact.basis));
            Some(fact.figure)
        };
        let word = if candidate.material.has_alloy() { "metal" } else { candidate.material.word() };
        let (frame, cement) = (modulus(word)?.middle(), modulus("resin_cement")?);
        let cement = world.triangular("strength/resin_cement/youngs_modulus", cement.low, cement.middle(), cement.high);
        let film = world.between("strength/wing/cement", 0.03, 0.15);
        let moment = bending(case, candidate, catalogue)?.moment().ok()?.abs();
        // One wing bears the whole bite, two wings half of it each.
        let force = if candidate.construct == Construct::OneWing { 1.0 } else { 0.5 };
        let edge = |thickness: f64, k: usize| {
            let layer = 1000.0 * cement.get(k) / film.get(k);
            let strip = Strip { length: WING.0, width: WING.1, thickness, modulus: 1000.0 * frame, layer };
            peel(&strip, &Pull { force, moment }).map_or(f64::NAN, |p| p.edge())
        };
        let ratio = |a: f64, b: f64| Draws::from_fn(world.draws(), |k| edge(a, k) / edge(b, k));
        let (over_studies, thicker) = (ratio(planned, least * STUDIES.0), ratio(planned + MORE, planned));
        (over_studies.is_finite() && thicker.is_finite()).then_some(Self {
            over_studies,
            thicker,
            thickness: planned,
            provenance,
        })
    }

    /// In a sentence.
    pub(crate) fn sentence(&self) -> String {
        let ratio = self.over_studies.interval();
        format!(
            "peel at the edge of a wing of {} mm is {:.2} ({:.2} to {:.2}) times that of the studies' wings; {MORE} mm more would take {:.0} % off (compared only: what a bond bears is not known, and no odds are moved by it)",
            self.thickness,
            ratio.median,
            ratio.low,
            ratio.high,
            100.0 * (1.0 - self.thicker.mean())
        )
    }
}
