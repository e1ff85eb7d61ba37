//! Tension around the margin of a crown, were its walls to wedge on the stump under the bite, against the tension of its chewing wall.
//!
//! `strength::rim`: a ring of the margin's working thickness around the average neck of the tooth, the pressure even over the walls' height. How much of a bite the walls bear by wedging no source tells: 0.05 to 0.5 of
//! it, with friction 0.1 to 0.4, converging by what was measured or 6 to 20 degrees in all (common practice, no source). It moves no odds: studies count fractures wherever they begin.

use crate::mechanics::StressPerNewton;
use crate::planned::Planned;
use answer::{Basis, Draws, Provenance};
use catalogue::words::Construct;
use strength::{Rim, rim_spectrum};

/// Height of walls in contact where none was measured, mm (common practice, no source).
const WALLS: f64 = 4.0;

/// Equivalent stress around the margin over that of the chewing wall.
pub(crate) struct Margin {
    pub(crate) over_wall: Draws,
    pub(crate) provenance: Provenance,
}

impl Margin {
    /// Of a crown with a brittle chewing wall; `None` for all else.
    pub(crate) fn of(planned: Planned, stress: Option<&StressPerNewton>) -> Option<Self> {
        let Planned { world, case, candidate, dimensions, catalogue } = planned;
        let stress = stress.filter(|_| candidate.construct == Construct::Crown)?;
        let tooth = case.main_tooth()?;
        let (neck, abutment) = (catalogue.tooth(tooth)?, case.abutment(tooth));
        let thickness = dimensions.working("margin")?;
        let inner_radius = 0.25 * (neck.mesiodistal_cervix_mm + neck.buccolingual_cervix_mm) - thickness;
        let rim = Rim {
            inner_radius,
            thickness,
            height: abutment.and_then(|a| a.wall_mm).unwrap_or(WALLS),
            half_angle: 0.0,
            friction: 1.0,
            share: 1.0,
        };
        // All stresses go with the share borne by wedging over the wedge's slope.
        let table = rim_spectrum(&rim).ok()?.table();
        let share = world.between("strength/margin/wedged", 0.05, 0.5);
        let friction = world.between("strength/margin/friction", 0.1, 0.4);
        let angle = match abutment.and_then(|a| a.convergence_degrees) {
            Some(degrees) => Draws::constant(world.draws(), degrees),
            None => world.between("strength/margin/convergence", 6.0, 20.0),
        };
        let over_wall = Draws::from_fn(world.draws(), |k| {
            let slope = (0.5 * angle.get(k)).to_radians().tan() + friction.get(k);
            let ln_rim = table.ln_equivalent(stress.m.get(k).clamp(2.0, 79.0)) + (share.get(k) / slope).ln();
            (ln_rim - stress.case.get(k)).exp()
        });
        let provenance = Provenance::of("common_practice", Basis::CommonPractice);
        over_wall.is_finite().then_some(Self { over_wall, provenance })
    }

    /// In a sentence.
    pub(crate) fn sentence(&self) -> String {
        let ratio = self.over_wall.interval();
        let where_it_begins = if ratio.low > 1.0 {
            "a crack would begin at the margin: a thicker margin helps more than a thicker chewing wall"
        } else if ratio.high < 1.0 {
            "a crack would begin under the bite"
        } else {
            "a crack may begin under the bite or at the margin, by how the crown seats"
        };
        format!(
            "were its walls to wedge, tension around the margin would be {:.2} ({:.2} to {:.2}) times that under the bite: {where_it_begins} (no odds are moved by it)",
            ratio.median, ratio.low, ratio.high
        )
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::candidates::candidates;
    use crate::dimensions::Dimensions;
    use crate::mechanics::{Bodies, stress};
    use answer::World;
    use case::Case;
    use catalogue::Catalogue;

    /// Of a zirconia crown on a molar with walls of a height.
    fn margin(walls: f64) -> Draws {
        let (mut case, _) = Case::parse("case", include_str!("../../../examples/cracked-molar.toml")).unwrap();
        case.abutments.iter_mut().for_each(|a| a.wall_mm = Some(walls));
        let (catalogue, world) = (Catalogue::shipped().unwrap(), World::with_draws(1, 64));
        let crown =
            candidates(&case, &catalogue).into_iter().find(|c| c.id() == "crown.zirconia_3y.monolithic").unwrap();
        let dimensions = Dimensions::of(&case, &crown, &catalogue);
        let planned =
            Planned { world: &world, case: &case, candidate: &crown, dimensions: &dimensions, catalogue: &catalogue };
        let wall = stress(planned, &Bodies::default()).unwrap();
        Margin::of(planned, Some(&wall)).unwrap().over_wall
    }

    /// The same wedging spread over twice the height is half the pressure on twice the area: s_W falls by a factor 2^(1/m - 1).
    #[test]
    fn higher_walls_spread_the_wedging() {
        let [low, high] = [3.0, 6.0].map(margin);
        assert!(low.iter().zip(high.iter()).all(|(l, h)| (0.5..0.75).contains(&(h / l))), "{low:?} {high:?}");
    }
}
