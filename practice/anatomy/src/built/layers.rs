//! A restoration parted into core and veneer.
//!
//! Anatomic core: the core follows the outer form cut back by the veneer's thickness, so that the veneer is of one thickness and carried everywhere.
//! Coping: the core is a shell of one thickness over the stump, and the veneer fills the rest, thick where the form is far from the stump. Where
//! there is no room for both, the core keeps its least thickness and the veneer gets thinner. Core and veneer fill the restoration exactly.

use crate::Needs;
use crate::body::{Formula, Part};
use crate::enamel::occlusal_share;
use crate::preparation::side_shares;
use shape::Solid;
use std::sync::Arc;

/// How the core is made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Core {
    /// Cut back from the outer form by these thicknesses of veneer, mm; 0 on a surface leaves the core bare there (partly layered).
    Anatomic {
        /// Veneer by surface.
        veneer: Needs,
        /// Least thickness of the core, mm.
        least: f64,
    },
    /// A shell of one thickness over the stump, mm.
    Coping {
        /// Thickness.
        thickness: f64,
    },
}

impl Core {
    /// Below 0 in the core, above in the veneer: from the distance to the outer form, its gradient, and the distance to what it sits on.
    pub(crate) fn split(&self, wanted: f64, normal: [f64; 3], inside: f64) -> f64 {
        match self {
            Self::Coping { thickness } => inside - thickness,
            Self::Anatomic { veneer, least } => (wanted + thickness_at(veneer, normal)).min(inside - least),
        }
    }
}

/// Core and veneer of one restoration.
#[derive(Clone)]
pub struct Layers {
    /// The core.
    pub core: Part,
    /// The veneer.
    pub veneer: Part,
}

/// Parts a restoration; `wanted` is its outer form and `inside` what it sits on.
pub fn layered(restoration: &Part, wanted: &Part, inside: &Part, core: Core) -> Layers {
    let bound = restoration.bound();
    let split = {
        let (wanted, inside) = (wanted.clone(), inside.clone());
        move |p: [f64; 3]| core.split(wanted.distance(p), wanted.gradient(p), inside.distance(p))
    };
    let (whole, also) = (restoration.clone(), restoration.clone());
    let other = split.clone();
    Layers {
        core: Arc::new(Formula::new(bound, move |p| whole.distance(p).max(split(p)))),
        veneer: Arc::new(Formula::new(bound, move |p| also.distance(p).max(-other(p)))),
    }
}

fn thickness_at(veneer: &Needs, normal: [f64; 3]) -> f64 {
    let occlusal = occlusal_share(normal);
    let [facial, lingual, proximal] = side_shares(normal);
    let side = facial * veneer.facial + lingual * veneer.lingual + proximal * veneer.proximal;
    // Bare surfaces: where less than a twentieth of a millimetre is wanted none is built.
    let t = occlusal * veneer.occlusal + (1.0 - occlusal) * side;
    if t < 0.05 { -0.05 } else { t }
}
