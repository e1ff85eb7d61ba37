//! From a model to displacements: cut, set up once, solve every load case.

use super::coarse;
use super::cut::Facet;
use super::driven::driven;
use super::error::ModelError;
use super::joined::{Joints, part_of, place};
use super::lattice::{Cell, Lattice};
use super::model::{Load, Model, Zoom};
use super::operator::{Fine, faces};
use super::right_side::{add_load, add_strain, spread, spread_where};
use super::two_level::TwoLevel;
use crate::multigrid::{Convergence, Hierarchy, SolveError, flexible_cg};
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::Arc;

/// What the cut found of one body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Volume, mm3.
    pub volume: f64,
    /// Surface, mm2.
    pub area: f64,
}

/// A model cut and set up.
pub struct Prepared {
    pub(crate) model: Model,
    pub(crate) lattice: Lattice,
    pub(crate) fine: Fine,
    pub(crate) joints: Joints,
    trilinear: crate::multigrid::TrilinearSystem,
    /// Sum of the shares of every load of every case over the whole surface.
    spread: Vec<Vec<f64>>,
    driven: f64,
}

/// Displacements of one load case.
#[derive(Clone)]
pub struct Solution {
    pub(crate) prepared: Arc<Prepared>,
    /// Number of the load case.
    pub case: usize,
    pub(crate) displacement: Vec<f64>,
    /// How the iteration ended.
    pub convergence: Convergence,
}

impl Prepared {
    /// Cuts the lattice by every body and sets up what joins and holds them.
    ///
    /// # Errors
    /// A part with impossible numbers, without material, or off the surface of its body; bodies of an interface that do not touch.
    pub fn new(model: Model, progress: &dyn answer::Progress) -> Result<Arc<Self>, ModelError> {
        model.check()?;
        let lattice = Lattice::new(&model, None, progress)?;
        let mut spreads = vec![];
        for case in &model.cases {
            let sums: Vec<f64> = case.loads.iter().map(|l| spread(&lattice, l)).collect();
            if let Some((load, _)) = case.loads.iter().zip(&sums).find(|(_, s)| **s <= 0.0) {
                return Err(ModelError::Off(load.name.clone()));
            }
            spreads.push(sums);
        }
        Self::set_up(model, lattice, spreads, None).map(Arc::new)
    }

    fn set_up(
        model: Model,
        lattice: Lattice,
        spread: Vec<Vec<f64>>,
        window: Option<[[i32; 3]; 2]>,
    ) -> Result<Self, ModelError> {
        let lame: Vec<(f64, f64)> = model.bodies.iter().map(|b| b.material.lame()).collect();
        let mut joints = Joints::default();
        for number in 0..model.supports.len() {
            if joints.hold(&model, &lattice, number) == 0 && window.is_none() {
                return Err(ModelError::Off(model.supports[number].name.clone()));
            }
        }
        for i in &model.interfaces {
            if joints.join(&model, &lattice, i) == 0 && window.is_none() {
                let [a, b] = i.bodies.map(|b| model.bodies[b].name.clone());
                return Err(ModelError::Apart { interface: i.name.clone(), bodies: [a, b], reach: i.reach });
            }
        }
        let (fixed, driven) = window.map_or((vec![], 0.0), |w| driven(&lattice, &joints, w, model.cell));
        let (h, Joints { laws, joints: all, fields, points, .. }) = (model.cell, &joints);
        let ghosts = faces(&lattice, h, all, fields);
        let parts = coarse::Parts {
            lattice: &lattice,
            edge: h,
            lame: &lame,
            laws,
            joints: all,
            joint_fields: fields,
            points,
            faces: &ghosts,
            fixed: &fixed,
        };
        let trilinear = coarse::system(&parts);
        let mut fine = Fine::new(&lattice, h, lame, (laws.clone(), points.clone()), (all, fields), &ghosts);
        fine.fixed = fixed;
        Ok(Self { fine, joints, trilinear, spread, driven, model, lattice })
    }

    /// Sums of the shares of every load over the whole surface as a zoom needs them: what its own finer points sum to, over the part of the load that
    /// lies in the box. The points of the whole may be too few for a load smaller than a cell; where none of it lies in the box their sum stays.
    fn spread_within(&self, fine: &Lattice, origin: [f64; 3], h: f64, window: [[i32; 3]; 2]) -> Vec<Vec<f64>> {
        let inside = |p: [f64; 3]| {
            (0..3).all(|i| {
                let x = (p[i] - origin[i]) / h;
                x >= f64::from(window[0][i]) && x <= f64::from(window[1][i])
            })
        };
        let of = |load: &Load, total: f64| {
            let part = spread_where(&self.lattice, load, inside) / total;
            let found = spread(fine, load);
            if part > 0.0 && found > 0.0 { found / part } else { total }
        };
        let cases = self.model.cases.iter().zip(&self.spread);
        cases.map(|(case, totals)| case.loads.iter().zip(totals).map(|(l, t)| of(l, *t)).collect()).collect()
    }

