//! How the work of a product is laid out: slabs of cell layers along z, in each the whole cells, cut cells, ghost faces and joints that begin there.
//!
//! A slab writes one layer beyond its own, so even slabs run first and odd ones after: every sum has one order, whatever the number of threads.

use super::batch::{Batch, Groups};
use super::coarse::Parts;
use super::ghost;
use super::joint::Joint;
use super::lattice::{Field, Lattice};
use std::collections::HashSet;
use std::ops::Range;

/// Cells a slab should hold at least.
const SLAB: usize = 256;

/// The work of some layers of cells.
pub(crate) struct Slab {
    /// Nodes it writes to.
    pub nodes: Range<usize>,
    pub whole: Vec<Batch>,
    pub cut: Vec<Batch>,
    /// Ghost faces, and the factor of each.
    pub faces: Groups<45>,
    pub factors: Vec<f64>,
    /// Nodes of both sides, law and points.
    pub joints: Vec<([[u32; 27]; 2], u32, Range<usize>)>,
}

/// A ghost face by its cells: field, lower and upper cell, axis; and how many times the usual penalty it has.
pub(crate) type FaceOf = (usize, usize, usize, usize, f64);

/// Cells with less material than this share that are held or joined need more of the penalty: what a hold gives away must be less than what it adds (`joint`).
const THIN: f64 = 0.25;
const FIRMER: f64 = 4.0;

/// Ghost faces: every face of a cut cell towards another active one that it touches.
pub(crate) fn faces(lattice: &Lattice, edge: f64, joints: &[Joint], joint_fields: &[[usize; 2]]) -> Vec<FaceOf> {
    let held: HashSet<(usize, u32)> =
        joints.iter().zip(joint_fields).flat_map(|(j, f)| [(f[0], j.cells[0]), (f[1], j.cells[1])]).collect();
    let mut out = vec![];
    for (n, field) in lattice.fields.iter().enumerate() {
        let is_thin = |a: usize| held.contains(&(n, a as u32)) && field.cells[a].share(edge) < THIN;
        for (a, cell) in field.cells.iter().enumerate() {
            for axis in 0..3 {
                let mut beside = cell.at;
                beside[axis] += 1;
                for b in field.parts_at(beside).filter(|b| field.links.are_linked(a, *b)) {
                    if cell.weights.is_some() || field.cells[b].weights.is_some() {
                        out.push((n, a, b, axis, if is_thin(a) || is_thin(b) { FIRMER } else { 1.0 }));
                    }
                }
            }
        }
    }
    out
}

/// Even slabs and odd slabs.
pub(crate) fn slabs(w: &Parts) -> [Vec<Slab>; 2] {
    let ends = ends(w.lattice);
    let slab_of = |z: i32| ends.partition_point(|e| *e <= z);
    let mut faces: Vec<Vec<[u32; 45]>> = vec![vec![]; ends.len()];
    let mut factors: Vec<Vec<f64>> = vec![vec![]; ends.len()];
    for &(n, a, b, axis, times) in w.faces {
        let cells = &w.lattice.fields[n].cells;
        let slab = slab_of(cells[a].at[2]);
        faces[slab].push(ghost::nodes(&cells[a].nodes, &cells[b].nodes, axis));
        factors[slab].push(times * (w.lame[n].0 + 2.0 * w.lame[n].1) * w.edge);
    }
    let mut joints = vec![vec![]; ends.len()];
    for (joint, fields) in w.joints.iter().zip(w.joint_fields) {
        let cell = |k: usize| &w.lattice.fields[fields[k]].cells[joint.cells[k] as usize];
        let two = w.laws[joint.law as usize].sides[1].is_some();
        let lowest = if two { cell(0).at[2].min(cell(1).at[2]) } else { cell(0).at[2] };
        let nodes = [cell(0).nodes, if two { cell(1).nodes } else { [0; 27] }];
        joints[slab_of(lowest)].push((nodes, joint.law, joint.points.clone()));
    }
    let mut out = [vec![], vec![]];
    for (k, ((faces, factors), joints)) in faces.into_iter().zip(factors).zip(joints).enumerate() {
        let nodes = nodes_of(w.lattice, &ends, k);
        let [whole, cut] = [false, true].map(|is_cut| batches(w.lattice, k, &slab_of, is_cut));
        out[k % 2].push(Slab { nodes, whole, cut, faces: Groups::new(faces), factors, joints });
    }
    out
}

/// Layers at which slabs of two layers or more end.
fn ends(lattice: &Lattice) -> Vec<i32> {
    let layers = || lattice.fields.iter().flat_map(|f| &f.cells).map(|c| c.at[2]);
    let (low, high) = (layers().min().unwrap_or(0), layers().max().unwrap_or(0));
    let mut count = vec![0usize; (high - low + 1) as usize];
    layers().for_each(|z| count[(z - low) as usize] += 1);
    let least = SLAB.max(count.iter().sum::<usize>() / 48);
    let (mut ends, mut held, mut start) = (vec![], 0, low);
    for z in low..=high {
        held += count[(z - low) as usize];
        if z - start >= 1 && held >= least && high - z >= 2 {
            ends.push(z + 1);
            (held, start) = (0, z + 1);
        }
    }
    ends.push(high + 1);
    ends
}

/// Nodes that slab `k` writes to: of its own layers and the one beyond.
fn nodes_of(lattice: &Lattice, ends: &[i32], k: usize) -> Range<usize> {
    let first = if k == 0 { 0 } else { lattice.places.partition_point(|p| p.1[2] < 2 * ends[k - 1]) };
    first..lattice.places.partition_point(|p| p.1[2] <= 2 * ends[k] + 2)
}

/// The whole or the cut cells of slab `k`, body by body.
fn batches(lattice: &Lattice, k: usize, slab_of: &impl Fn(i32) -> usize, is_cut: bool) -> Vec<Batch> {
    let of = |(n, field): (usize, &Field)| {
        let begin = field.cells.partition_point(|c| slab_of(c.at[2]) < k);
        let end = field.cells.partition_point(|c| slab_of(c.at[2]) <= k);
        let cells = field.cells[begin..end].iter().filter(|c| c.weights.is_some() == is_cut);
        Batch::new(n, cells.map(|c| (c.nodes, c.weights.as_deref())).collect())
    };
    lattice.fields.iter().enumerate().filter_map(of).collect()
}
