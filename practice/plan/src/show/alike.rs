//! Likeness to what stands beside it: the neighbour, the other units of the restoration, other restorations of the same smile.

use super::detail::Likeness;
use super::{Scene, list_lab};
use crate::report::{ColourAnswer, PlannedOption, Report};
use answer::{Draws, six_figures};
use catalogue::words::Tooth;
use colour::{Lab, Limits, Metric, ciede2000, difference};
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
    /// Mean CIEDE2000 over the draws that both carry.
    pub difference: f64,
    /// Share of these draws in which half of those who look would see it (0..1).
    pub seen: f64,
}

/// How alike the options named (or, without a name, those that come first) of several plans look beside each other. The plans must
/// have been made with the same seed: draw by draw they then share laboratory, observer and media. Units of one plan are compared
/// in its own answers. Rests on the 25 draws a report carries: chances to about 0.1.
pub fn smile(reports: &[(&Report, Option<&str>)]) -> Vec<SmileMatch> {
    let units: Vec<(usize, String, &ColourAnswer)> = reports
        .iter()
        .enumerate()
        .filter_map(|(i, (report, id))| Some((i, report, chosen(report, *id)?)))
        .flat_map(|(i, report, option)| {
            option.colour.iter().map(move |c| (i, format!("{} {}", report.case, c.tooth.code()), c))
        })
        .collect();
    let mut list = Vec::new();
    for (n, (i, one, a)) in units.iter().enumerate() {
        for (_, other, b) in units[n + 1..].iter().filter(|(j, _, _)| j != i) {
            let draws = a.predicted_draws.len().min(b.predicted_draws.len());
            if draws > 0 {
                let d = Draws::from_fn(draws, |k| {
                    ciede2000(list_lab(a.predicted_draws[k]), list_lab(b.predicted_draws[k]))
                });
                list.push(SmileMatch {
                    one: one.clone(),
                    other: other.clone(),
                    difference: six_figures(d.mean()),
                    seen: six_figures(d.share(|d| d > Limits::BENCH.seen)),
                });
            }
        }
    }
    list
}

fn chosen<'a>(report: &'a Report, id: Option<&str>) -> Option<&'a PlannedOption> {
    match id {
        Some(id) => report.options.iter().find(|o| o.id == id),
        None => report.options.first(),
    }
}
