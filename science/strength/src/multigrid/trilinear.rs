//! Displacements of a trilinear system: one set-up, any number of load cases.

use std::sync::Arc;

use super::error::SolveError;
use super::hierarchy::Hierarchy;
use super::krylov::{Convergence, LinearOperator, flexible_cg};
use super::operator::LevelOperator;
use super::system::TrilinearSystem;

/// A trilinear system ready for load cases.
#[derive(Debug, Clone)]
pub struct TrilinearSolver {
    hierarchy: Hierarchy,
    operator: Arc<LevelOperator>,
}

/// When an iteration is good enough, and when it is given up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Norm of the residual over that of the load.
    pub tolerance: f64,
    /// Most iterations.
    pub iterations: usize,
}

impl Default for Effort {
    fn default() -> Self {
        Self { tolerance: 1e-8, iterations: 200 }
    }
}

/// The stiffness on vectors that stand component by component.
impl LinearOperator for LevelOperator {
    fn unknowns(&self) -> usize {
        3 * self.count
    }
    fn apply(&self, x: &[f64], y: &mut [f64]) {
        Self::apply(self, x, y);
    }
}

impl TrilinearSolver {
    /// Builds the levels.
    ///
    /// # Errors
    /// As [`Hierarchy::new`].
    pub fn new(system: &TrilinearSystem) -> Result<Self, SolveError> {
        let hierarchy = Hierarchy::new(system)?;
        let operator = hierarchy.top();
        Ok(Self { hierarchy, operator })
    }

    /// The levels.
    pub fn hierarchy(&self) -> &Hierarchy {
        &self.hierarchy
    }

    /// The stiffness of the finest level, on vectors that stand component by component.
    pub fn stiffness(&self) -> &LevelOperator {
        &self.operator
    }

    /// Number of a node: its components stand at `3 n + c` in loads and displacements.
    pub fn node(&self, field: u32, at: [i32; 3]) -> Option<usize> {
        self.hierarchy.node(field, at)
    }

    /// A u, for `u` with components at `3 n + c`; held unknowns give zero.
    ///
    /// # Errors
    /// [`SolveError::Length`].
    pub fn product(&self, u: &[f64]) -> Result<Vec<f64>, SolveError> {
        let split = self.split("displacement", u)?;
        let mut product = vec![0.0; u.len()];
        self.operator.apply(&split, &mut product);
        Ok(self.join(&product))
    }

    /// Displacements (mm, components at `3 n + c`) under nodal forces (N).
    ///
    /// # Errors
    /// As [`flexible_cg`].
    pub fn solve(
        &mut self,
        load: &[f64],
        effort: Effort,
        progress: &dyn answer::Progress,
    ) -> Result<(Vec<f64>, Convergence), SolveError> {
        let mut right = self.split("load", load)?;
        self.operator.fixed.iter().for_each(|at| right[*at as usize] = 0.0);
        let mut x = vec![0.0; right.len()];
        let ended = flexible_cg(
            &*self.operator,
            &mut self.hierarchy,
            &right,
            &mut x,
            effort.tolerance,
            effort.iterations,
            progress,
        )?;
        Ok((self.join(&x), ended))
    }

    /// From `3 n + c` to component by component.
    fn split(&self, what: &'static str, v: &[f64]) -> Result<Vec<f64>, SolveError> {
        let n = self.operator.count;
        if v.len() != 3 * n {
            return Err(SolveError::Length { what, found: v.len(), expected: 3 * n });
        }
        let mut split = vec![0.0; 3 * n];
        for (node, three) in v.chunks_exact(3).enumerate() {
            for c in 0..3 {
                split[c * n + node] = three[c];
            }
        }
        Ok(split)
    }

    /// Back to `3 n + c`.
    fn join(&self, v: &[f64]) -> Vec<f64> {
        let n = self.operator.count;
        (0..3 * n).map(|k| v[k % 3 * n + k / 3]).collect()
    }
}