    /// Volume and surface of each body as the quadrature sees them.
    pub fn measures(&self) -> Vec<Measures> {
        let cube = self.model.cell.powi(3);
        let one = |cells: &Vec<Cell>| Measures {
            volume: cells.iter().map(|c| c.weights.as_ref().map_or(cube, |w| w.iter().sum())).sum(),
            area: cells.iter().flat_map(|c| &c.facets).map(|f| f.area).sum(),
        };
        self.lattice.fields.iter().map(|f| one(&f.cells)).collect()
    }

    /// The model.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Volume share of a zoom whose displacement is that of the whole throughout: slivers along walls of its box, and pieces that nothing in the box holds.
    pub fn driven(&self) -> f64 {
        self.driven
    }

    /// Number of unknowns.
    pub fn unknowns(&self) -> usize {
        3 * self.fine.nodes
    }

    /// Nodal forces of a case: what is given, and its loads.
    pub(crate) fn right_side(&self, case: usize) -> Vec<f64> {
        let mut out = vec![0.0; self.unknowns()];
        let case_of = &self.model.cases[case];
        if case_of.given != 0.0 {
            for (field, body) in self.model.bodies.iter().enumerate().filter(|(_, b)| b.initial_strain != 0.0) {
                add_strain(&self.lattice, field, self.model.cell, body, &mut out);
            }
            for (joint, fields) in self.joints.joints.iter().zip(&self.joints.fields) {
                let law = &self.joints.laws[joint.law as usize];
                let mut f = [0.0; 162];
                self.joints.points[joint.points.clone()].iter().for_each(|p| law.right_side(p, &mut f));
                for (k, three) in f.chunks_exact(81).enumerate().take(law.sides.iter().flatten().count()) {
                    let nodes = &self.lattice.fields[fields[k]].cells[joint.cells[k] as usize].nodes;
                    for (n, v) in nodes.iter().zip(three.chunks_exact(3)) {
                        (0..3).for_each(|c| out[3 * *n as usize + c] += v[c]);
                    }
                }
            }
            out.iter_mut().for_each(|x| *x *= case_of.given);
        }
        for (load, sum) in case_of.loads.iter().zip(&self.spread[case]) {
            add_load(&self.lattice, self.model.cell, load, *sum, &mut out);
        }
        out
    }

    /// Solves every case to a relative residual of `tolerance` (1e-8 is usual), on one set-up.
    ///
    /// # Errors
    /// [`ModelError::Unsupported`] names a body that nothing holds; no convergence is an error.
    pub fn solve(
        self: &Arc<Self>,
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Vec<Solution>, ModelError> {
        self.solve_from(&vec![vec![]; self.model.cases.len()], tolerance, progress)
    }

    /// As above, from given displacements of the fixed nodes (whole vectors, or empty).
    fn solve_from(
        self: &Arc<Self>,
        starts: &[Vec<f64>],
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Vec<Solution>, ModelError> {
        let hierarchy = Hierarchy::new(&self.trilinear).map_err(|e| match e {
            SolveError::Unsupported { ref fields } => {
                let name = |f: &u32| self.model.bodies[self.lattice.charts[*f as usize]].name.clone();
                ModelError::Unsupported(fields.iter().map(name).collect::<Vec<_>>().join(", "))
            }
            other => ModelError::Solve(other),
        })?;
        let mut pre = TwoLevel::new(&self.fine, hierarchy, &self.lattice);
        let mut all = Vec::with_capacity(starts.len());
        for (case, start) in starts.iter().enumerate() {
            let part = Part { progress, done: case, of: starts.len() };
            let mut right = self.right_side(case);
            let mut displacement = vec![0.0; self.unknowns()];
            if !start.is_empty() {
                let mut product = vec![0.0; self.unknowns()];
                self.fine.product_of_all(start, &mut product);
                right.iter_mut().zip(&product).for_each(|(r, p)| *r -= p);
            }
            for n in &self.fine.fixed {
                right[3 * *n as usize..][..3].fill(0.0);
            }
            let convergence = flexible_cg(&self.fine, &mut pre, &right, &mut displacement, tolerance, 300, &part)?;
            displacement.iter_mut().zip(start).for_each(|(d, s)| *d += s);
            all.push(Solution { prepared: Arc::clone(self), case, displacement, convergence });
        }
        Ok(all)
    }

    /// A place in the material of a cell of each fixed node, where the body has slots in one of two lattices: it tells on which side of them the node is.
    fn material_by(&self, outer: &Lattice) -> BTreeMap<u32, [f64; 3]> {
        let mut out = BTreeMap::new();
        let fixed: std::collections::BTreeSet<u32> = self.fine.fixed.iter().copied().collect();
        let (origin, h) = (self.model.origin, self.model.cell);
        for ((field, other), body) in self.lattice.fields.iter().zip(&outer.fields).zip(&self.model.bodies) {
            if field.is_plain() && other.is_plain() {
                continue;
            }
            for cell in field.cells.iter().filter(|c| c.nodes.iter().any(|n| fixed.contains(n))) {
                let centre = cell.middle();
                let at: [f64; 3] = std::array::from_fn(|i| origin[i] + h * (f64::from(cell.at[i]) + centre[i]));
                // The middle of a bent part may lie outside it; a step below its surface does not.
                let at = match cell.facets.first() {
                    Some(f) if body.solid.distance(at) >= 0.0 => {
                        std::array::from_fn(|i| f.at[i] - 1e-3 * h * f.normal[i])
                    }
                    _ => at,
                };
                cell.nodes.iter().filter(|n| fixed.contains(n)).for_each(|n| {
                    out.entry(*n).or_insert(at);
                });
            }
        }
        out
    }

    /// Cell of the lattice at a place, and the place in that cell.
    pub(crate) fn place(&self, at: [f64; 3]) -> ([i32; 3], [f64; 3]) {
        place(&self.model, at)
    }

    /// Number of the cell, or part of it, that holds a place.
    pub(crate) fn part_of(&self, body: usize, at: [i32; 3], local: [f64; 3]) -> Option<usize> {
        part_of(&self.model, &self.lattice, body, at, local)
    }

    /// Bytes held by the lattice and the operators; the preconditioner comes to it while a case is solved.
    pub fn bytes(&self) -> usize {
        let cell = |c: &Cell| 140 + c.weights.as_ref().map_or(0, |_| 1000) + c.facets.len() * size_of::<Facet>();
        self.fine.bytes() + self.lattice.fields.iter().flat_map(|f| &f.cells).map(cell).sum::<usize>()
    }
}

/// Progress of one case among several.
struct Part<'a> {
    progress: &'a dyn answer::Progress,
    done: usize,
    of: usize,
}

impl answer::Progress for Part<'_> {
    fn step(&self, done: usize, total: usize) -> ControlFlow<()> {
        self.progress.step(self.done * total + done, self.of * total)
    }
}

