//! From where the bite comes: its lean off the teeth's axes, and where on the restoration it lands.
//!
//! Back teeth are bitten along their axes within 15 degrees (common practice, no source); where the restoration itself guides the jaw sideways, within 30. Front teeth meet at the
//! angle between incisors of `data/loads.csv` (125 to 140 degrees, from memory), 40 to 55 degrees off the axis. An edge-to-edge bite is not told apart and
//! lowers nothing: the relation of the jaws never does. The studies' patients are taken at the usual lean of the region.
//!
//! A force leaning by t towards cheek or tongue bends an elliptic neck both ways; the two greatest stresses of an ellipse combine to
//! s = s_upright sqrt(cos^2 t + (sin t h/w)^2), h the height and w the width (beam theory; W = pi w h^2/32 and pi h w^2/32). So height comes first at back teeth, and
//! at front teeth width counts as well. The worst place of the bite on a unit is the middle of the pontic; bites on retainers bend the neck less
//! ([`places`]) and are not counted, which is on the safe side. Incisal edges, walls of single crowns: the lean is not computed.

use answer::{Draws, Provenance, World};
use case::Case;
use case::words::Guidance;
use catalogue::Catalogue;
use catalogue::words::Region;
use strength::{Bending, StrengthError};

/// How far teeth hold the ends of a beam between them against turning: 0 not at all, 1 as if built in. A tooth in the springs of [`crate::surfaces::SPRINGS`] turns under 7,000 N mm by a radian, a
/// bar of zirconia 3.4 mm thick and 18 mm long under 150,000: 0.045; of lithium disilicate 0.09.
pub(crate) const FIXITY: f64 = 0.05;

/// Lean of the bite off the axis, degrees, per draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Lean {
    /// In the studies.
    pub reference: Draws,
    /// In the case.
    pub case: Draws,
}

impl Lean {
    /// Of a case.
    pub fn of(world: &World, case: &Case, catalogue: &Catalogue, provenance: &mut Provenance) -> Self {
        let reference = match case.region() {
            Region::Posterior => world.between("load/lean/posterior", 0.0, 15.0),
            Region::Anterior => {
                let row = catalogue.loads("incisal_force_direction").next();
                let (low, high) = row.map_or((125.0, 140.0), |l| (l.fact.figure.low, l.fact.figure.high));
                if let Some(l) = row {
                    l.fact.sources.iter().for_each(|s| provenance.add(s.clone(), l.fact.basis));
                }
                world.between("load/lean/anterior", 180.0 - high, 180.0 - low)
            }
        };
        let guiding = case.mouth.guidance == Some(Guidance::Restoration);
        let case = if guiding && case.region() == Region::Posterior {
            world.between("load/lean/guiding", 0.0, 30.0).zip(&reference, f64::max)
        } else {
            reference.clone()
        };
        Self { reference, case }
    }
}

/// ln of what a lean does to the stress of an elliptic neck, per draw.
pub fn leaning(lean: &Draws, height: f64, width: f64) -> Draws {
    let ratio = height / width.max(1e-9);
    lean.map(|degrees| {
        let (sine, cosine) = degrees.to_radians().sin_cos();
        0.5 * (cosine * cosine + (sine * ratio).powi(2)).ln()
    })
}

/// Places of the bite on a unit of one gap, and the moment each gives at the neck beside the first retainer, N mm per N.
///
/// # Errors
/// Widths that are none.
pub fn places(first: f64, gap: f64, last: f64, fixity: f64) -> Result<Vec<(&'static str, f64)>, StrengthError> {
    let span = 0.5 * first + gap + 0.5 * last;
    let at = 0.5 * first;
    let moment = |load_at: f64| Bending::Span { span, load_at, at, fixity }.moment();
    Ok(vec![
        ("middle of the pontic", moment(at + 0.5 * gap)?),
        ("pontic beside the first retainer", moment(at + 0.15 * gap)?),
        ("pontic beside the second retainer", moment(at + 0.85 * gap)?),
        ("first retainer", moment(0.5 * at)?),
        ("second retainer", moment(span - 0.25 * last)?),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_the_pontic_is_the_worst_place() {
        for (first, gap, last) in [(7.0, 7.0, 10.0), (10.0, 11.0, 10.0), (8.0, 5.0, 7.0)] {
            let all = places(first, gap, last, 0.5).unwrap();
            let worst = all.iter().map(|p| p.1.abs()).fold(0.0, f64::max);
            assert!(all[..2].iter().any(|p| p.1.abs() == worst), "{all:?}");
            assert!(all[3..].iter().all(|p| p.1.abs() < all[0].1.abs()), "{all:?}");
        }
    }

    #[test]
    fn a_leaning_bite_asks_for_width_and_an_upright_one_for_height() {
        let lean = Draws::constant(4, 45.0);
        let (high, wide) = (leaning(&lean, 5.0, 3.0).get(0), leaning(&lean, 3.0, 5.0).get(0));
        assert!(high > 0.0 && wide < 0.0);
        let upright = Draws::constant(4, 0.0);
        assert!(leaning(&upright, 5.0, 3.0).get(0).abs() < 1e-12);
        // Round necks bear it the same from all sides.
        assert!(leaning(&lean, 4.0, 4.0).get(0).abs() < 1e-12);
    }
}
