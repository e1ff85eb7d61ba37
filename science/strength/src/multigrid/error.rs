//! Why a system of equations got no answer, in words for whoever built the model.

use thiserror::Error;

/// Why no displacement was given.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SolveError {
    /// No cell holds material.
    #[error("the system has no cells: give at least one body larger than a cell, or make the cells smaller")]
    Empty,
    /// A number of the system that no material or lattice can have.
    #[error("field {field}: {quantity} is {found}, expected {expected}: correct the body's material or the cell size")]
    OutOfRange {
        /// Number of the field, from 0.
        field: u32,
        /// The quantity, in words.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// What is allowed.
        expected: &'static str,
    },
    /// Cells are not sorted by z, y, x, or one is given twice.
    #[error("field {field}: cell {at:?} is out of order or given twice: sort the cells by z, y, x and give each once")]
    Order {
        /// Number of the field, from 0.
        field: u32,
        /// The offending cell.
        at: [i32; 3],
    },
    /// A patch or support names a node that no active cell has.
    #[error(
        "{what} names node {at:?} of field {field}, which no active cell of that field has: leave it out or add the cell"
    )]
    NoSuchNode {
        /// Patch or support.
        what: &'static str,
        /// Number of the field, from 0.
        field: u32,
        /// The lattice point.
        at: [i32; 3],
    },
    /// The packed matrix of a patch has another length than its nodes ask for.
    #[error("patch {patch}: its matrix holds {found} numbers, its nodes need {expected}")]
    PatchLength {
        /// Number of the patch, from 0.
        patch: usize,
        /// Numbers given.
        found: usize,
        /// Numbers needed.
        expected: usize,
    },
    /// A vector of another length than the system has unknowns.
    #[error("{what} holds {found} numbers, the system has {expected} unknowns")]
    Length {
        /// Which vector.
        what: &'static str,
        /// Its length.
        found: usize,
        /// The length needed.
        expected: usize,
    },
    /// Some bodies can move without any resistance.
    #[error(
        "nothing holds field(s) {fields:?}: they can move or turn freely; support them, or join them to what is supported"
    )]
    Unsupported {
        /// Numbers of the fields that move, from 0.
        fields: Vec<u32>,
    },
    /// The operator or the preconditioner is not positive definite in a direction the iteration took.
    #[error(
        "the stiffness is not positive in iteration {iteration} ({what} {found:e}): a material is inverted or a body is not held"
    )]
    Indefinite {
        /// Iteration, from 1.
        iteration: usize,
        /// Which product.
        what: &'static str,
        /// Its value.
        found: f64,
    },
    /// Something that is not a number came in or arose.
    #[error("{what} is not finite: look for loads, sizes or materials that are not numbers")]
    NotFinite {
        /// Which quantity.
        what: &'static str,
    },
    /// The iteration did not reach the tolerance.
    #[error(
        "the solution did not converge: relative residual {reached:.1e} after {iterations} iterations, {wanted:.1e} wanted; look for parts that are barely held, stiffness contrasts above 1e6, or slivers"
    )]
    NotConverged {
        /// Iterations made.
        iterations: usize,
        /// Relative residual reached.
        reached: f64,
        /// Relative residual wanted.
        wanted: f64,
    },
    /// The watcher asked the work to stop.
    #[error(transparent)]
    Interrupted(#[from] answer::Interrupted),
}
