//! From a model to displacements: cut, assemble, set up, solve.

use super::error::ModelError;
use super::forms::{stiffness, support, whole};
use super::ghost;
use super::lattice::{Lattice, nodes};
use super::model::{Interface, Model};
use super::operator::{Piece, Pieces, TwoLevel};
use crate::multigrid::{
    CellMatrix, Convergence, Hierarchy, Patch, PatchMatrix, SolveError, TrilinearField, TrilinearSystem, flexible_cg,
};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the cut found of one body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Volume, mm3.
    pub volume: f64,
    /// Surface, mm2.
    pub area: f64,
}

/// A model cut and assembled.
pub struct Prepared {
    pub(crate) model: Model,
    pub(crate) lattice: Lattice,
    pieces: Pieces,
    coarse: TrilinearSystem,
    load: Vec<f64>,
}

/// Displacements of a prepared model.
pub struct Solution<'a> {
    pub(crate) prepared: &'a Prepared,
    pub(crate) displacement: Vec<f64>,
    /// How the iteration ended.
    pub convergence: Convergence,
}

type Place = (u32, [i32; 3]);

impl Prepared {
    /// Cuts the lattice by every body and assembles what joins, holds and loads them.
    ///
    /// # Errors
    /// A part with impossible numbers, without material, or off the surface of its body.
    pub fn new(model: Model) -> Result<Self, ModelError> {
        model.check()?;
        let lattice = Lattice::new(&model)?;
        let count = lattice.nodes.len();
        let mut out = Self {
            coarse: TrilinearSystem { spacing: model.cell, ..TrilinearSystem::default() },
            pieces: Pieces { nodes: count, pieces: vec![] },
            load: vec![0.0; 3 * count],
            model,
            lattice,
        };
        for field in 0..out.model.bodies.len() {
            out.cells(field);
            out.faces(field);
        }
        for load in 0..out.model.loads.len() {
            out.add_load(load)?;
        }
        for s in &out.model.supports {
            let inside = |f: &super::quadrature::Facet| s.region.distance(f.at) < 0.0;
            if !out.lattice.cells[s.body].iter().flat_map(|c| &c.facets).any(inside) {
                return Err(ModelError::Off(s.name.clone()));
            }
        }
        for i in out.model.interfaces.clone() {
            out.join(&i)?;
        }
        Ok(out)
    }

    /// Volume and surface of each body as the quadrature sees them.
    pub fn measures(&self) -> Vec<Measures> {
        let cube = self.model.cell.powi(3);
        let one = |cells: &Vec<super::lattice::Cell>| Measures {
            volume: cells.iter().map(|c| c.weights.as_ref().map_or(cube, |w| w.iter().sum())).sum(),
            area: cells.iter().flat_map(|c| &c.facets).map(|f| f.area).sum(),
        };
        self.lattice.cells.iter().map(one).collect()
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        3 * self.pieces.nodes
    }

    fn cells(&mut self, field: usize) {
        let body = &self.model.bodies[field];
        let (h, lame) = (self.model.cell, body.material.lame());
        let (shared, shared_force) = stiffness(&whole(h), h, lame);
        let shared = Arc::new(shared);
        let mut coarse = TrilinearField::default();
        for cell in &self.lattice.cells[field] {
            let numbers = self.lattice.numbers(field, cell.at);
            let (matrix, own_force);
            let force = match &cell.weights {
                None => {
                    matrix = Arc::clone(&shared);
                    coarse.cells.push((cell.at, CellMatrix::Uniform { lambda: lame.0, mu: lame.1 }));
                    &shared_force
                }
                Some(weights) => {
                    let (mut k, force) = stiffness(weights, h, lame);
                    let mut extra = vec![0.0; 81];
                    for s in self.model.supports.iter().filter(|s| s.body == field) {
                        for f in cell.facets.iter().filter(|f| s.region.distance(f.at) < 0.0) {
                            support(&mut k, &mut extra, f, h, lame, body.initial_strain, &s.given);
                        }
                    }
                    for (n, three) in numbers.iter().zip(extra.chunks_exact(3)) {
                        (0..3).for_each(|c| self.load[3 * *n as usize + c] += three[c]);
                    }
                    let places: Vec<Place> = nodes(cell.at).map(|n| (field as u32, n)).collect();
                    let (_, packed) = galerkin(&places, 3, &k, 1.0);
                    let mut own = Box::new([0.0f32; 300]);
                    own.copy_from_slice(&packed[..300]);
                    coarse.cells.push((cell.at, CellMatrix::Own(own)));
                    matrix = Arc::new(k);
                    own_force = force;
                    &own_force
                }
            };
            for (n, three) in numbers.iter().zip(force.chunks_exact(3)) {
                (0..3).for_each(|c| self.load[3 * *n as usize + c] += body.initial_strain * three[c]);
            }
            self.pieces.pieces.push(Piece { nodes: numbers, scalar: false, factor: 1.0, matrix });
        }
        self.coarse.fields.push(coarse);
    }

