//! Stress at the true surface, in the body and at interfaces, and what lifetime needs of it.

use super::basis::{GAUSS5, shape};
use super::error::ModelError;
use super::lattice::Cell;
use super::model::{Group, Push};
use super::right_side::whole;
use super::solver::Solution;
use crate::spectrum::{Extent, StressSpectrum};
use rayon::prelude::*;

/// Displacement and stress at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Local {
    /// mm.
    pub displacement: [f64; 3],
    /// xx, yy, zz, xy, yz, zx, MPa.
    pub stress: [f64; 6],
}

/// Stress at a point of a body's surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurfacePoint {
    /// Place, mm.
    pub at: [f64; 3],
    /// Outward normal.
    pub normal: [f64; 3],
    /// Area it stands for, mm2.
    pub area: f64,
    /// xx, yy, zz, xy, yz, zx, MPa.
    pub stress: [f64; 6],
}

impl SurfacePoint {
    /// Principal stresses, greatest first, MPa.
    pub fn principal(&self) -> [f64; 3] {
        principal(self.stress)
    }
}

/// What an interface carries at a point, seen from both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InterfacePoint {
    /// Place, mm.
    pub at: [f64; 3],
    /// Normal out of the first body.
    pub normal: [f64; 3],
    /// Area it stands for, mm2.
    pub area: f64,
    /// Traction on the first body, MPa.
    pub traction: [f64; 3],
    /// Displacement of the first body less that of the second, mm.
    pub jump: [f64; 3],
    /// Stress in the first and in the second body, MPa.
    pub stress: [[f64; 6]; 2],
}

/// Stress of a named group in one load case.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupStress {
    /// Area counted, mm2.
    pub area: f64,
    /// Share of the group's area that was left out: asked for, or too near a load, a support or the edge of an interface.
    pub left_out: f64,
    /// Place and value of the greatest principal stress at a quadrature point, for show only.
    pub peak: ([f64; 3], f64),
    /// Area by principal tensile stress under the loads of the case (not per newton); `None` without tension.
    pub spectrum: Option<StressSpectrum>,
}

/// Principal stresses of xx, yy, zz, xy, yz, zx, greatest first (trigonometric form of the cubic; Smith 1961, Commun ACM 4:168, memory).
pub fn principal([x, y, z, xy, yz, zx]: [f64; 6]) -> [f64; 3] {
    let mean = (x + y + z) / 3.0;
    let (a, b, c) = (x - mean, y - mean, z - mean);
    let j2 = 0.5 * (a * a + b * b + c * c) + xy * xy + yz * yz + zx * zx;
    if j2 <= 0.0 {
        return [mean; 3];
    }
    let j3 = a * b * c + 2.0 * xy * yz * zx - a * yz * yz - b * zx * zx - c * xy * xy;
    let size = (j2 / 3.0).sqrt();
    let angle = libm::acos((j3 / (2.0 * size.powi(3))).clamp(-1.0, 1.0)) / 3.0;
    let turn = 2.0 * std::f64::consts::PI / 3.0;
    let at = |t: f64| mean + 2.0 * size * libm::cos(t);
    [at(angle), at(angle - turn), at(angle + turn)]
}

/// Stress of a displacement gradient less an equal initial strain.
fn stress(grad: [[f64; 3]; 3], initial: f64, (lambda, mu): (f64, f64)) -> [f64; 6] {
    let trace = grad[0][0] + grad[1][1] + grad[2][2] - 3.0 * initial;
    let normal = |i: usize| lambda * trace + 2.0 * mu * (grad[i][i] - initial);
    let shear = |i: usize, j: usize| mu * (grad[i][j] + grad[j][i]);
    [normal(0), normal(1), normal(2), shear(0, 1), shear(1, 2), shear(2, 0)]
}

impl Solution {
    /// Displacement and stress at a local place of a cell.
    fn local(&self, body: usize, cell: &Cell, local: [f64; 3]) -> Local {
        let model = &self.prepared.model;
        let (n, g) = shape(local);
        let (mut u, mut grad) = ([0.0; 3], [[0.0; 3]; 3]);
        for (k, node) in cell.nodes.iter().enumerate() {
            for a in 0..3 {
                let v = self.displacement[3 * *node as usize + a];
                u[a] += n[k] * v;
                (0..3).for_each(|b| grad[a][b] += g[k][b] * v / model.cell);
            }
        }
        let part = &model.bodies[body];
        let initial = model.cases[self.case].given * part.initial_strain;
        Local { displacement: u, stress: stress(grad, initial, part.material.lame()) }
    }

