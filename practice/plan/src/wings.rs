//! Peel at the edge of a wing beside the pontic, against that of the studies' wings. Relative only: what peel a bond bears for years is not known.
//!
//! `strength::peel`: the wing a strip of its working thickness on the cement's springs, pulled off by a bite on the middle of the pontic. The studies' wings are taken at the tested minimum x 1.15, as all their
//! dimensions are. Under the same bite peel goes as the thickness to the power -3/4 to -3/2 and hardly with the cement. It moves no odds: how often wings come off is counted in patients.

use crate::mechanics::{STUDIES, bending};
use crate::planned::Planned;
use answer::{Basis, Draws, Provenance};
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
    pub(crate) fn of(planned: Planned) -> Option<Self> {
        let Planned { world, case, candidate, dimensions, catalogue } = planned;
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::candidates::candidates;
    use crate::dimensions::Dimensions;
    use answer::World;
    use case::Case;
    use catalogue::Catalogue;

    /// Of one zirconia wing, as thick as said of its tested minimum.
    fn wings(thickness: impl Fn(f64) -> f64) -> Wings {
        let (case, _) = Case::parse("case", include_str!("../../../examples/lost-lower-incisor.toml")).unwrap();
        let catalogue = Catalogue::shipped().unwrap();
        let candidate = candidates(&case, &catalogue)
            .into_iter()
            .find(|c| c.construct == Construct::OneWing && c.material.word() == "zirconia_3y")
            .unwrap();
        let planned = Dimensions::of(&case, &candidate, &catalogue);
        let thickness = thickness(planned.minimum("wing_thickness").unwrap());
        let dimensions = planned.with_working("wing_thickness", thickness);
        let world = World::with_draws(1, 64);
        let planned = Planned {
            world: &world,
            case: &case,
            candidate: &candidate,
            dimensions: &dimensions,
            catalogue: &catalogue,
        };
        Wings::of(planned).unwrap()
    }

    #[test]
    fn a_thicker_wing_peels_less_between_the_two_powers() {
        let [thin, thick] = [0.6, 0.9].map(|t| wings(|_| t).over_studies);
        for (a, b) in thin.iter().zip(thick.iter()) {
            let power = (b / a).ln() / 1.5f64.ln();
            assert!((-1.5..=-0.75).contains(&power), "{power}");
        }
    }

    #[test]
    fn a_wing_of_the_studies_own_size_peels_as_theirs() {
        let own = wings(|least| least * STUDIES.0);
        assert!(own.over_studies.iter().all(|r| (r - 1.0).abs() < 1e-12));
        assert!(own.thicker.iter().all(|t| (0.5..1.0).contains(&t)));
        assert!(own.sentence().contains("no odds are moved"));
    }
}
