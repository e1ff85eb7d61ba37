//! Why a model got no answer, naming the part.

use crate::multigrid::SolveError;
use thiserror::Error;

/// Why a model was refused or its solution was not reached.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ModelError {
    /// A number no material or lattice can have.
    #[error("{part}: {quantity} is {found}, expected {expected}: correct it")]
    OutOfRange {
        /// Name of the part.
        part: String,
        /// The quantity.
        quantity: &'static str,
        /// What was given.
        found: f64,
        /// What is allowed.
        expected: &'static str,
    },
    /// A model without bodies.
    #[error("the model has no bodies: give one at least")]
    Empty,
    /// A body without material, or without end.
    #[error("body {0} has no material on the lattice, or no end: give a bounded body larger than a cell")]
    NoMaterial(String),
    /// A part names a body that is not in the model.
    #[error("{part} names body number {body}, of which there is none")]
    NoBody {
        /// Name of the part.
        part: String,
        /// Number given, from 0.
        body: usize,
    },
    /// A support, load or interface that no surface of its body carries.
    #[error("{0} lies nowhere on the surface of its body: move its region onto the body")]
    Off(String),
    /// Bodies of an interface that do not touch.
    #[error("interface {interface}: {} and {} touch nowhere within {reach} mm: move them together or give a greater reach", bodies[0], bodies[1])]
    Apart {
        /// Name of the interface.
        interface: String,
        /// Names of the bodies.
        bodies: [String; 2],
        /// Distance at which surfaces count as touching, mm.
        reach: f64,
    },
    /// A zoom where the cells of the whole miss a body.
    #[error("zoom {zoom}: the cells of the whole miss body {body} there: make them smaller, or move the box")]
    Missed {
        /// Name of the zoom.
        zoom: String,
        /// Name of the body.
        body: String,
    },
    /// Zooms that give back and did not come to rest.
    #[error(
        "zoom {zoom}: what it gives back still changes by {change:.1e} of itself after {rounds} rounds: move its walls away from slots' ends and supports, or use it one way"
    )]
    Unsettled {
        /// Name of the zoom.
        zoom: String,
        /// Rounds made.
        rounds: usize,
        /// Change of the forces in the last round, as a share of them.
        change: f64,
    },
    /// The watcher asked the work to stop.
    #[error(transparent)]
    Interrupted(#[from] answer::Interrupted),
    /// A body that nothing holds.
    #[error("body {0} is not held: support it, or join it to one that is")]
    Unsupported(String),
    /// The linear solver gave up.
    #[error(transparent)]
    Solve(#[from] SolveError),
    /// No spectrum could be made.
    #[error(transparent)]
    Spectrum(#[from] crate::StrengthError),
}
