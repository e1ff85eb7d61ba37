//! Which neighbouring cells of a body touch by material, and so share their nodes.
//!
//! Cells (or parts of cells) that share a face are linked when there is material on it; nodes are shared along links only, so that both sides of a slot have nodes of
//! their own however narrow it is (Hansbo, Hansbo 2004, Comput Methods Appl Mech Eng 193:3523-3540, doi 10.1016/j.cma.2003.12.041, memory: an element cut in two
//! is two elements that overlap). The pieces
//! a cell is cut into tell which of its walls they touch.

use super::cut::{Facet, Seen, face_each_other, face_within};
use super::lattice::{Cell, Field};
use rayon::prelude::*;
use shape::Solid;
use std::collections::{BTreeMap, BTreeSet};

/// A body in one piece smaller than this share of a cell is no piece of its own.
const SPECK: f64 = 0.02;

/// Pairs of cells on both sides of a face without material between them.
#[derive(Debug, Default)]
pub(crate) struct Links {
    severed: BTreeSet<(u32, u32)>,
    /// Classes of the cells around a place (half cells: z, y, x) that share no node there, where there is more than one.
    pub(crate) contested: BTreeMap<[i32; 3], Vec<Vec<u32>>>,
}

impl Links {
    /// Of all cells of a body.
    pub(crate) fn new(field: &Field, solid: &dyn Solid, origin: [f64; 3], edge: f64) -> Self {
        let severed = (0..field.cells.len())
            .into_par_iter()
            .with_min_len(64)
            .flat_map_iter(|a| severed_of(field, a, solid, origin, edge))
            .collect();
        let mut out = Self { severed, contested: BTreeMap::new() };
        if !out.severed.is_empty() {
            out.bind_specks(field, edge);
        }
        let torn: BTreeSet<u32> = out.severed.iter().flat_map(|(a, b)| [*a, *b]).collect();
        let places: BTreeSet<[i32; 3]> = (0..field.cells.len())
            .into_par_iter()
            .with_min_len(256)
            .filter(|a| torn.contains(&(*a as u32)) || Self::is_doubtful(field, *a))
            .flat_map_iter(|a| places_of(field.cells[a].at))
            .collect();
        for place in places {
            let classes = out.classes(field, place);
            if classes.len() > 1 {
                out.contested.insert([place[2], place[1], place[0]], classes);
            }
        }
        out
    }

    /// Whether two cells that share a face are linked.
    pub(crate) fn are_linked(&self, a: usize, b: usize) -> bool {
        !self.severed.contains(&(a.min(b) as u32, a.max(b) as u32))
    }

    /// Cells linked to one.
    pub(crate) fn beside<'a>(&'a self, field: &'a Field, a: usize) -> impl Iterator<Item = usize> + 'a {
        let at = field.cells[a].at;
        (0..6)
            .flat_map(move |k| {
                let mut other = at;
                other[k / 2] += 2 * (k % 2) as i32 - 1;
                field.parts_at(other)
            })
            .filter(move |b| self.are_linked(a, *b))
    }

    /// Specks that hang on nothing by a face are linked to their largest neighbour.
    fn bind_specks(&mut self, field: &Field, edge: f64) {
        let near: BTreeSet<u32> = self.severed.iter().flat_map(|(a, b)| [*a, *b]).collect();
        for first in near {
            let mut own = BTreeSet::from([first]);
            let (mut open, mut volume) = (vec![first], 0.0);
            while let Some(cell) = open.pop().filter(|_| volume < SPECK) {
                volume += field.cells[cell as usize].share(edge);
                open.extend(self.beside(field, cell as usize).map(|b| b as u32).filter(|b| own.insert(*b)));
            }
            if volume < SPECK {
                let share = |pair: &&(u32, u32)| {
                    let other = if own.contains(&pair.0) { pair.1 } else { pair.0 };
                    field.cells[other as usize].share(edge)
                };
                let all = self.severed.iter().filter(|(a, b)| own.contains(a) != own.contains(b));
                if let Some(pair) = all.max_by(|p, q| share(p).total_cmp(&share(q))).copied() {
                    self.severed.remove(&pair);
                }
            }
        }
    }

