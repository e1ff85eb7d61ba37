//! The bodies of a unit made one by connectors, and its necks measured as built.
//!
//! Teeth are the dear part of a unit and do not depend on its connectors, so that one [`Unjoined`] serves several sizes of them.

use crate::arch::Arch;
use crate::body::{LatticeBody, Part};
use crate::built::Connector;
use crate::unit::{BuiltConnector, Role, Unit, UnitError, UnitPart};
use catalogue::words::Tooth;
use rayon::prelude::*;
use shape::{Plane, Solid, smallest_section};
use std::collections::BTreeMap;

/// Lattice that necks are measured on, mm.
const NECK_CELL: f64 = 0.2;

/// A unit before its connectors.
pub struct Unjoined {
    /// All but the framework.
    pub(crate) unit: Unit,
    /// Bodies of the framework in their order.
    pub(crate) bodies: Vec<(Tooth, Part)>,
    /// Where neighbours meet; none where bodies stay single.
    pub(crate) contacts: Vec<Contact>,
}

/// Where a connector runs.
pub(crate) struct Contact {
    teeth: [Tooth; 2],
    /// Its ends, inside either neighbour.
    from: [f64; 3],
    to: [f64; 3],
}

/// What is up in the jaw.
const UP: [f64; 3] = [0.0, 0.0, 1.0];

impl Contact {
    pub(crate) fn of_all(arch: &Arch, teeth: &[Tooth], forms: &BTreeMap<Tooth, crate::ToothForm>) -> Vec<Self> {
        let pairs = teeth.windows(2).map(|pair| [pair[0], pair[1]]);
        pairs.map(|teeth| Self::of(arch, teeth, forms)).collect()
    }

    fn of(arch: &Arch, teeth: [Tooth; 2], forms: &BTreeMap<Tooth, crate::ToothForm>) -> Self {
        let inside = |tooth: Tooth, other: Tooth| {
            let (Some(form), Some(seat)) = (forms.get(&tooth), arch.seat(tooth)) else { return [0.0; 3] };
            let lower =
                teeth.iter().filter_map(|t| forms.get(t)).map(|f| f.size().crown_height).fold(f64::INFINITY, f64::min);
            let z = form.size().crown_height - 0.45 * lower;
            let middle = seat.place([0.0, form.axis(z), z]);
            let Some(there) = arch.seat(other).map(|s| s.place([0.0, 0.0, z])) else { return middle };
            let half = 0.5 * form.size().mesiodistal;
            let way = (0..2).map(|a| (there[a] - middle[a]).powi(2)).sum::<f64>().sqrt().max(1e-9);
            // 1.2 mm inside the proximal surface.
            let share = (half - 1.2) / way;
            [middle[0] + share * (there[0] - middle[0]), middle[1] + share * (there[1] - middle[1]), middle[2]]
        };
        Self { teeth, from: inside(teeth[0], teeth[1]), to: inside(teeth[1], teeth[0]) }
    }

    /// The smallest section of a united body between the two; in words, why there is none.
    fn measured(&self, whole: &dyn Solid, connector: &Connector) -> Result<BuiltConnector, String> {
        let Self { teeth, from, to } = *self;
        let untold =
            |e: &dyn std::fmt::Display| format!("the connector {}-{} could not be measured: {e}", teeth[0], teeth[1]);
        let reach = 3.0 * connector.height.max(connector.width);
        let middle: [f64; 3] = std::array::from_fn(|a| 0.5 * (from[a] + to[a]));
        // Only the neck between the two: other parts of the unit lie in the same plane further off.
        let neck = LatticeBody::of(&Near { whole, middle, reach: 0.5 * reach }, NECK_CELL).map_err(|e| untold(&e))?;
        let inner = |t: f64| -> [f64; 3] { std::array::from_fn(|a| middle[a] + t * (to[a] - from[a])) };
        let found =
            smallest_section(&[inner(-0.3), inner(0.3)], UP, 0.2, |s| s.area, |p: &Plane| shape::section(&neck, p));
        found.map(|s| BuiltConnector { teeth, section: s.section }).map_err(|e| untold(&e))
    }
}

impl Unjoined {
    /// The unit with neighbours united by connectors, or as single bodies where nothing is missing.
    ///
    /// # Errors
    /// As [`Connector::join`].
    pub fn joined(&self, connector: &Connector) -> Result<Unit, UnitError> {
        let mut unit = self.unit.clone();
        if self.contacts.is_empty() {
            let single = |(tooth, solid): &(Tooth, Part)| UnitPart {
                role: Role::Framework,
                tooth: Some(*tooth),
                solid: solid.clone(),
            };
            unit.parts.extend(self.bodies.iter().map(single));
            return Ok(unit);
        }
        let mut whole = self.bodies[0].1.clone();
        for (contact, (_, other)) in self.contacts.iter().zip(&self.bodies[1..]) {
            whole = connector.join(whole, other.clone(), contact.from, contact.to, UP)?;
        }
        let measured: Vec<_> = self.contacts.par_iter().map(|c| c.measured(&whole, connector)).collect();
        for one in measured {
            match one {
                Ok(found) => unit.connectors.push(found),
                Err(why) => unit.remarks.push(why),
            }
        }
        unit.parts.push(UnitPart { role: Role::Framework, tooth: None, solid: whole });
        Ok(unit)
    }
}

/// A body within a ball.
struct Near<'a> {
    whole: &'a dyn Solid,
    middle: [f64; 3],
    reach: f64,
}

impl Solid for Near<'_> {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let off = (0..3).map(|a| (p[a] - self.middle[a]).powi(2)).sum::<f64>().sqrt() - self.reach;
        if off > 0.5 { off } else { self.whole.distance(p).max(off) }
    }

    fn bound(&self) -> shape::Aabb {
        let (low, high) = (self.middle.map(|m| m - self.reach), self.middle.map(|m| m + self.reach));
        shape::Aabb { low, high }
    }
}
