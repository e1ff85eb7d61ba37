//! A retainer: the wanted outer form less the stump less the cement gap, above the finish line.
//!
//! One formula serves crowns, partial crowns, veneers and wings: what is not prepared has no room, so that nothing is built there. The gap is
//! nothing at the finish line and full a millimetre above it, so that the margin closes. Pieces thinner than 0.12 mm are not built.

use crate::body::{Formula, LatticeBody, Part, sampled};
use crate::parts::ToothParts;
use crate::preparation::Preparation;
use shape::{Aabb, ShapeError, Solid};
use std::sync::Arc;

/// Height over which the cement gap grows to its width, mm.
pub(crate) const GAP_GROWS_OVER: f64 = 1.0;
/// Thinnest piece that is built, mm.
pub(crate) const THINNEST: f64 = 0.12;

/// The restoration that fills the room of a preparation; `gap` is the cement's width, mm (0 to 0.5).
///
/// # Errors
/// A gap that cannot be.
pub fn retainer(preparation: &Preparation, parts: &ToothParts, gap: f64) -> Result<Part, ShapeError> {
    if !(0.0..=0.5).contains(&gap) {
        return Err(ShapeError::OutOfRange { quantity: "cement gap", found: gap, expected: "0 to 0.5 mm" });
    }
    let (stump, wanted, form) = (preparation.stump.clone(), preparation.wanted.clone(), parts.form.clone());
    let finish = preparation.design.finish;
    let whole = wanted.bound();
    let bound = Aabb { low: [whole.low[0], whole.low[1], finish.min(0.0)], high: whole.high };
    let formula = move |p: [f64; 3]| {
        let over = p[2] - form.enamel_edge(p[0]) - finish;
        let here = gap * (over / GAP_GROWS_OVER).clamp(0.0, 1.0);
        wanted.distance(p).max(here - stump.distance(p)).max(-over)
    };
    opened(Formula::new(bound, formula), preparation.lattice.field().cell())
}

/// A body without pieces thinner than [`THINNEST`]: shrunk on a lattice, what vanished is left out, grown back.
pub(super) fn opened(body: Formula, cell: f64) -> Result<Part, ShapeError> {
    let bound = body.bound();
    let field = sampled(&body, cell)?.redistanced();
    let half = 0.5 * THINNEST;
    let core = field.map(|n, _| field.values()[n] + half);
    if core.values().iter().all(|v| *v > 0.0) {
        return Err(ShapeError::Empty);
    }
    let core = LatticeBody::new(&core, bound);
    let grown = move |p: [f64; 3]| body.distance(p).max(core.distance(p) - half - cell);
    Ok(Arc::new(Formula::new(bound, grown)))
}
