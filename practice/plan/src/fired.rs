//! What firing leaves in a veneer: stress of a closed shell of framework and veneer that froze together at the veneer's glass transition.
//!
//! `strength::cooling`, held flat since a crown's closed form hardly bends; thicknesses as planned, expansion, modulus and glass transition by class. It moves no odds: chips are counted in patients, and what
//! a pair of materials does to them was not found apart from its classes. Limits: instant freezing; quick cooling and thick veneers add tension inside that is not computed.

use crate::planned::Planned;
use answer::{Draws, Provenance};
use catalogue::words::Material;
use strength::cooling::{Curving, Layer, cooled};

/// Room, degrees Celsius.
const ROOM: f64 = 25.0;

/// Stress left in the veneer, MPa, tension positive, per draw of a pair of such materials.
pub(crate) struct Fired {
    pub(crate) stress: Draws,
    pub(crate) provenance: Provenance,
}

impl Fired {
    /// Of a layered option; `None` for one body, or where a figure is lacking.
    pub(crate) fn of(planned: Planned) -> Option<Self> {
        let Planned { world, candidate, dimensions, catalogue, .. } = planned;
        let thick = [dimensions.working("core_thickness")?, dimensions.working("veneer_thickness")?];
        let (core, veneer) = pair(candidate.material)?;
        let mut provenance = Provenance::default();
        let mut fact = |word: &str, quantity: &str| {
            let fact = match quantity {
                "glass_transition" => &catalogue.mechanical(word, quantity).first()?.fact,
                _ => catalogue.class_value(word, quantity)?,
            };
            fact.sources.iter().for_each(|s| provenance.add(s.clone(), fact.basis));
            let f = fact.figure;
            Some(world.triangular(&format!("strength/{word}/{quantity}"), f.low, f.middle(), f.high))
        };
        let mut layer = |word: &str| {
            Some((fact(word, "youngs_modulus")?, fact(word, "poissons_ratio")?, fact(word, "thermal_expansion")?))
        };
        let layers = [layer(core)?, layer(veneer)?];
        let froze = fact(veneer, "glass_transition")?;
        let at = |k: usize| {
            let one = |i: usize| Layer {
                thickness: thick[i],
                modulus: 1000.0 * layers[i].0.get(k),
                poisson: layers[i].1.get(k),
                expansion: 1e-6 * layers[i].2.get(k),
            };
            cooled([one(0), one(1)], froze.get(k) - ROOM, Curving::Held)
        };
        at(0).ok()?;
        let stress = Draws::from_fn(world.draws(), |k| at(k).map_or(f64::NAN, |c| c.free[1]));
        Some(Self { stress, provenance })
    }

    /// In a sentence.
    pub(crate) fn sentence(&self) -> String {
        let stress = self.stress.interval();
        let tension = self.stress.map(|s| if s > 0.0 { 1.0 } else { 0.0 }).mean();
        format!(
            "firing leaves {} in the veneer ({} to {}); {:.0} of 100 pairs of such materials leave tension, which chips: ask for a matched pair and slow cooling (no odds are moved by it)",
            signed(stress.median),
            signed(stress.low),
            signed(stress.high),
            100.0 * tension
        )
    }
}

fn signed(stress: f64) -> String {
    format!("{:.0} MPa of {}", stress.abs(), if stress > 0.0 { "tension" } else { "compression" })
}

/// Words of framework and veneer in the tables.
pub(crate) fn pair(material: Material) -> Option<(&'static str, &'static str)> {
    match material {
        Material::MetalCeramic => Some(("metal", "veneer_for_metal")),
        Material::LithiumDisilicate => Some((material.word(), "veneer_for_lithium_disilicate")),
        m if m.is_zirconia() => Some((m.word(), "veneer_for_zirconia")),
        _ => None,
    }
}