    /// Whether the cell is in parts, or has neighbours across an edge or corner without a way over faces.
    fn is_doubtful(field: &Field, a: usize) -> bool {
        let cell = &field.cells[a];
        if cell.weights.is_none() {
            return false;
        }
        if field.partings.contains_key(&cell.at) {
            return true;
        }
        let active = |step: [i32; 3]| field.find(std::array::from_fn(|i| cell.at[i] + step[i])).is_some();
        (0..27).any(|k| {
            let step = [k % 3 - 1, k / 3 % 3 - 1, k / 9 - 1];
            let axes: Vec<usize> = (0..3).filter(|i| step[*i] != 0).collect();
            if axes.len() < 2 || !active(step) {
                return false;
            }
            let part = |kept: &[usize]| active(std::array::from_fn(|i| if kept.contains(&i) { step[i] } else { 0 }));
            match axes.as_slice() {
                [i, j] => !part(&[*i]) && !part(&[*j]),
                _ => !(0..3).any(|i| part(&[i]) && (0..3).any(|j| j != i && part(&[i, j]))),
            }
        })
    }

    /// Cells around a place by what is linked there.
    fn classes(&self, field: &Field, place: [i32; 3]) -> Vec<Vec<u32>> {
        let low = place.map(|p| if p.rem_euclid(2) == 0 { p.div_euclid(2) - 1 } else { p.div_euclid(2) });
        let span = place.map(|p| if p.rem_euclid(2) == 0 { 2 } else { 1 });
        let mut around = vec![];
        for z in 0..span[2] {
            for y in 0..span[1] {
                for x in 0..span[0] {
                    around.extend(field.parts_at([low[0] + x, low[1] + y, low[2] + z]));
                }
            }
        }
        let mut classes: Vec<Vec<u32>> = vec![];
        let mut left: BTreeSet<usize> = around.into_iter().collect();
        while let Some(first) = left.pop_first() {
            let (mut class, mut k) = (vec![first as u32], 0);
            while k < class.len() {
                let next: Vec<usize> = self.beside(field, class[k] as usize).filter(|b| left.contains(b)).collect();
                for b in next {
                    left.remove(&b);
                    class.push(b as u32);
                }
                k += 1;
            }
            classes.push(class);
        }
        classes
    }
}

fn places_of(at: [i32; 3]) -> impl Iterator<Item = [i32; 3]> {
    (0..27).map(move |k| [2 * at[0] + k % 3, 2 * at[1] + k / 3 % 3, 2 * at[2] + k / 9])
}

/// Pairs of a cell and those beyond its upper faces that do not touch.
fn severed_of(field: &Field, a: usize, solid: &dyn Solid, origin: [f64; 3], edge: f64) -> Vec<(u32, u32)> {
    let at = field.cells[a].at;
    let mut out = vec![];
    for axis in 0..3 {
        let mut other = at;
        other[axis] += 1;
        for b in field.parts_at(other) {
            let seen = |at: [i32; 3]| {
                let low = std::array::from_fn(|i| origin[i] + edge * f64::from(at[i]));
                Seen { solid, low, edge }
            };
            let touch = meets(field, [a, b], &seen(other), [axis, 1]) || meets(field, [b, a], &seen(at), [axis, 0]);
            // Without walls that face each other there is no slot, and what looks like a gap is the cut's error. In a thin slice along a curved face the cut may lose
            // one of the walls: then the cells around tell of the slot, and no way from the slice to the other cell.
            let is_slot = || {
                let lost = || {
                    !reaches(&field.cells[a], &seen(at), [axis, 1])
                        && !reaches(&field.cells[b], &seen(other), [axis, 0])
                };
                faces_slot(field, a, b) || face_within(&around(field, at, other), edge) && lost()
            };
            if !touch && is_slot() {
                out.push((a as u32, b as u32));
            }
        }
    }
    out
}

