//! Likeness to what stands beside it: the neighbour, the other units of the restoration, other restorations of the same smile.

use super::detail::Likeness;
use super::{Scene, Shown};
use answer::{Draws, Interval, six_figures};
use catalogue::words::Tooth;
use colour::{Lab, Metric, difference};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

impl Scene {
    /// Likeness of one unit to another colour, chances weighted by how visible the place is.
    pub(super) fn likeness(&self, beside: String, seen: &[Lab], other: &[Lab], weight: f64) -> Likeness {
        let [bench, mouth] = self.judge.chances(seen, other, &self.world);
        Likeness {
            beside,
            difference: difference(seen, other, Metric::Ciede2000).interval().rounded(),
            seen: six_figures(0.5 * (bench.seen + mouth.seen) * weight),
        }
    }

    /// Likeness of each unit to each other one, and of all to a pontic, which stands over nothing.
    pub(super) fn between_units(
        &self,
        units: &[(Tooth, Vec<Lab>)],
        pontic: Option<&[Lab]>,
        weight: f64,
    ) -> Vec<Vec<Likeness>> {
        units
            .iter()
            .map(|(tooth, seen)| {
                let others = units.iter().filter(|(t, _)| t != tooth);
                let mut list: Vec<Likeness> =
                    others.map(|(t, other)| self.likeness(format!("unit {}", t.code()), seen, other, weight)).collect();
                list.extend(pontic.map(|p| self.likeness("the pontic".to_owned(), seen, p, weight)));
                list
            })
            .collect()
    }
}

/// Likeness of two restorations planned for one smile.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SmileMatch {
    /// Name of the one case and its unit.
    pub one: String,
    /// Name of the other case and its unit.
    pub other: String,
    /// CIEDE2000 between the two.
    pub difference: Interval,
    /// Seen side by side, mean of bench and mouth, weighted by the less visible of the two places (0..1).
    pub seen: f64,
}

/// How alike two options of two cases look beside each other, unit by unit, and the share of the two settings that would refuse the
/// worst difference, per draw, weighted by the less visible place (`None` where one has no unit that is seen). Both must have been
/// computed with the same seed: draw by draw they then share laboratory, observer and media.
pub(crate) fn beside(scene: &Scene, one: (&str, &Shown), other: (&str, &Shown)) -> (Vec<SmileMatch>, Option<Draws>) {
    let weight = one.1.visibility.min(other.1.visibility);
    let (mut list, mut worst): (_, Option<Draws>) = (Vec::new(), None);
    for (tooth, seen) in &one.1.units {
        for (beside, with) in &other.1.units {
            let likeness = scene.likeness(String::new(), seen, with, weight);
            list.push(SmileMatch {
                one: format!("{} {}", one.0, tooth.code()),
                other: format!("{} {}", other.0, beside.code()),
                difference: likeness.difference,
                seen: likeness.seen,
            });
            let refused = scene.judge.refused(seen, with, &scene.world).scaled(weight);
            worst = Some(worst.map_or(refused.clone(), |w| w.zip(&refused, f64::max)));
        }
    }
    (list, worst)
}
