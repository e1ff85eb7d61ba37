//! The trilinear level under the quadratic one, on the same cells: since trilinear displacements are quadratic ones, its matrices are the same integrals
//! (exact Galerkin products).

use super::basis::{GAUSS5, trilinear};
use super::ghost;
use super::joint::{Joint, Law, Point};
use super::lattice::{Cell, Lattice};
use super::slabs::FaceOf;
use crate::multigrid::{
    CellMatrix, FixedNode, Patch, PatchMatrix, TrilinearField, TrilinearSystem, packed, packed_len,
};
use rayon::prelude::*;
use std::collections::HashMap;

type Gradients = Vec<[[f64; 3]; 8]>;

/// What the stiffness, and the trilinear level under it, are made from.
pub(crate) struct Parts<'a> {
    pub lattice: &'a Lattice,
    pub edge: f64,
    pub lame: &'a [(f64, f64)],
    pub laws: &'a [Law],
    pub joints: &'a [Joint],
    pub joint_fields: &'a [[usize; 2]],
    pub points: &'a [Point],
    pub faces: &'a [FaceOf],
    pub fixed: &'a [u32],
}

/// The system of the trilinear level.
pub(crate) fn system(p: &Parts) -> TrilinearSystem {
    let mut out = TrilinearSystem { spacing: p.edge, ..TrilinearSystem::default() };
    let mut held: HashMap<(usize, usize), Vec<&Joint>> = HashMap::new();
    for (joint, fields) in p.joints.iter().zip(p.joint_fields) {
        if p.laws[joint.law as usize].sides[1].is_none() {
            held.entry((fields[0], joint.cells[0] as usize)).or_default().push(joint);
        } else {
            out.patches.push(joined(p, joint, *fields));
        }
    }
    let gradients: Gradients = (0..125)
        .map(|n| trilinear([n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0)).1.map(|g| g.map(|x| x / p.edge)))
        .collect();
    for (chart, &n) in p.lattice.charts.iter().enumerate() {
        let (lambda, mu) = p.lame[n];
        let one = |(k, cell): (usize, &Cell)| {
            let Some(weights) = &cell.weights else { return (cell.at, CellMatrix::Uniform { lambda, mu }) };
            let mut matrix = stiffness(weights, &gradients, (lambda, mu));
            for joint in held.get(&(n, k)).into_iter().flatten() {
                let law = &p.laws[joint.law as usize];
                p.points[joint.points.clone()].iter().for_each(|point| law.coarse(point, &mut matrix));
            }
            (cell.at, CellMatrix::Own(Box::new(matrix)))
        };
        let own = p.lattice.fields[n].cells.par_iter().enumerate().filter(|(_, c)| c.chart as usize == chart);
        let mut cells: Vec<([i32; 3], CellMatrix)> = own.map(one).collect();
        cells.dedup_by(|next, kept| next.0 == kept.0 && tie(&mut kept.1, &next.1));
        out.fields.push(TrilinearField { cells });
    }
    seams(p, &mut out);
    let face = ghost::trilinear();
    for &(n, a, b, axis, times) in p.faces {
        let cells = &p.lattice.fields[n].cells;
        out.patches.push(penalty(
            [cells[a].chart, cells[b].chart],
            [cells[a].at, cells[b].at],
            axis,
            &face,
            times * (p.lame[n].0 + 2.0 * p.lame[n].1) * p.edge,
        ));
    }
    for node in p.fixed {
        let (_, at) = p.lattice.places[*node as usize];
        if at.iter().all(|x| x % 2 == 0) {
            for field in p.lattice.charts_of(*node) {
                out.fixed.push(FixedNode { field: *field, node: at.map(|x| x / 2), components: [true; 3] });
            }
        }
    }
    out
}

/// Ties the copies of nodes where two charts of a body meet in whole material: springs, as stiff as a few cells, so that the smoother still sees both.
fn seams(p: &Parts, out: &mut TrilinearSystem) {
    for (node, charts) in &p.lattice.seams {
        let (body, at) = p.lattice.places[*node as usize];
        if at.iter().any(|x| x.rem_euclid(2) != 0) {
            continue;
        }
        let (lambda, mu) = p.lame[body as usize];
        let stiff = SEAM * (lambda + 2.0 * mu) * p.edge;
        for (k, a) in charts.iter().enumerate() {
            for b in &charts[..k] {
                let nodes = [*a, *b].map(|c| (c, at.map(|x| x / 2))).to_vec();
                out.patches.push(Patch { nodes, matrix: PatchMatrix::Scalar(vec![stiff, -stiff, stiff]) });
            }
        }
    }
}

/// Stiffness of a tie, in units of (lambda + 2 mu) times the edge of a cell.
const SEAM: f64 = 2.0;

/// Adds the matrix of a part of a cell to another part that shares its nodes on this level.
fn tie(kept: &mut CellMatrix, next: &CellMatrix) -> bool {
    if let (CellMatrix::Own(a), CellMatrix::Own(b)) = (kept, next) {
        a.iter_mut().zip(b.iter()).for_each(|(a, b)| *a += b);
    }
    true
}

/// Packed lower triangle of a cell's trilinear stiffness.
fn stiffness(weights: &[f64; 125], gradients: &Gradients, (lambda, mu): (f64, f64)) -> [f64; 300] {
    let mut moment = [[[0.0f64; 9]; 8]; 8];
    for (w, g) in weights.iter().zip(gradients) {
        for i in 0..8 {
            let wg = g[i].map(|x| x * w);
            for j in 0..=i {
                for ab in 0..9 {
                    moment[i][j][ab] += wg[ab / 3] * g[j][ab % 3];
                }
            }
        }
    }
    let mut out = [0.0; 300];
    for i in 0..8 {
        for j in 0..=i {
            let m = &moment[i][j];
            let trace = mu * (m[0] + m[4] + m[8]);
            for a in 0..3 {
                for b in 0..3 {
                    if 3 * i + a >= 3 * j + b {
                        let same = if a == b { trace } else { 0.0 };
                        out[packed(3 * i + a, 3 * j + b)] = lambda * m[3 * a + b] + mu * m[3 * b + a] + same;
                    }
                }
            }
        }
    }
    out
}

fn corners(at: [i32; 3]) -> [[i32; 3]; 8] {
    std::array::from_fn(|c| std::array::from_fn(|i| at[i] + (c >> i & 1) as i32))
}

fn joined(p: &Parts, joint: &Joint, fields: [usize; 2]) -> Patch {
    let law = &p.laws[joint.law as usize];
    let mut matrix = vec![0.0; packed_len(48)];
    p.points[joint.points.clone()].iter().for_each(|point| law.coarse(point, &mut matrix));
    let nodes = (0..2)
        .flat_map(|k| {
            let cell = &p.lattice.fields[fields[k]].cells[joint.cells[k] as usize];
            corners(cell.at).map(|c| (cell.chart, c))
        })
        .collect();
    Patch { nodes, matrix: PatchMatrix::Full(matrix) }
}

fn penalty(charts: [u32; 2], [a, b]: [[i32; 3]; 2], axis: usize, face: &[f64], factor: f64) -> Patch {
    let nodes = (0..12)
        .map(|i| {
            let mut at = if i < 8 { a } else { b };
            at[axis] += i32::from(i >= 4);
            at[(axis + 1) % 3] += i & 1;
            at[(axis + 2) % 3] += i >> 1 & 1;
            (charts[usize::from(i >= 8)], at)
        })
        .collect();
    Patch { nodes, matrix: PatchMatrix::Scalar(face.iter().map(|x| factor * x).collect()) }
}
