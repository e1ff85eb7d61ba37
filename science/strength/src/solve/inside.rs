//! What the cells of a whole inside a box hold, and what takes its place when the box is solved again in smaller cells.
//!
//! With K and f the stiffness and the loads of the cells inside, their joints and their ghost faces (those across the walls too), z the zoom and P what carries displacements of the whole to the held nodes
//! of the zoom, the forces c = (K u - f) - P^T (reactions of the zoom) put the zoom in the place of the inside. They are taken at nodes that are not strictly inside.

use super::coarse::Parts;
use super::operator::Fine;
use super::right_side::nodal_forces;
use super::slabs::FaceOf;
use super::solver::Prepared;
use super::zoom::Carried;
use std::collections::BTreeSet;

/// The inside of a box of a whole, and the zoom that takes its place.
pub(crate) struct Inside<'a> {
    outer: &'a Prepared,
    zoom: &'a Prepared,
    /// Stiffness of the inside, on the whole's nodes, and its loads by case.
    fine: Fine,
    loads: Vec<Vec<f64>>,
    /// What moves the held nodes of the zoom that give their reactions back, and those that do not: of pieces that nothing in the box holds, in balance by
    /// themselves but for loads on them.
    giving: Vec<Carried>,
    silent: Vec<Carried>,
    /// Nodes of the whole that may get forces.
    pub rim: Vec<u32>,
}

impl<'a> Inside<'a> {
    /// From what moves the held nodes of the zoom, in a box between planes of the whole's lattice.
    pub(crate) fn new(outer: &'a Prepared, zoom: &'a Prepared, window: [[i32; 3]; 2], carried: Vec<Carried>) -> Self {
        let cells = |n: usize| &outer.lattice.fields[n].cells;
        let is_in = |n: usize, k: usize| cells(n)[k].is_in(window);
        let ghosts = outer.ghosts.iter().filter(|(n, a, b, ..)| is_in(*n, *a) || is_in(*n, *b));
        let mut joints = outer.joints.clone();
        joints.retain(|j, f| is_in(f[0], j.cells[0] as usize));
        let ends = ghosts.clone().flat_map(|(n, a, b, ..)| [(*n, *a as u32), (*n, *b as u32)]);
        let pairs = joints.joints.iter().zip(&joints.fields);
        let ends = ends.chain(pairs.flat_map(|(j, f)| [(f[0], j.cells[0]), (f[1], j.cells[1])]));
        let beyond = ends.filter(|(n, k)| !is_in(*n, *k as usize)).collect();
        let (lattice, numbers) = outer.lattice.part(window, &beyond);
        let new = |n: usize, k: usize| numbers[n][&(k as u32)];
        let ghosts: Vec<FaceOf> =
            ghosts.map(|&(n, a, b, axis, times)| (n, new(n, a) as usize, new(n, b) as usize, axis, times)).collect();
        for (joint, f) in joints.joints.iter_mut().zip(&joints.fields) {
            joint.cells = [0, 1].map(|k| new(f[k], joint.cells[k] as usize));
        }
        let lame: Vec<(f64, f64)> = outer.model.bodies.iter().map(|b| b.material.lame()).collect();
        let fine = Fine::new(&Parts {
            lattice: &lattice,
            edge: outer.model.cell,
            lame: &lame,
            laws: &joints.laws,
            joints: &joints.joints,
            joint_fields: &joints.fields,
            points: &joints.points,
            faces: &ghosts,
            fixed: &[],
        });
        let of_case = |case: usize| nodal_forces(&outer.model, &lattice, &joints, &outer.spread[case], case);
        let loads = (0..outer.model.cases.len()).map(of_case).collect();
        let is_within = |node: u32| {
            let p = outer.lattice.places[node as usize].1;
            (0..3).all(|i| 2 * window[0][i] < p[i] && p[i] < 2 * window[1][i])
        };
        let (silent, giving): (Vec<_>, Vec<_>) =
            carried.into_iter().partition(|c| c.by.iter().any(|(n, _)| is_within(*n)));
        let by = giving.iter().flat_map(|c| c.by.iter().map(|b| b.0));
        let own = lattice.fields.iter().flat_map(|f| &f.cells).flat_map(|c| c.nodes);
        let rim: BTreeSet<u32> = own.chain(by).filter(|n| !is_within(*n)).collect();
        Self { outer, zoom, fine, loads, giving, silent, rim: rim.into_iter().collect() }
    }