    /// Ghost penalty on every face of a cut cell.
    fn faces(&mut self, field: usize) {
        let (lambda, mu) = self.model.bodies[field].material.lame();
        let factor = (lambda + 2.0 * mu) * self.model.cell;
        let matrix = Arc::new(ghost::face());
        let cells = &self.lattice.cells[field];
        for cell in cells {
            for axis in 0..3 {
                let mut beside = cell.at;
                beside[axis] += 1;
                let Some(&other) = self.lattice.index[field].get(&beside) else { continue };
                if cell.weights.is_none() && cells[other].weights.is_none() {
                    continue;
                }
                let places: Vec<Place> = (0..45)
                    .map(|i| {
                        let p = ghost::place(i, axis);
                        (field as u32, std::array::from_fn(|c| 2 * cell.at[c] + p[c]))
                    })
                    .collect();
                let (nodes, packed) = galerkin(&places, 1, &matrix, factor);
                self.coarse.patches.push(Patch { nodes, matrix: PatchMatrix::Scalar(packed) });
                let nodes = places.iter().map(|p| self.lattice.nodes[p]).collect();
                self.pieces.pieces.push(Piece { nodes, scalar: true, factor, matrix: Arc::clone(&matrix) });
            }
        }
    }

    fn add_load(&mut self, number: usize) -> Result<(), ModelError> {
        let load = &self.model.loads[number];
        let cells = &self.lattice.cells[load.body];
        let inside = |f: &super::quadrature::Facet| load.region.distance(f.at) < 0.0;
        let area: f64 = cells.iter().flat_map(|c| &c.facets).filter(|f| inside(f)).map(|f| f.area).sum();
        if area <= 0.0 {
            return Err(ModelError::Off(load.name.clone()));
        }
        for cell in cells {
            for f in cell.facets.iter().filter(|f| inside(f)) {
                let (n, _) = super::basis::shape(f.local);
                for (node, n) in self.lattice.numbers(load.body, cell.at).iter().zip(n) {
                    for c in 0..3 {
                        self.load[3 * *node as usize + c] += n * f.area * load.force[c] / area;
                    }
                }
            }
        }
        Ok(())
    }

    /// Springs between the surfaces of two bodies, gathered by pair of cells.
    fn join(&mut self, i: &Interface) -> Result<(), ModelError> {
        let [a, b] = i.bodies;
        let h = self.model.cell;
        let mut pairs: BTreeMap<(usize, usize), Vec<f64>> = BTreeMap::new();
        for (ca, cell) in self.lattice.cells[a].iter().enumerate() {
            for f in &cell.facets {
                if self.model.bodies[b].solid.distance(f.at).abs() > i.reach {
                    continue;
                }
                let lattice_place = |by: f64| -> [i32; 3] {
                    std::array::from_fn(|c| {
                        ((f.at[c] + by * h * f.normal[c] - self.model.origin[c]) / h).floor() as i32
                    })
                };
                let found = [0.0, 1e-6, 0.05, 0.2].iter().find_map(|by| self.lattice.index[b].get(&lattice_place(*by)));
                let Some(&cb) = found else { continue };
                let other = self.lattice.cells[b][cb].at;
                let local = std::array::from_fn(|c| (f.at[c] - self.model.origin[c]) / h - f64::from(other[c]));
                let ((na, _), (nb, _)) = (super::basis::shape(f.local), super::basis::shape(local));
                let jump: Vec<f64> = na.iter().copied().chain(nb.iter().map(|n| -n)).collect();
                let m = pairs.entry((ca, cb)).or_insert_with(|| vec![0.0; 162 * 162]);
                for (p, row) in m.chunks_exact_mut(162).enumerate() {
                    for (q, v) in row.iter_mut().enumerate() {
                        let (x, y) = (p % 3, q % 3);
                        let along = (i.normal - i.tangential) * f.normal[x] * f.normal[y];
                        let c = along + if x == y { i.tangential } else { 0.0 };
                        *v += f.area * c * jump[p / 3] * jump[q / 3];
                    }
                }
            }
        }
        if pairs.is_empty() {
            return Err(ModelError::Off(i.name.clone()));
        }
        for ((ca, cb), matrix) in pairs {
            let (pa, pb) = (self.lattice.cells[a][ca].at, self.lattice.cells[b][cb].at);
            let of = |field: usize, at| nodes(at).map(move |n| (field as u32, n));
            let places: Vec<Place> = of(a, pa).chain(of(b, pb)).collect();
            let (coarse, packed) = galerkin(&places, 3, &matrix, 1.0);
            self.coarse.patches.push(Patch { nodes: coarse, matrix: PatchMatrix::Full(packed) });
            let nodes = places.iter().map(|p| self.lattice.nodes[p]).collect();
            self.pieces.pieces.push(Piece { nodes, scalar: false, factor: 1.0, matrix: Arc::new(matrix) });
        }
        Ok(())
    }