/// Whether surface in two cells faces each other, as on both sides of a slot.
fn faces_slot(field: &Field, a: usize, b: usize) -> bool {
    let cells = [field.parts_at(field.cells[a].at), field.parts_at(field.cells[b].at)];
    let facets: Vec<&Facet> = cells.into_iter().flatten().flat_map(|k| &field.cells[k].facets).collect();
    face_each_other(&facets)
}

/// Surface in two cells and in all that touch one of them.
fn around(field: &Field, a: [i32; 3], b: [i32; 3]) -> Vec<&Facet> {
    let low: [i32; 3] = std::array::from_fn(|i| a[i].min(b[i]) - 1);
    let size: [i32; 3] = std::array::from_fn(|i| (a[i] - b[i]).abs() + 3);
    let places = (0..size.iter().product()).map(|k| [k % size[0], k / size[0] % size[1], k / size[0] / size[1]]);
    let cells = places.flat_map(|p| field.parts_at(std::array::from_fn(|i| low[i] + p[i])));
    cells.flat_map(|k| &field.cells[k].facets).collect()
}

/// Whether a straight way along the axis leads from below the cell's surface to its wall (1 for the high side) through material.
fn reaches(cell: &Cell, seen: &Seen, [axis, side]: [usize; 2]) -> bool {
    let some = cell.facets.iter().step_by(cell.facets.len().div_ceil(64).max(1));
    cell.facets.is_empty()
        || some.map(|f| std::array::from_fn(|i| f.local[i] - 1e-3 * f.normal[i])).any(|from: [f64; 3]| {
            let mut to = from;
            to[axis] = side as f64;
            seen.is_clear(from, to)
        })
}

/// Whether a cell has material on its wall (axis; 1 for the high side) where the other, seen from its own corner, has it too.
fn meets(field: &Field, [a, b]: [usize; 2], other: &Seen, [axis, side]: [usize; 2]) -> bool {
    let (cell, beyond) = (&field.cells[a], &field.cells[b]);
    let parting = field.partings.get(&beyond.at);
    if cell.weights.is_none() {
        // The surface of the other may lie on the wall: its own doors tell.
        return beyond.weights.is_none();
    }
    let wall = (2 * axis + side) as u8;
    let part = b - field.parts_at(beyond.at).start;
    cell.doors.iter().filter(|(w, _)| *w == wall).any(|(_, p)| {
        let mut local = *p;
        local[axis] += if side == 1 { -1.0 } else { 1.0 };
        parting.is_none_or(|parting| parting.owner(other, local) == part)
    })
}

#[cfg(test)]
mod tests {
    use crate::solve::lattice::Lattice;
    use crate::solve::{Body, Material, Model};
    use answer::NoProgress;
    use shape::{Block, Cylinder, Difference, Motion, Placed, Solid, Torus, Union};
    use std::sync::Arc;

    /// A block of 4 x 2 x 0.8 slit along y = 1 from x = 1 on, turned.
    fn slit(motion: Motion, gap: f64, cell: f64, origin: [f64; 3]) -> Option<Lattice> {
        let whole = Block::new([2.0, 1.0, 0.4], [4.0, 2.0, 0.8], 0.0).ok()?;
        let slot = Block::new([2.5, 1.0, 0.4], [3.0, gap, 3.0], 0.0).ok()?;
        lattice_of(Arc::new(Placed::new(Difference::new(whole, slot), motion)), cell, origin)
    }

    fn lattice_of(solid: Arc<dyn Solid>, cell: f64, origin: [f64; 3]) -> Option<Lattice> {
        let material = Material { young: 1.0, poisson: 0.3 };
        let body = Body { name: "slit".into(), solid, material, initial_strain: 0.0 };
        let model = Model { cell, origin, bodies: vec![body], interfaces: vec![], supports: vec![], cases: vec![] };
        Lattice::new(&model, None, &NoProgress).ok()
    }

