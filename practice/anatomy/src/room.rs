//! Span of a gap and room for a connector between two teeth.
//!
//! No table of connector height by place was found for back teeth: the height runs from the papilla to the marginal ridge or
//! incisal embrasure, and papilla and embrasure are drawn wide. Front teeth: papilla 42 % of the clinical crown (Chu 2009), incisal
//! embrasure about 1.7 mm at the midline (computed from Orozco-Varo 2015, Chu 2009, Stappert 2010). A measured height replaces all this.

use crate::StandingTooth;
use answer::{Basis, Caveat, Draws, Provenance, World};
use catalogue::words::{Region, Tooth};

/// Room for a connector, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct ConnectorRoom {
    /// From papilla to embrasure.
    pub height: Draws,
    /// Towards cheek and tongue.
    pub width: Draws,
    /// Facts used.
    pub provenance: Provenance,
    /// Marks to be shown beside it.
    pub caveats: Vec<Caveat>,
}

/// Width of a gap, mm: the sum of the greatest mesiodistal widths of the teeth that stood there.
pub fn span(teeth: &[StandingTooth]) -> Option<Draws> {
    let mut widths = teeth.iter().map(StandingTooth::mesiodistal);
    let first = widths.next()?;
    Some(widths.fold(first, |sum, width| sum.plus(&width)))
}

/// Room for the connector between two neighbours, with the height measured in the mouth or on a cast, if it was, mm.
pub fn connector_room(
    world: &World,
    one: &StandingTooth,
    other: &StandingTooth,
    measured_height: Option<f64>,
) -> ConnectorRoom {
    let pair = [one.tooth(), other.tooth()];
    let mut provenance = one.provenance().clone().and(other.provenance());
    let papilla = world.between(&format!("anatomy/{}/papilla_share", name(pair)), 0.35, 0.45);
    let embrasure = world.between(&format!("anatomy/{}/embrasure", name(pair)), 0.5, 2.0);
    let share = world.between(&format!("anatomy/{}/contact_width", name(pair)), 0.3, 0.5);
    let front = pair.iter().all(|t| t.region() == Region::Anterior);
    let lower = |f: fn(&StandingTooth, usize) -> f64| Draws::from_fn(world.draws(), |k| f(one, k).min(f(other, k)));
    let ridge = lower(|tooth, k| {
        let drawn = &tooth.draws[k % tooth.draws.len()];
        drawn.height - drawn.shape.finish - 0.5 * drawn.roof
    });
    let depth = lower(|tooth, k| tooth.faciolingual(k % tooth.draws.len()));
    let height = match measured_height {
        Some(height) => Draws::constant(world.draws(), height),
        None => {
            provenance.add("chu2009", if front { Basis::Computed } else { Basis::CommonPractice });
            Draws::from_fn(world.draws(), |k| {
                (ridge.get(k) * (1.0 - papilla.get(k)) - if front { embrasure.get(k) } else { 0.25 * embrasure.get(k) })
                    .max(0.5)
            })
        }
    };
    provenance.add("common_practice", Basis::CommonPractice);
    let caveats = if measured_height.is_some() { Vec::new() } else { vec![Caveat::Measure] };
    ConnectorRoom { height, width: depth.times(&share), provenance, caveats }
}

/// Name of a place between two teeth, alike on both sides of the mouth.
fn name(pair: [Tooth; 2]) -> String {
    let mut numbers = pair.map(Tooth::number);
    numbers.sort_unstable();
    format!("{}_{}_{}", pair[0].jaw().word(), numbers[0], numbers[1])
}
