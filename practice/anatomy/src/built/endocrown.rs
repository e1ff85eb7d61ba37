//! An endocrown: the tooth cut to a flat butt, its pulp chamber opened into a recess that the crown reaches into.
//!
//! Recess: the chamber's section at its floor, drawn upward with walls that open by an angle each. The pulp is gone, so that what counts is the wall of
//! tooth left round the recess. Crown: outer form less stump less gap, down to the floor of the recess.

use super::retainer::opened;
use crate::Needs;
use crate::body::{Formula, LatticeBody, Part};
use crate::parts::ToothParts;
use crate::preparation::{Design, Preparation};
use shape::{ShapeError, Solid, Surface};
use std::sync::Arc;

/// Measures of an endocrown's seat, mm and degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recess {
    /// Height of the butt above the facial enamel edge.
    pub height: f64,
    /// Depth of the recess below the butt.
    pub depth: f64,
    /// How far each wall of the recess opens.
    pub opening: f64,
}

impl Default for Recess {
    /// Middle measures (common practice, no source).
    fn default() -> Self {
        Self { height: 2.0, depth: 2.5, opening: 8.0 }
    }
}

/// A preparation for an endocrown: the crown cut to a butt, with a recess into the pulp chamber.
///
/// # Errors
/// Measures that cannot be; a butt that leaves nothing of the crown to be replaced.
pub fn endocrown_preparation(parts: &ToothParts, recess: &Recess, cell: f64) -> Result<Preparation, ShapeError> {
    let Recess { height, depth, opening } = *recess;
    let tall = parts.form.size().crown_height;
    for (quantity, found, range, expected) in [
        ("height of the butt", height, 0.5..=tall - 0.5, "0.5 mm to half a millimetre below the cusps"),
        ("depth of the recess", depth, 0.5..=8.0, "0.5 to 8 mm"),
        ("opening of the recess", opening, 1.0..=20.0, "1 to 20 degrees"),
    ] {
        if !range.contains(&found) {
            return Err(ShapeError::OutOfRange { quantity, found, expected });
        }
    }
    let needs = Needs { occlusal: (tall - height).clamp(0.5, 6.0), ..Needs::default() };
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

/// The crown on such a preparation; `gap` is the cement's width, mm (0 to 0.5).
///
/// # Errors
/// A gap that cannot be.
pub fn endocrown(made: &Preparation, recess: &Recess, gap: f64) -> Result<Part, ShapeError> {
    if !(0.0..=0.5).contains(&gap) {
        return Err(ShapeError::OutOfRange { quantity: "cement gap", found: gap, expected: "0 to 0.5 mm" });
    }
    let (stump, wanted, floor) = (made.stump.clone(), made.wanted.clone(), recess.height - recess.depth);
    let mut bound = wanted.bound();
    bound.low[2] = floor;
    let formula = move |p: [f64; 3]| wanted.distance(p).max(gap - stump.distance(p)).max(floor - p[2]);
    opened(Formula::new(bound, formula), made.lattice.field().cell())
}

/// Least wall of tooth left round a recess, mm, and where: from the recess's walls (its floor left out) to the outer surface.
///
/// # Errors
/// A stump that cannot be meshed.
pub fn wall_left(
    parts: &ToothParts,
    made: &Preparation,
    recess: &Recess,
    cell: f64,
) -> Result<(f64, [f64; 3]), ShapeError> {
    let stump = Surface::of(&made.stump, cell)?;
    let floor = recess.height - recess.depth;
    let inner = |p: &[f64; 3]| p[2] > floor + cell && p[2] < recess.height - cell;
    let walls = stump.points().iter().zip(stump.point_normals()).filter(|(p, n)| inner(p) && n[2].abs() < 0.7);
    let thickness = walls.map(|(p, _)| (-parts.outer.distance(*p), *p)).filter(|(wall, _)| *wall > 2.0 * cell);
    thickness.min_by(|a, b| a.0.total_cmp(&b.0)).ok_or(ShapeError::Empty)
}