    /// Cells (place, parts there) that hold or touch both walls more than three and a half cells beyond the root: the cell that bridges it and those beside that share its nodes
    /// reach so far across their corners.
    fn welds(lattice: &Lattice, motion: Motion, cell: f64) -> Vec<([i32; 3], usize, String)> {
        let back = motion.inverse();
        let field = &lattice.fields[0];
        // Side of each node by the walls seen from the cells it belongs to.
        let mut sides = vec![[usize::MAX; 2]; lattice.places.len()];
        let mut out = vec![];
        for (k, c) in field.cells.iter().enumerate() {
            let mut has = [false; 2];
            for f in &c.facets {
                let (at, n) = (back.apply(f.at), back.turned(f.normal));
                if at[0] > 1.0 + 3.5 * cell && (at[1] - 1.0).abs() < 0.11 && n[1].abs() > 0.9 {
                    has[usize::from(n[1] < 0.0)] = true;
                }
            }
            let parts = field.parts_at(c.at).len();
            if has == [true; 2] {
                out.push((c.at, parts, "holds both walls".into()));
            } else if let Some(side) = has.iter().position(|h| *h) {
                for n in c.nodes {
                    sides[n as usize][side] = k;
                    if sides[n as usize].iter().all(|s| *s != usize::MAX) {
                        let pair = sides[n as usize].map(|k| (field.cells[k].at, field.cells[k].share(cell)));
                        out.push((c.at, parts, format!("shares node at {:?} {pair:?}", lattice.places[n as usize].1)));
                        break;
                    }
                }
            }
        }
        out
    }

    #[test]
    fn no_cell_ties_both_sides_of_a_slit() -> Result<(), shape::ShapeError> {
        for (axis, angle, gap) in [(2, 0.0, 0.02), (2, 0.1, 0.005), (2, 0.7, 0.02), (2, 1.3, 0.3)] {
            let mut along = [0.0; 3];
            along[axis] = 1.0;
            let motion = Motion::turn(along, angle, [0.1, 0.2, 0.3])?;
            let lattice = slit(motion, gap, 0.25, [0.0; 3]).ok_or(shape::ShapeError::Empty)?;
            let all = welds(&lattice, motion, 0.25);
            assert!(all.is_empty(), "turned by {angle} about axis {axis}, {gap} wide: {all:?}");
            assert!(lattice.charts.len() == 2 || gap > 0.25, "{} fields", lattice.charts.len());
        }
        Ok(())
    }

    #[test]
    fn no_cell_ties_both_sides_of_a_slit_askew_to_all_axes() -> Result<(), shape::ShapeError> {
        for gap in [0.02, 0.005] {
            for k in 0..20 {
                let k = f64::from(k);
                let axis = [libm::sin(1.7 * k), libm::cos(2.3 * k + 0.4), libm::sin(0.9 * k + 0.2) + 0.05];
                let motion = Motion::turn(axis, 0.31 * k + 0.1, [0.1, 0.2, 0.3])?;
                let lattice = slit(motion, gap, 0.25, [0.0; 3]).ok_or(shape::ShapeError::Empty)?;
                let all = welds(&lattice, motion, 0.25);
                assert!(all.is_empty(), "rotation {k}, {gap} wide: {all:?}");
                // Two sides, and a third field at most where the end of the slit parts a cell.
                assert!((2..=3).contains(&lattice.charts.len()), "rotation {k}: {} fields", lattice.charts.len());
            }
        }
        Ok(())
    }

