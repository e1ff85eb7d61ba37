//! What families of walls on a peg share: the peg, the planes and springs that hold them, and what is read under the contact.

use super::shapes::{PEG, Part, ROOT, block, group, half, mirror, shaped, springs};
use crate::solve::{Group, Material, ModelError, Support};
use shape::{Difference, Intersection, Offset};
use std::sync::Arc;

/// Height of the peg's top over the rim, mm.
pub(super) const PEG_HEIGHT: f64 = 4.5;
/// Springs around the peg, N/mm3.
pub(super) const SPRINGS: f64 = 300.0;
/// Poisson ratio of what is carried.
const POISSON: f64 = 0.25;
/// What is read, beyond the contact's radius, mm.
const BEYOND: f64 = 0.8;

/// A material `ratio` times as stiff as the peg.
pub(super) fn material(ratio: f64) -> Material {
    Material { young: PEG.young * ratio, poisson: POISSON }
}

/// A peg of that length and width, rounded by `round`.
pub(super) fn peg(length: f64, round: f64) -> Result<Part, ModelError> {
    block("peg", [0.0, 0.0, 0.5 * (PEG_HEIGHT - ROOT)], [length, length, PEG_HEIGHT + ROOT], round)
}

/// A block `length` mm long and wide, `high` mm high over the rim and reaching far under it, rounded at its upright and upper edges by `round`.
pub(super) fn block_above(length: f64, high: f64, round: f64) -> Result<Part, ModelError> {
    block("wall", [0.0, 0.0, 0.5 * high - 5.0], [length, length, high + 10.0], round)
}

/// What of a body lies over the rim and outside another.
pub(super) fn shell(outer: Part, inner: Part) -> Result<Part, ModelError> {
    let above = half("wall", [0.0; 3], [0.0, 0.0, -1.0])?;
    Ok(Arc::new(Difference::new(shaped("wall", Intersection::new(outer, above))?, inner)))
}

/// A quarter of bodies, the last of them the peg: planes of symmetry for each, and springs around the peg.
pub(super) fn held(bodies: usize) -> Result<Vec<Support>, ModelError> {
    let mirrors = (0..bodies).flat_map(|body| (0..2).map(move |axis| mirror(body, axis)));
    mirrors.chain([springs(bodies - 1, SPRINGS, [true; 2])]).collect()
}

/// The face of the first body towards the peg, within the contact's radius and 0.8 mm, up to the end of a body `length` long and `width` wide: a quarter.
pub(super) fn inside(peg: Part, contact: f64, [length, width]: [f64; 2]) -> Result<Group, ModelError> {
    let [x, y] = [length, width].map(|size| (contact + BEYOND).min(0.5 * size));
    towards(peg, [[MIRROR, x], [MIRROR, y]])
}

/// The same of the half y > 0.
pub(super) fn inside_half(peg: Part, contact: f64, [length, width]: [f64; 2]) -> Result<Group, ModelError> {
    let [x, y] = [length, width].map(|size| (contact + BEYOND).min(0.5 * size));
    towards(peg, [[-x, x], [MIRROR, y]])
}

/// What a face keeps off a plane of symmetry, mm.
const MIRROR: f64 = 2e-3;

fn towards(peg: Part, [[x0, x1], [y0, y1]]: [[f64; 2]; 2]) -> Result<Group, ModelError> {
    let centre = [0.5 * (x0 + x1), 0.5 * (y0 + y1), PEG_HEIGHT];
    let seen = block("inside", centre, [x1 - x0, y1 - y0, 0.2], 0.0)?;
    let near = shaped("inside", Offset::new(peg, 0.02))?;
    Ok(group("inside", Arc::new(shaped("inside", Intersection::new(seen, near))?), None))
}