    /// The model it solves.
    pub fn model(&self) -> &super::model::Model {
        &self.prepared.model
    }

    /// Greatest displacement of a node within a cell of its body, mm.
    pub fn greatest_displacement(&self) -> f64 {
        let square = |v: &[f64]| v.iter().map(|x| x * x).sum::<f64>();
        self.displacement.chunks_exact(3).map(square).fold(0.0, f64::max).sqrt()
    }

    /// Work of the case's loads on its displacements, N mm: twice the energy stored where nothing is given.
    pub fn work(&self) -> f64 {
        self.prepared.right_side(self.case).iter().zip(&self.displacement).map(|(f, u)| f * u).sum()
    }

    /// Displacement and stress of a body at a place; `None` where it has no active cell.
    pub fn at(&self, body: usize, at: [f64; 3]) -> Option<Local> {
        self.within(body, at, 0)
    }

    /// As [`Self::at`], or from the field of the nearest active cell at most two cells away.
    pub fn nearest(&self, body: usize, at: [f64; 3]) -> Option<Local> {
        (0..=2).find_map(|far| self.within(body, at, far))
    }

    fn within(&self, body: usize, at: [f64; 3], far: i32) -> Option<Local> {
        let (cell, local) = self.prepared.nearest_cell(body, at, far)?;
        Some(self.local(body, cell, local))
    }

    /// Stress at every quadrature point of a body's surface; nothing for a body that is not there.
    pub fn surface(&self, body: usize) -> Vec<SurfacePoint> {
        let Some(field) = self.prepared.lattice.fields.get(body) else { return vec![] };
        let one = |cell: &Cell| -> Vec<SurfacePoint> {
            let point = |f: &super::cut::Facet| {
                let stress = self.local(body, cell, f.local).stress;
                SurfacePoint { at: f.at, normal: f.normal, area: f.area, stress }
            };
            cell.facets.iter().map(point).collect()
        };
        let parts: Vec<Vec<SurfacePoint>> = field.cells.par_iter().map(one).collect();
        parts.into_iter().flatten().collect()
    }

    /// Traction, jump and two-sided stress at every point of an interface; nothing for one that is not there.
    pub fn interface(&self, number: usize) -> Vec<InterfacePoint> {
        let (joints, lattice) = (&self.prepared.joints, &self.prepared.lattice);
        let Some(range) = joints.interfaces.get(number) else { return vec![] };
        let mut out = vec![];
        for (joint, fields) in joints.joints[range.clone()].iter().zip(&joints.fields[range.clone()]) {
            let law = &joints.laws[joint.law as usize];
            let cells: [&Cell; 2] = std::array::from_fn(|k| &lattice.fields[fields[k]].cells[joint.cells[k] as usize]);
            for p in &joints.points[joint.points.clone()] {
                let sides: [Local; 2] = std::array::from_fn(|k| self.local(fields[k], cells[k], p.local[k]));
                let jump = std::array::from_fn(|i| sides[0].displacement[i] - sides[1].displacement[i]);
                let mut mean = [0.0; 3];
                for (side, s) in law.sides.iter().flatten().zip(&sides) {
                    let t = pull(s.stress, p.normal);
                    (0..3).for_each(|i| mean[i] += side.share * t[i]);
                }
                let traction = law.dual(p.normal, jump, mean).0.map(|x| -x);
                let model = &self.prepared.model;
                let at =
                    std::array::from_fn(|i| model.origin[i] + model.cell * (f64::from(cells[0].at[i]) + p.local[0][i]));
                let stress = sides.map(|s| s.stress);
                out.push(InterfacePoint { at, normal: p.normal, area: p.area, traction, jump, stress });
            }
        }
        out
    }