    #[test]
    fn a_wall_on_a_plane_of_the_lattice_parts_it_too() -> Result<(), shape::ShapeError> {
        let motion = Motion::turn([0.0, 0.0, 1.0], 0.0, [0.0; 3])?;
        for gap in [0.02, 0.1, 0.25] {
            // The lower wall, the middle and the upper wall on a plane.
            for side in [-0.5, 0.0, 0.5] {
                let lattice =
                    slit(motion, gap, 0.25, [0.013, 1.0 + side * gap, 0.034]).ok_or(shape::ShapeError::Empty)?;
                let all = welds(&lattice, motion, 0.25);
                assert!(all.is_empty(), "{gap} wide, {side}: {all:?}");
            }
        }
        Ok(())
    }

    /// What slots ask for leaves other bodies alone: one field, cells in one part, one node a place, as if it were not there.
    #[test]
    fn a_body_without_slots_has_one_node_a_place() -> Result<(), shape::ShapeError> {
        let bar = Block::new([0.0; 3], [2.0, 1.0, 0.8], 0.1)?;
        let turned = Motion::turn([1.0, 2.0, 0.5], 0.7, [0.1, 0.2, 0.3])?;
        let bodies: [Arc<dyn Solid>; 4] = [
            Arc::new(shape::Ball::new([0.0; 3], 1.0)?),
            Arc::new(Placed::new(bar, turned)),
            Arc::new(Difference::new(bar, Cylinder::new([0.0; 3], 0.3, 3.0, 0.0)?)),
            Arc::new(Difference::new(Cylinder::new([0.0; 3], 1.0, 2.0, 0.0)?, Torus::new([0.0; 3], 1.2, 0.6)?)),
        ];
        for solid in bodies {
            let lattice = lattice_of(solid, 0.25, [0.013, 0.021, 0.034]).ok_or(shape::ShapeError::Empty)?;
            let field = &lattice.fields[0];
            assert!(field.is_plain() && field.partings.is_empty() && field.links.severed.is_empty());
            assert!(lattice.charts.len() == 1 && lattice.seams.is_empty());
            let mut places: Vec<[i32; 3]> = lattice.places.iter().map(|p| p.1).collect();
            places.sort_unstable();
            places.dedup();
            assert_eq!(places.len(), lattice.places.len());
        }
        Ok(())
    }

    /// A bar of radius 4 with a ring slot 0.12 wide, 2 deep, its root round.
    fn ring(cell: f64) -> Result<Lattice, shape::ShapeError> {
        let slab = Difference::new(Cylinder::new([0.0; 3], 8.0, 0.12, 0.0)?, Cylinder::new([0.0; 3], 2.06, 0.24, 0.0)?);
        let slot = Union::new(Torus::new([0.0; 3], 2.06, 0.06)?, slab, 0.0)?;
        let solid = Arc::new(Difference::new(Cylinder::new([0.0; 3], 4.0, 2.0, 0.0)?, slot));
        lattice_of(solid, cell, [0.011, 0.023, 0.037]).ok_or(shape::ShapeError::Empty)
    }

    /// Along the rim cells hold thin slices in which the cut may lose a wall of the slot.
    #[test]
    fn a_ring_slot_is_open_at_its_mouth() -> Result<(), shape::ShapeError> {
        for cell in [0.4, 0.5] {
            let lattice = ring(cell)?;
            let field = &lattice.fields[0];
            let far = |at: [f64; 3]| at[0].hypot(at[1]) > 2.06 + 3.5 * cell;
            let mut sides = vec![[false; 2]; lattice.places.len()];
            for f in field.cells.iter().flat_map(|c| c.facets.iter().map(move |f| (c, f))) {
                if f.1.at[2].abs() < 0.0601 && f.1.normal[2].abs() > 0.9 && far(f.1.at) {
                    f.0.nodes.iter().for_each(|n| sides[*n as usize][usize::from(f.1.normal[2] < 0.0)] = true);
                }
            }
            let tied: Vec<[i32; 3]> =
                (0..sides.len()).filter(|n| sides[*n] == [true; 2]).map(|n| lattice.places[n].1).collect();
            assert!(tied.is_empty(), "cells of {cell}: {} nodes on both sides, {:?}", tied.len(), tied.first());
        }
        Ok(())
    }
}