    /// Displacements of the held nodes of the zoom where the whole moves by `u`.
    pub(crate) fn down(&self, u: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.zoom.unknowns()];
        self.giving.iter().chain(&self.silent).for_each(|c| c.add_to(u, &mut out));
        out
    }

    /// Forces at the rim that put the zoom, moved by `z` under its own forces `right`, in the place of the inside of the whole, moved by `u`.
    pub(crate) fn up(&self, case: usize, u: &[f64], z: &[f64], right: &[f64]) -> Handed {
        let mut own = vec![0.0; u.len()];
        self.fine.product_of_all(u, &mut own);
        own.iter_mut().zip(&self.loads[case]).for_each(|(o, f)| *o -= f);
        let mut reaction = vec![0.0; z.len()];
        self.zoom.fine.product_of_all(z, &mut reaction);
        reaction.iter_mut().zip(right).for_each(|(r, f)| *r -= f);
        let mut total = vec![0.0; u.len()];
        for c in &self.giving {
            for (to, share) in &c.by {
                (0..3).for_each(|i| total[3 * *to as usize + i] -= share * reaction[3 * c.node as usize + i]);
            }
        }
        let pick = |from: &[f64]| -> Vec<f64> {
            self.rim.iter().flat_map(|n| (0..3).map(|i| from[3 * *n as usize + i])).collect()
        };
        let replaced = pick(&own);
        let forces: Vec<f64> = pick(&total).iter().zip(&replaced).map(|(t, o)| t + o).collect();
        let left_over = self.left_over(&forces, &own, &reaction);
        Handed { forces, replaced, left_over }
    }

    /// What the forces handed up leave over in force or moment: they must come to what all nodes of the inside carry less what all those of the zoom carry (loads and supports).
    fn left_over(&self, handed: &[f64], own: &[f64], reaction: &[f64]) -> f64 {
        let Some(middle) = self.rim.get(self.rim.len() / 2).map(|n| self.outer.place_of(*n)) else { return 0.0 };
        let (mut sum, mut whole) = ([0.0; 6], [0.0; 2]);
        let mut add = |place: [f64; 3], sign: f64, f: &[f64]| {
            let r: [f64; 3] = std::array::from_fn(|i| place[i] - middle[i]);
            for i in 0..3 {
                let (j, k) = ((i + 1) % 3, (i + 2) % 3);
                sum[i] += sign * f[i];
                sum[3 + i] += sign * (r[j] * f[k] - r[k] * f[j]);
            }
            whole[0] += size(f);
            whole[1] += size(f) * size(&r);
        };
        self.rim.iter().zip(handed.chunks_exact(3)).for_each(|(n, f)| add(self.outer.place_of(*n), 1.0, f));
        for (prepared, forces, sign) in [(self.outer, own, -1.0), (self.zoom, reaction, 1.0)] {
            for (n, f) in forces.chunks_exact(3).enumerate().filter(|(_, f)| **f != [0.0; 3]) {
                add(prepared.place_of(n as u32), sign, f);
            }
        }
        let share = |sum: &[f64], whole: f64| if whole > 0.0 { size(sum) / whole } else { 0.0 };
        share(&sum[..3], whole[0]).max(share(&sum[3..], whole[1]))
    }
}

/// What a zoom hands up.
pub(crate) struct Handed {
    /// Forces at the rim, three a node.
    pub forces: Vec<f64>,
    /// Forces of the inside there, which they take away among others.
    pub replaced: Vec<f64>,
    /// Resultant force or moment without a cause, as a share of the sum of the sizes of all forces.
    pub left_over: f64,
}

/// Length of a vector.
pub(crate) fn size(v: &[f64]) -> f64 {
    v.iter().map(|x| x * x).sum::<f64>().sqrt()
}
