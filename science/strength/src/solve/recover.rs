//! Stress at the true surface, and what lifetime needs of it.

use super::basis::shape;
use super::error::ModelError;
use super::forms::stress;
use super::lattice::Cell;
use super::solver::Solution;
use crate::spectrum::{Extent, StressSpectrum};
use shape::Solid;

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
    /// Principal stresses, greatest first, MPa (trigonometric form of the cubic; Smith 1961, Commun ACM 4:168, memory).
    pub fn principal(&self) -> [f64; 3] {
        let [x, y, z, xy, yz, zx] = self.stress;
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
}

impl Solution<'_> {
    /// Displacement and its gradient at a local place of a cell.
    fn local(&self, body: usize, cell: &Cell, local: [f64; 3]) -> ([f64; 3], [[f64; 3]; 3]) {
        let (n, g) = shape(local);
        let (mut u, mut grad) = ([0.0; 3], [[0.0; 3]; 3]);
        for (k, node) in self.prepared.lattice.numbers(body, cell.at).into_iter().enumerate() {
            for a in 0..3 {
                let v = self.displacement[3 * node as usize + a];
                u[a] += n[k] * v;
                (0..3).for_each(|b| grad[a][b] += g[k][b] * v / self.prepared.model.cell);
            }
        }
        (u, grad)
    }

    /// Displacement of a body at a place, mm; `None` where it has no active cell.
    pub fn displacement(&self, body: usize, at: [f64; 3]) -> Option<[f64; 3]> {
        let (model, lattice) = (&self.prepared.model, &self.prepared.lattice);
        let scaled: [f64; 3] = std::array::from_fn(|i| (at[i] - model.origin[i]) / model.cell);
        let place = scaled.map(|x| x.floor() as i32);
        let cell = &lattice.cells.get(body)?[*lattice.index[body].get(&place)?];
        Some(self.local(body, cell, std::array::from_fn(|i| scaled[i] - f64::from(place[i]))).0)
    }

    /// Stress at every quadrature point of a body's surface; nothing for a body that is not there.
    pub fn surface(&self, body: usize) -> Vec<SurfacePoint> {
        let Some(part) = self.prepared.model.bodies.get(body) else { return vec![] };
        let (lame, initial) = (part.material.lame(), part.initial_strain);
        let mut out = Vec::new();
        for cell in &self.prepared.lattice.cells[body] {
            for f in &cell.facets {
                let stress = stress(self.local(body, cell, f.local).1, initial, lame);
                out.push(SurfacePoint { at: f.at, normal: f.normal, area: f.area, stress });
            }
        }
        out
    }

    /// Spectrum of all three principal stresses over the surface inside `region` and outside `excluded`, and the share of area left out.
    ///
    /// # Errors
    /// A group off the body, or one without any tension.
    pub fn spectrum(
        &self,
        name: &str,
        body: usize,
        region: &dyn Solid,
        excluded: Option<&dyn Solid>,
    ) -> Result<(StressSpectrum, f64), ModelError> {
        let (mut samples, mut all, mut left_out) = (vec![], 0.0, 0.0);
        for p in self.surface(body).iter().filter(|p| region.distance(p.at) < 0.0) {
            all += p.area;
            if excluded.is_some_and(|e| e.distance(p.at) < 0.0) {
                left_out += p.area;
            } else {
                samples.extend(p.principal().map(|s| (s, p.area)));
            }
        }
        if samples.is_empty() {
            return Err(ModelError::Off(name.into()));
        }
        Ok((StressSpectrum::from_samples(name, Extent::Surface, &samples)?, left_out / all))
    }
}
