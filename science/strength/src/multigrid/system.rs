//! A linear elastic system on the trilinear nodes of one cubic lattice, as data: cells, what joins nodes beyond a cell, and what is held.
//!
//! Energy `1/2 u^T A u` with `A = sum over cells of K_cell + sum over patches of S_patch`, rows and columns of held unknowns left out.
//! `u` holds three displacement components a node. Several fields (one a body) may share a cell: each has its own nodes there.
//! Lengths in mm, Lamé constants in MPa, so stiffness in N/mm.

use super::error::SolveError;

/// Numbers in the lower triangle of a symmetric matrix of order `n`, stored row by row: entry (i, j), j <= i, at `i (i + 1) / 2 + j`.
pub const fn packed_len(n: usize) -> usize {
    n * (n + 1) / 2
}

/// Where entry (i, j) of a packed symmetric matrix stands, in either order.
#[inline(always)]
pub const fn packed(i: usize, j: usize) -> usize {
    if i >= j { i * (i + 1) / 2 + j } else { j * (j + 1) / 2 + i }
}

/// A symmetric positive (semi)definite elasticity system on trilinear nodes of one cubic lattice.
#[derive(Debug, Clone, Default)]
pub struct TrilinearSystem {
    /// Edge of a cell, mm.
    pub spacing: f64,
    /// One field of displacements a body.
    pub fields: Vec<TrilinearField>,
    /// What joins nodes beyond one cell of one field.
    pub patches: Vec<Patch>,
    /// Nodes held exactly. Supports may also be stiffnesses in cells or patches.
    pub fixed: Vec<FixedNode>,
}

/// The active cells of one body, sorted by z, then y, then x; its nodes are the corners of those cells.
#[derive(Debug, Clone, Default)]
pub struct TrilinearField {
    /// Lattice place of the cell's lowest corner, and its stiffness.
    pub cells: Vec<([i32; 3], CellMatrix)>,
}

/// Stiffness of one cell.
#[derive(Debug, Clone, PartialEq)]
pub enum CellMatrix {
    /// The whole cube of one isotropic material.
    Uniform {
        /// First Lamé constant, MPa.
        lambda: f64,
        /// Shear modulus, MPa.
        mu: f64,
    },
    /// Any symmetric positive semidefinite 24 x 24 matrix, packed lower triangle, N/mm. Order: 3 * node + component, node = x + 2 y + 4 z.
    Own(Box<[f64; 300]>),
}

/// Anything that joins nodes beyond one cell of one field: penalty over a face, stiffness of an interface, springs.
#[derive(Debug, Clone)]
pub struct Patch {
    /// Field and lattice place of each node.
    pub nodes: Vec<(u32, [i32; 3])>,
    /// How they are joined.
    pub matrix: PatchMatrix,
}

/// Stiffness of a patch of n nodes, packed lower triangle, N/mm.
#[derive(Debug, Clone)]
pub enum PatchMatrix {
    /// n x n, the same for each of the three components.
    Scalar(Vec<f64>),
    /// 3n x 3n, order 3 * node + component.
    Full(Vec<f64>),
}

/// A node held exactly in some components.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FixedNode {
    /// Number of the field.
    pub field: u32,
    /// Lattice place.
    pub node: [i32; 3],
    /// Which of x, y, z are held.
    pub components: [bool; 3],
}

impl Patch {
    /// Entry between (node i, component a) and (node j, component b).
    #[inline]
    pub(crate) fn entry(&self, i: usize, a: usize, j: usize, b: usize) -> f64 {
        match &self.matrix {
            PatchMatrix::Scalar(s) if a == b => s[packed(i, j)],
            PatchMatrix::Scalar(_) => 0.0,
            PatchMatrix::Full(f) => f[packed(3 * i + a, 3 * j + b)],
        }
    }
}

impl TrilinearSystem {
    /// Refuses what no elastic body has: no cells, materials that are not stable, cells out of order, patches of the wrong length.
    pub(crate) fn check(&self) -> Result<(), SolveError> {
        let positive = |quantity, found: f64, field| {
            if found.is_finite() && found > 0.0 {
                Ok(())
            } else {
                Err(SolveError::OutOfRange { field, quantity, found, expected: "a finite number above 0" })
            }
        };
        positive("cell edge", self.spacing, 0)?;
        if self.fields.iter().all(|f| f.cells.is_empty()) {
            return Err(SolveError::Empty);
        }
        for (number, field) in self.fields.iter().enumerate() {
            let number = number as u32;
            let mut before: Option<[i32; 3]> = None;
            for (at, matrix) in &field.cells {
                let key = [at[2], at[1], at[0]];
                if before.is_some_and(|b| b >= key) || at.iter().any(|v| v.unsigned_abs() > 1 << 28) {
                    return Err(SolveError::Order { field: number, at: *at });
                }
                before = Some(key);
                match matrix {
                    CellMatrix::Uniform { lambda, mu } => {
                        positive("shear modulus", *mu, number)?;
                        positive("bulk modulus (lambda + 2 mu / 3)", lambda + 2.0 / 3.0 * mu, number)?;
                    }
                    CellMatrix::Own(own) => {
                        if own.iter().any(|v| !v.is_finite()) {
                            return Err(SolveError::NotFinite { what: "a cell's stiffness" });
                        }
                    }
                }
            }
        }
        for (number, patch) in self.patches.iter().enumerate() {
            let (n, values) = match &patch.matrix {
                PatchMatrix::Scalar(v) => (patch.nodes.len(), v),
                PatchMatrix::Full(v) => (3 * patch.nodes.len(), v),
            };
            if values.len() != packed_len(n) {
                return Err(SolveError::PatchLength { patch: number, found: values.len(), expected: packed_len(n) });
            }
            if values.iter().any(|v| !v.is_finite()) {
                return Err(SolveError::NotFinite { what: "a patch's stiffness" });
            }
        }
        Ok(())
    }
}