    /// Solves to a relative residual of `tolerance` (1e-8 is usual).
    ///
    /// # Errors
    /// [`ModelError::Unsupported`] names a body that nothing holds; no convergence is an error.
    pub fn solve(&self, tolerance: f64, progress: &dyn answer::Progress) -> Result<Solution<'_>, ModelError> {
        let hierarchy = Hierarchy::new(&self.coarse).map_err(|e| match e {
            SolveError::Unsupported { ref fields } => {
                let name = |f: &u32| self.model.bodies[*f as usize].name.clone();
                ModelError::Unsupported(fields.iter().map(name).collect::<Vec<_>>().join(", "))
            }
            other => ModelError::Solve(other),
        })?;
        let mut between = vec![vec![]; self.pieces.nodes];
        for (&(field, at), &node) in &self.lattice.nodes {
            let shares = halves(at).into_iter();
            between[node as usize] =
                shares.filter_map(|(p, s)| hierarchy.node(field, p).map(|n| (n as u32, s))).collect();
        }
        let mut displacement = vec![0.0; self.unknowns()];
        let mut pre = TwoLevel::new(&self.pieces, hierarchy, between);
        let convergence = flexible_cg(&self.pieces, &mut pre, &self.load, &mut displacement, tolerance, 400, progress)?;
        Ok(Solution { prepared: self, displacement, convergence })
    }
}

/// Trilinear nodes around a place in half cells, with their shares.
fn halves(at: [i32; 3]) -> Vec<([i32; 3], f64)> {
    let mut out = vec![([0; 3], 1.0)];
    for axis in 0..3 {
        let (whole, odd) = (at[axis].div_euclid(2), at[axis].rem_euclid(2) == 1);
        out = out
            .into_iter()
            .flat_map(|(p, s)| {
                let to = |v, s| {
                    let mut p: [i32; 3] = p;
                    p[axis] = v;
                    (p, s)
                };
                if odd { vec![to(whole, 0.5 * s), to(whole + 1, 0.5 * s)] } else { vec![to(whole, s)] }
            })
            .collect();
    }
    out
}

/// The matrix on trilinear displacements (packed lower triangle), with its nodes by field, z, y, x.
fn galerkin(places: &[Place], block: usize, matrix: &[f64], factor: f64) -> (Vec<Place>, Vec<f32>) {
    let mut order: BTreeMap<(u32, i32, i32, i32), usize> = BTreeMap::new();
    let shares: Vec<_> = places.iter().map(|p| halves(p.1)).collect();
    let key = |field, p: [i32; 3]| (field, p[2], p[1], p[0]);
    for (p, s) in places.iter().zip(&shares) {
        s.iter().for_each(|(q, _)| _ = order.insert(key(p.0, *q), 0));
    }
    order.values_mut().enumerate().for_each(|(i, v)| *v = i);
    let rows: Vec<Vec<(usize, f64)>> =
        places.iter().zip(&shares).map(|(p, s)| s.iter().map(|(q, w)| (order[&key(p.0, *q)], *w)).collect()).collect();
    let (fine, n) = (block * places.len(), block * order.len());
    // Right half first: fine x coarse.
    let mut half = vec![0.0; fine * n];
    for i in 0..fine {
        for (j, shares) in rows.iter().enumerate() {
            for b in 0..block {
                let v = matrix[i * fine + block * j + b];
                shares.iter().for_each(|(to, w)| half[i * n + block * to + b] += w * v);
            }
        }
    }
    let mut full = vec![0.0; n * n];
    for (i, shares) in rows.iter().enumerate() {
        for (to, w) in shares {
            for b in 0..block {
                let (from, into) = ((block * i + b) * n, (block * to + b) * n);
                (0..n).for_each(|j| full[into + j] += w * half[from + j]);
            }
        }
    }
    let packed = (0..n).flat_map(|i| (0..=i).map(move |j| (i, j))).map(|(i, j)| (factor * full[i * n + j]) as f32);
    let packed = packed.collect();
    (order.keys().map(|k| (k.0, [k.3, k.2, k.1])).collect(), packed)
}
