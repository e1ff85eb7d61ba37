//! One average tooth taken apart: dentine core, enamel cap, pulp chamber and root stub as solids beside the outer form.
//!
//! With d the distance to the outer surface (below 0 inside) and t the enamel over a place, dentine is d + t < 0 and enamel what lies outside it.
//! t is blended between the axial and the occlusal thickness by the direction of the nearest surface and runs out to nothing over the last
//! half millimetre at the enamel's edge. The pulp is the chamber at an age, kept at least 0.3 mm inside the outer surface.

use crate::body::{LatticeBody, Part};
use crate::chamber::Chamber;
use crate::cut_measures::volume_above_edge;
use crate::enamel::EnamelForm;
use crate::form::ToothForm;
use crate::pulp::{self, PulpWalls};
use crate::standing::CHAMBER_HEIGHT;
use shape::{Field, ShapeError, Solid};
use std::sync::Arc;

/// Least hard tissue left around a drawn pulp, mm (common practice, no source).
const LEAST_WALL: f64 = 0.3;

/// A tooth's parts, all in the tooth's frame.
#[derive(Clone)]
pub struct ToothParts {
    /// Everything: crown and root stub.
    pub outer: Arc<LatticeBody>,
    /// What lies under the enamel: dentine with the pulp inside it.
    pub core: Arc<LatticeBody>,
    /// Dentine alone.
    pub dentine: Part,
    /// Enamel cap.
    pub enamel: Part,
    /// Pulp chamber with the canal's beginning.
    pub pulp: Arc<LatticeBody>,
    /// The outer form it was made from.
    pub form: ToothForm,
}

impl ToothParts {
    /// Parts of a tooth at an age (years), on a lattice of `cell` mm.
    ///
    /// # Errors
    /// A cell too coarse or too fine for the form.
    pub fn new(form: &ToothForm, age: f64, cell: f64) -> Result<Self, ShapeError> {
        let bound = form.bound();
        let outer = Field::of_columns(&bound, cell, |x, y| form.top(x, y), |top, p| form.field(p, *top))?;
        let outer = LatticeBody::new(&outer, bound);
        let enamel = EnamelForm::of(form);
        let d = outer.field();
        let chamber = chamber(form, age);
        let core = || d.map(|n, p| d.values()[n] + enamel.cap(form, d.node_gradient(n), p));
        let pulp = || d.map(|n, p| chamber.field(form, p).max(d.values()[n] + LEAST_WALL));
        let (core, pulp) = rayon::join(|| LatticeBody::new(&core(), bound), || LatticeBody::new(&pulp(), bound));
        let (core, pulp) = (Arc::new(core), Arc::new(pulp));
        let outer = Arc::new(outer);
        Ok(Self {
            dentine: Arc::new(shape::Difference::new(core.clone(), pulp.clone())),
            enamel: Arc::new(shape::Difference::new(outer.clone(), core.clone())),
            outer,
            core,
            pulp,
            form: form.clone(),
        })
    }

    /// Volumes of enamel, dentine and pulp above the enamel's edge, mm3.
    pub fn volumes(&self) -> [f64; 3] {
        let [outer, core, pulp] = [&self.outer, &self.core, &self.pulp].map(|b| volume_above_edge(b, self));
        [outer - core, core - pulp, pulp]
    }
}

/// The average pulp of a tooth at an age, years.
pub(crate) fn chamber(form: &ToothForm, age: f64) -> Chamber {
    let walls = PulpWalls::of(form.tooth());
    let shrink = pulp::age_factor(form.tooth().jaw(), age);
    let to_pulp = walls.occlusal.0 + CHAMBER_HEIGHT * (1.0 - shrink);
    Chamber::new(form, &walls, form.size().crown_height - form.fossa_depth(), to_pulp, shrink)
}

#[cfg(test)]
mod tests {
    use super::*;
    use catalogue::Catalogue;
    use catalogue::words::Tooth;

    #[test]
    fn parts_add_up_and_lie_within_one_another() {
        let catalogue = Catalogue::shipped().unwrap();
        for code in [11, 13, 25, 36] {
            let form = ToothForm::of(&catalogue, Tooth::new(code).unwrap()).unwrap();
            let parts = ToothParts::new(&form, 40.0, 0.3).unwrap();
            let [enamel, dentine, pulp] = parts.volumes();
            assert!(enamel > 0.0 && dentine > 0.0 && pulp > 0.0, "{code}: {enamel} {dentine} {pulp}");
            // Every place is in one part: sum of the solids' indicators against the outer form at places off the lattice.
            for i in 0..2000usize {
                let h = |k: f64| ((i as f64 + 1.0) * k).fract();
                let b = form.bound();
                let size = b.size();
                let p: [f64; 3] = std::array::from_fn(|a| b.low[a] + size[a] * h([0.754_877, 0.569_84, 0.438_14][a]));
                let within = [&parts.enamel, &parts.dentine].map(|s| s.distance(p) < 0.0);
                let pulp = parts.pulp.distance(p) < 0.0;
                let inside = parts.outer.distance(p) < -1e-9;
                let count = within.iter().filter(|w| **w).count() + usize::from(pulp);
                assert!(count <= 1 || !inside || pulp, "{code}: {p:?} lies in {count} parts");
                if !inside {
                    assert!(!within[0], "{code}: enamel outside the tooth");
                }
            }
        }
    }

    #[test]
    fn a_pulp_shrinks_with_age_as_a_body_too() {
        let catalogue = Catalogue::shipped().unwrap();
        let form = ToothForm::of(&catalogue, Tooth::new(16).unwrap()).unwrap();
        let volume = |age: f64| ToothParts::new(&form, age, 0.3).unwrap().volumes()[2];
        assert!(volume(20.0) > volume(40.0) && volume(40.0) > volume(65.0));
    }
}
