//! A retainer: the wanted outer form less the stump less the cement gap, above the finish line.
//!
//! One formula serves crowns, partial crowns, veneers and wings: what is not prepared has no room, so that nothing is built there. The gap is
//! nothing at the finish line and full a millimetre above it, so that the margin closes. Pieces thinner than 0.12 mm are not built.

use crate::Needs;
use crate::body::{Formula, LatticeBody, Part};
use crate::parts::ToothParts;
use crate::preparation::{Design, Preparation};
use shape::{Aabb, Field, Frustum, ShapeError, Solid};
use std::sync::Arc;

/// Height over which the cement gap grows to its width, mm.
const GAP_GROWS_OVER: f64 = 1.0;
/// Thinnest piece that is built, mm.
const THINNEST: f64 = 0.12;

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
fn opened(body: Formula, cell: f64) -> Result<Part, ShapeError> {
    let bound = body.bound();
    let field = Field::of_columns(&bound, cell, |_, _| (), |(), p| body.distance(p))?.redistanced();
    let half = 0.5 * THINNEST;
    let core = field.map(|n, _| field.values()[n] + half);
    if core.values().iter().all(|v| *v > 0.0) {
        return Err(ShapeError::Empty);
    }
    let core = LatticeBody::new(&core, bound);
    let grown = move |p: [f64; 3]| body.distance(p).max(core.distance(p) - half - cell);
    Ok(Arc::new(Formula::new(bound, grown)))
}

/// A preparation for an endocrown: the crown cut to a butt `height` mm above the enamel's edge, with a recess `depth` mm into the pulp
/// chamber whose walls open by `opening` degrees each.
///
/// # Errors
/// Measures that cannot be.
pub fn endocrown_preparation(
    parts: &ToothParts,
    height: f64,
    depth: f64,
    opening: f64,
    cell: f64,
) -> Result<Preparation, ShapeError> {
    for (quantity, found, range) in [
        ("height of the butt", height, 0.5..=8.0),
        ("depth of the recess", depth, 0.5..=8.0),
        ("opening", opening, 1.0..=20.0),
    ] {
        if !range.contains(&found) {
            return Err(ShapeError::OutOfRange { quantity, found, expected: "0.5 to 8 mm, 1 to 20 degrees" });
        }
    }
    let needs = Needs { occlusal: (parts.form.size().crown_height - height).clamp(0.5, 6.0), ..Needs::default() };
    let design = Design { needs, finish: 0.0, ..Design::default() };
    let mut made = Preparation::of(parts, &design, cell)?;
    let (form, chamber) = (parts.form.clone(), crate::parts::chamber(&parts.form, 40.0));
    let (floor, slope) = (height - depth, opening.to_radians().tan());
    let flat = move |p: [f64; 3]| p[2] - height;
    // The recess: the chamber's section at its floor, opening upwards.
    let recess = move |p: [f64; 3]| {
        let section = chamber.field(&form, [p[0], p[1], floor.clamp(-2.0, chamber.roof - 0.1)]);
        (section - (p[2] - floor).max(0.0) * slope).max(floor - p[2])
    };
    let outer = parts.outer.clone();
    let bound = parts.outer.bound();
    let stump = Formula::new(bound, move |p| outer.distance(p).max(flat(p)).max(-recess(p)));
    let stump = Arc::new(LatticeBody::of(&stump, cell)?);
    made.stump = stump.clone();
    made.lattice = stump;
    Ok(made)
}

/// An abutment on an implant, mm and degrees: a cone with a shoulder that follows the gum line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Abutment {
    /// Radius of the cone at the shoulder.
    pub radius: f64,
    /// Height of the cone above the shoulder.
    pub height: f64,
    /// Total convergence.
    pub convergence: f64,
    /// Width of the shoulder.
    pub shoulder: f64,
    /// Height of the shoulder above the enamel's edge of the tooth that stood there.
    pub level: f64,
    /// Radius of the screw's channel through the crown; 0 for a cemented crown.
    pub channel: f64,
}

impl Default for Abutment {
    /// Middle measures (common practice, no source).
    fn default() -> Self {
        Self { radius: 2.0, height: 4.0, convergence: 12.0, shoulder: 0.8, level: -0.5, channel: 0.0 }
    }
}

/// Crown and abutment in place of a tooth: (crown, abutment).
///
/// # Errors
/// Measures that cannot be.
pub fn implant_crown(parts: &ToothParts, abutment: &Abutment, gap: f64) -> Result<(Part, Part), ShapeError> {
    let Abutment { radius, height, convergence, shoulder, level, channel } = *abutment;
    let top = radius - height * (0.5 * convergence).to_radians().tan();
    let cone = Frustum::new([0.0, 0.0, level + 0.5 * height], radius, top, height)?;
    let foot = Frustum::new([0.0, 0.0, level - 1.5], 0.8 * (radius + shoulder), radius + shoulder, 3.0)?;
    let whole = shape::Union::new(cone, foot, 0.0)?;
    let body: Part = Arc::new(whole);
    let (outer, stump, form) = (parts.outer.clone(), body.clone(), parts.form.clone());
    let mut bound = outer.bound();
    bound.low[2] = level;
    let tall = form.size().crown_height;
    let crown = Formula::new(bound, move |p| {
        let solid = outer.distance(p).max(gap - stump.distance(p)).max(level - p[2]);
        if channel > 0.0 { solid.max((channel - p[0].hypot(p[1])).min(p[2] + tall)) } else { solid }
    });
    Ok((Arc::new(crown), body))
}