    /// Stress of a group: area by all principal stresses, with what is left out told.
    ///
    /// # Errors
    /// A group off its body.
    pub fn group(&self, group: &Group) -> Result<GroupStress, ModelError> {
        if group.body >= self.prepared.model.bodies.len() {
            return Err(ModelError::NoBody { part: group.name.clone(), body: group.body });
        }
        let (mut samples, mut all, mut area) = (vec![], 0.0, 0.0);
        let mut peak = ([0.0; 3], f64::NEG_INFINITY);
        for p in self.surface(group.body).iter().filter(|p| group.region.distance(p.at) < 0.0) {
            all += p.area;
            if group.excluded.as_ref().is_some_and(|e| e.distance(p.at) < 0.0) || self.is_near_edge(group, p.at) {
                continue;
            }
            area += p.area;
            let s = p.principal();
            if s[0] > peak.1 {
                peak = (p.at, s[0]);
            }
            samples.extend(s.map(|s| (s, p.area)));
        }
        if all <= 0.0 {
            return Err(ModelError::Off(group.name.clone()));
        }
        let spectrum = samples
            .iter()
            .any(|s| s.0 > 0.0)
            .then(|| StressSpectrum::from_samples(group.name.clone(), Extent::Surface, &samples))
            .transpose()?;
        Ok(GroupStress { area, left_out: 1.0 - area / all, peak, spectrum })
    }

    /// Nearer to a load, a support or the rim of an interface than the group's margin.
    fn is_near_edge(&self, group: &Group, at: [f64; 3]) -> bool {
        let model = &self.prepared.model;
        let margin = group.margin * model.cell;
        if margin <= 0.0 {
            return false;
        }
        let near = |region: &dyn shape::Solid| region.bound().is_finite() && region.distance(at) < margin;
        let loads = model.cases[self.case].loads.iter().filter(|l| l.body == group.body);
        let supports = model.supports.iter().filter(|s| s.body == group.body);
        let rim = |i: &super::model::Interface| {
            let other = match i.bodies.iter().position(|b| *b == group.body) {
                Some(k) => &model.bodies[i.bodies[1 - k]].solid,
                None => return false,
            };
            let d = other.distance(at);
            d.abs() > i.reach && d.abs() < margin
        };
        loads.filter(|l| !matches!(l.push, Push::PerVolume(_))).any(|l| near(&*l.region))
            || supports.into_iter().any(|s| near(&*s.region))
            || model.interfaces.iter().any(rim)
    }

    /// Volume of a body by principal tensile stress under the loads of the case. Cut cells with weights below zero are counted by their other
    /// points, scaled to the cell's volume.
    ///
    /// # Errors
    /// A body that is not there, or one without any tension.
    pub fn volume(&self, body: usize) -> Result<StressSpectrum, ModelError> {
        let missing = || ModelError::NoBody { part: "volume".into(), body };
        let field = self.prepared.lattice.fields.get(body).ok_or_else(missing)?;
        let all = whole(self.prepared.model.cell);
        let one = |cell: &Cell| -> Vec<(f64, f64)> {
            let weights = cell.weights.as_deref().unwrap_or(&all);
            let (sum, kept): (f64, f64) = (weights.iter().sum(), weights.iter().filter(|w| **w > 0.0).sum());
            let points = weights.iter().enumerate().filter(|(_, w)| **w > 0.0);
            points
                .flat_map(|(n, w)| {
                    let local = [n % 5, n / 5 % 5, n / 25].map(|i| GAUSS5[i].0);
                    principal(self.local(body, cell, local).stress).map(|s| (s, w * sum.max(0.0) / kept))
                })
                .collect()
        };
        let parts: Vec<Vec<(f64, f64)>> = field.cells.par_iter().map(one).collect();
        let samples: Vec<(f64, f64)> = parts.into_iter().flatten().collect();
        Ok(StressSpectrum::from_samples(self.prepared.model.bodies[body].name.clone(), Extent::Volume, &samples)?)
    }
}

/// sigma n.
fn pull(s: [f64; 6], n: [f64; 3]) -> [f64; 3] {
    [
        s[0] * n[0] + s[3] * n[1] + s[5] * n[2],
        s[3] * n[0] + s[1] * n[1] + s[4] * n[2],
        s[5] * n[0] + s[4] * n[1] + s[2] * n[2],
    ]
}
