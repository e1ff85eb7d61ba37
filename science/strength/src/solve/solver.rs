//! From a model to displacements: cut, set up once, solve every load case.

use super::coarse;
use super::cut::Facet;
use super::driven::driven;
use super::error::ModelError;
use super::joined::Joints;
use super::lattice::{Cell, Lattice};
use super::model::Model;
use super::operator::Fine;
use super::right_side::{nodal_forces, spread};
use super::slabs::{FaceOf, faces};
use super::two_level::TwoLevel;
use crate::multigrid::{Convergence, Hierarchy, SolveError, flexible_cg};
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
    pub(crate) ghosts: Vec<FaceOf>,
    pub(crate) trilinear: crate::multigrid::TrilinearSystem,
    /// Sum of the shares of every load of every case over the whole surface.
    pub(crate) spread: Vec<Vec<f64>>,
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

    pub(crate) fn set_up(
        model: Model,
        lattice: Lattice,
        spread: Vec<Vec<f64>>,
        window: Option<[[i32; 3]; 2]>,
    ) -> Result<Self, ModelError> {
        let joints = Self::joined(&model, &lattice, window.is_none())?;
        let held = window.map_or((vec![], 0.0), |w| driven(&lattice, &joints, w, model.cell));
        let ghosts = faces(&lattice, model.cell, &joints.joints, &joints.fields);
        Ok(Self::assembled(model, lattice, spread, joints, ghosts, held))
    }

    /// What holds and joins; of the whole model all of it must be found.
    pub(crate) fn joined(model: &Model, lattice: &Lattice, all: bool) -> Result<Joints, ModelError> {
        let mut joints = Joints::default();
        for number in 0..model.supports.len() {
            if joints.hold(model, lattice, number) == 0 && all {
                return Err(ModelError::Off(model.supports[number].name.clone()));
            }
        }
        for i in &model.interfaces {
            if joints.join(model, lattice, i) == 0 && all {
                let [a, b] = i.bodies.map(|b| model.bodies[b].name.clone());
                return Err(ModelError::Apart { interface: i.name.clone(), bodies: [a, b], reach: i.reach });
            }
        }
        Ok(joints)
    }

    /// The operators; `held` are nodes whose displacement is given, and the share of the volume they take.
    pub(crate) fn assembled(
        model: Model,
        lattice: Lattice,
        spread: Vec<Vec<f64>>,
        joints: Joints,
        ghosts: Vec<FaceOf>,
        (fixed, driven): (Vec<u32>, f64),
    ) -> Self {
        let lame: Vec<(f64, f64)> = model.bodies.iter().map(|b| b.material.lame()).collect();
        let (h, Joints { laws, joints: all, fields, points, .. }) = (model.cell, &joints);
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
        let fine = Fine::new(&parts);
        Self { fine, joints, ghosts, trilinear, spread, driven, model, lattice }
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
        nodal_forces(&self.model, &self.lattice, &self.joints, &self.spread[case], case)
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
    pub(crate) fn solve_from(
        self: &Arc<Self>,
        held: &[Vec<f64>],
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<Vec<Solution>, ModelError> {
        let mut engine = Engine::new(self)?;
        let one = |(case, held): (usize, &Vec<f64>)| {
            let part = Part { progress, done: case, of: self.model.cases.len() };
            let (displacement, convergence) = engine.solve(self.right_side(case), held, &[], tolerance, &part)?;
            Ok(Solution { prepared: Arc::clone(self), case, displacement, convergence })
        };
        held.iter().enumerate().map(one).collect()
    }

    /// Bytes held by the lattice and the operators; the preconditioner comes to it while a case is solved.
    pub fn bytes(&self) -> usize {
        let cell = |c: &Cell| 140 + c.weights.as_ref().map_or(0, |_| 1000) + c.facets.len() * size_of::<Facet>();
        self.fine.bytes() + self.lattice.fields.iter().flat_map(|f| &f.cells).map(cell).sum::<usize>()
    }
}

/// A set-up with its preconditioner, for any number of solves.
pub(crate) struct Engine<'a> {
    prepared: &'a Prepared,
    preconditioner: TwoLevel<'a>,
}

impl<'a> Engine<'a> {
    /// # Errors
    /// As [`Prepared::solve`].
    pub(crate) fn new(prepared: &'a Prepared) -> Result<Self, ModelError> {
        let hierarchy = Hierarchy::new(&prepared.trilinear).map_err(|e| match e {
            SolveError::Unsupported { ref fields } => {
                let name = |f: &u32| prepared.model.bodies[prepared.lattice.charts[*f as usize]].name.clone();
                ModelError::Unsupported(fields.iter().map(name).collect::<Vec<_>>().join(", "))
            }
            other => ModelError::Solve(other),
        })?;
        Ok(Self { prepared, preconditioner: TwoLevel::new(&prepared.fine, hierarchy, &prepared.lattice) })
    }

    /// Displacements under nodal forces `right`, fixed nodes moved as in `held` (nothing elsewhere in it; or empty), from a guess (or empty).
    pub(crate) fn solve(
        &mut self,
        mut right: Vec<f64>,
        held: &[f64],
        guess: &[f64],
        tolerance: f64,
        progress: &dyn answer::Progress,
    ) -> Result<(Vec<f64>, Convergence), ModelError> {
        let fine = &self.prepared.fine;
        if !held.is_empty() {
            let mut product = vec![0.0; right.len()];
            fine.product_of_all(held, &mut product);
            right.iter_mut().zip(&product).for_each(|(r, p)| *r -= p);
        }
        let mut displacement = if guess.is_empty() { vec![0.0; right.len()] } else { guess.to_vec() };
        for n in &fine.fixed {
            right[3 * *n as usize..][..3].fill(0.0);
            displacement[3 * *n as usize..][..3].fill(0.0);
        }
        let pre = &mut self.preconditioner;
        let convergence = flexible_cg(fine, pre, &right, &mut displacement, tolerance, 300, progress)?;
        displacement.iter_mut().zip(held).for_each(|(d, h)| *d += h);
        Ok((displacement, convergence))
    }
}

/// Progress of one case among several.
pub(crate) struct Part<'a> {
    pub progress: &'a dyn answer::Progress,
    pub done: usize,
    pub of: usize,
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
}