impl Solution {
    /// As [`Prepared::driven`].
    pub fn driven(&self) -> f64 {
        self.prepared.driven
    }

    /// Solves the part of the model in a box again with smaller cells. Nodes on walls of the box take the displacement of `whole`, which
    /// should be right there: keep the box five radii of the detail away from it.
    ///
    /// # Errors
    /// As [`Prepared::new`] and [`Prepared::solve`]; a box without material; cells that are not smaller.
    pub fn zoom(
        whole: &[Self],
        zoom: &Zoom,
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Vec<Self>, ModelError> {
        let Some(first) = whole.first() else { return Ok(vec![]) };
        let outer = &first.prepared;
        let mut model = outer.model.clone();
        model.cell = zoom.cell;
        model.check()?;
        if zoom.cell > outer.model.cell {
            return Err(ModelError::OutOfRange {
                part: zoom.name.clone(),
                quantity: "cell edge",
                found: zoom.cell,
                expected: "at most that of the whole",
            });
        }
        // On planes of the lattice: outward, but by less than a quarter of a cell inward; one cell at least.
        let most = f64::from(1 << 26);
        let low: [i32; 3] = std::array::from_fn(|i| {
            let from = zoom.centre[i] - 0.5 * zoom.size[i] - model.origin[i];
            (from / zoom.cell + 0.25).floor().clamp(-most, most) as i32
        });
        let high = std::array::from_fn(|i| {
            let to = zoom.centre[i] + 0.5 * zoom.size[i] - model.origin[i];
            ((to / zoom.cell - 0.25).ceil().clamp(-most, most) as i32).max(low[i] + 1)
        });
        let window: [[i32; 3]; 2] = [low, high];
        let lattice = Lattice::new(&model, Some(window), progress).map_err(|e| match e {
            ModelError::NoMaterial(_) => ModelError::NoMaterial(zoom.name.clone()),
            other => other,
        })?;
        let (origin, h) = (model.origin, model.cell);
        let spread = outer.spread_within(&lattice, origin, h, window);
        let prepared = Arc::new(Prepared::set_up(model, lattice, spread, Some(window))?);
        let inside = prepared.material_by(&outer.lattice);
        let starts: Result<Vec<Vec<f64>>, ModelError> = whole
            .iter()
            .map(|s| {
                let mut start = vec![0.0; prepared.unknowns()];
                for n in &prepared.fine.fixed {
                    let (field, p) = prepared.lattice.places[*n as usize];
                    let place = std::array::from_fn(|i| origin[i] + 0.5 * h * f64::from(p[i]));
                    let found = match inside.get(n) {
                        Some(inside) => s.carried(field as usize, *inside, place),
                        None => s.nearest(field as usize, place).map(|l| l.displacement),
                    };
                    let Some(u) = found else {
                        let body = prepared.model.bodies[field as usize].name.clone();
                        return Err(ModelError::Missed { zoom: zoom.name.clone(), body });
                    };
                    start[3 * *n as usize..][..3].copy_from_slice(&u);
                }
                Ok(start)
            })
            .collect();
        prepared.solve_from(&starts?, tolerance, progress)
    }
}
