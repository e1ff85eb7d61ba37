//! How far long work has come, and whether it should go on.

use std::ops::ControlFlow;

/// Told of every step of work that may take longer than 0.2 s; answers whether to go on. Terminal bar, event stream and
/// Ctrl-C are implementations.
pub trait Progress: Sync {
    /// `done` of `total` steps are finished; `Break` asks the work to stop and return [`Interrupted`].
    fn step(&self, done: usize, total: usize) -> ControlFlow<()>;
}

/// Nobody watches and nobody stops it.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoProgress;

impl Progress for NoProgress {
    fn step(&self, _done: usize, _total: usize) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
}

/// The work was asked to stop before it was done; nothing it has computed is to be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("stopped before it was done: nothing was kept; run it again to have the answer")]
pub struct Interrupted;

impl dyn Progress + '_ {
    /// [`Progress::step`] as a result, for `?`.
    pub fn check(&self, done: usize, total: usize) -> Result<(), Interrupted> {
        match self.step(done, total) {
            ControlFlow::Continue(()) => Ok(()),
            ControlFlow::Break(()) => Err(Interrupted),
        }
    }
}
