//! Nodes of a zoom that take the displacement of the whole.
//!
//! Those on the walls of the box; all nodes of cut cells along a wall with less than a quarter of material, since the faces that would tie such a sliver to firm
//! material lie beyond the wall; and all nodes of material that nothing in the box holds: pieces that touch no wall and no support, whose hold lies outside or is one the
//! coarser cells of the whole gave them.

use super::joined::Joints;
use super::lattice::{Cell, Lattice};
use std::collections::BTreeSet;

/// Share of material below which a cell along a wall is driven whole.
const THIN: f64 = 0.25;

/// Which nodes, in rising order, and the volume share of the material that is driven whole.
pub(crate) fn driven(lattice: &Lattice, joints: &Joints, window: [[i32; 3]; 2], edge: f64) -> (Vec<u32>, f64) {
    let on_wall = |p: &[i32; 3]| (0..3).any(|i| p[i] == 2 * window[0][i] || p[i] == 2 * window[1][i]);
    let walls = lattice.places.iter().enumerate().filter(|(_, p)| on_wall(&p.1)).map(|(n, _)| n as u32);
    let mut fixed: BTreeSet<u32> = walls.collect();
    let is_sliver = |c: &Cell| c.share(edge) < THIN && c.nodes.iter().any(|n| fixed.contains(n));
    let (more, share) = taken(lattice, joints, &fixed, edge, is_sliver);
    fixed.extend(more);
    (fixed.into_iter().collect(), share)
}

/// As above for a lattice that reaches beyond the walls of its window: all nodes on walls and beyond, and pieces that nothing in the box holds. Faces across the walls tie
/// slivers along them.
pub(crate) fn driven_beyond(lattice: &Lattice, joints: &Joints, window: [[i32; 3]; 2], edge: f64) -> (Vec<u32>, f64) {
    let is_within = |p: &[i32; 3]| (0..3).all(|i| 2 * window[0][i] < p[i] && p[i] < 2 * window[1][i]);
    let others = lattice.places.iter().enumerate().filter(|(_, p)| !is_within(&p.1)).map(|(n, _)| n as u32);
    let mut fixed: BTreeSet<u32> = others.collect();
    let (more, share) = taken(lattice, joints, &fixed, edge, |_| false);
    fixed.extend(more);
    (fixed.into_iter().collect(), share)
}

/// Nodes of cells that count as slivers or belong to pieces without a fixed node or a support, and their share of the volume.
fn taken(
    lattice: &Lattice,
    joints: &Joints,
    fixed: &BTreeSet<u32>,
    edge: f64,
    is_sliver: impl Fn(&Cell) -> bool,
) -> (Vec<u32>, f64) {
    let (mut taken, mut all) = (0.0, 0.0);
    let pieces = pieces(lattice, joints);
    let mut held = vec![false; pieces.count];
    for (field, cells) in lattice.fields.iter().zip(&pieces.of) {
        for (cell, piece) in field.cells.iter().zip(cells) {
            held[*piece] |= cell.nodes.iter().any(|n| fixed.contains(n));
        }
    }
    for (joint, fields) in joints.joints.iter().zip(&joints.fields) {
        let law = &joints.laws[joint.law as usize];
        held[pieces.of[fields[0]][joint.cells[0] as usize]] |= law.sides[1].is_none() && law.holds();
    }
    let mut more = vec![];
    for (field, cells) in lattice.fields.iter().zip(&pieces.of) {
        for (cell, piece) in field.cells.iter().zip(cells) {
            let share = cell.share(edge);
            all += share;
            if !held[*piece] || is_sliver(cell) {
                taken += share;
                more.extend(cell.nodes);
            }
        }
    }
    (more, taken / all)
}

/// The piece every cell of every field belongs to: cells linked by faces, and bodies joined.
struct Pieces {
    of: Vec<Vec<usize>>,
    count: usize,
}

fn pieces(lattice: &Lattice, joints: &Joints) -> Pieces {
    let first: Vec<usize> = lattice
        .fields
        .iter()
        .scan(0, |sum, f| {
            *sum += f.cells.len();
            Some(*sum - f.cells.len())
        })
        .collect();
    let count = lattice.fields.iter().map(|f| f.cells.len()).sum();
    let mut root: Vec<usize> = (0..count).collect();
    for (field, start) in lattice.fields.iter().zip(&first) {
        for a in 0..field.cells.len() {
            field.links.beside(field, a).for_each(|b| unite(&mut root, start + a, start + b));
        }
    }
    for (joint, fields) in joints.joints.iter().zip(&joints.fields) {
        if joints.laws[joint.law as usize].sides[1].is_some() {
            let [a, b] = [0, 1].map(|k| first[fields[k]] + joint.cells[k] as usize);
            unite(&mut root, a, b);
        }
    }
    let of = lattice.fields.iter().zip(&first);
    let of = of.map(|(f, start)| (0..f.cells.len()).map(|k| find(&mut root, start + k)).collect()).collect();
    Pieces { of, count }
}

fn find(root: &mut [usize], mut at: usize) -> usize {
    while root[at] != at {
        root[at] = root[root[at]];
        at = root[at];
    }
    at
}

fn unite(root: &mut [usize], a: usize, b: usize) {
    let (a, b) = (find(root, a), find(root, b));
    root[a.max(b)] = a.min(b);
}
