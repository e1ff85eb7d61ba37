//! Progress on a terminal: one line on standard error, shown only there and only when the work takes longer than a moment.

use answer::Progress;
use std::io::{IsTerminal, Write};
use std::ops::ControlFlow;
use std::sync::Mutex;
use std::time::{Duration, Instant};

/// A progress line for one piece of work.
pub struct Meter {
    what: String,
    started: Instant,
    shown: Mutex<Option<Instant>>,
}

impl Meter {
    /// Starts the clock; nothing is shown yet.
    pub fn new(what: impl Into<String>) -> Self {
        Self { what: what.into(), started: Instant::now(), shown: Mutex::new(None) }
    }
}

impl Progress for Meter {
    fn step(&self, done: usize, total: usize) -> ControlFlow<()> {
        if self.started.elapsed() > Duration::from_millis(500)
            && std::io::stderr().is_terminal()
            && let Ok(mut shown) = self.shown.lock()
            && shown.is_none_or(|last| last.elapsed() > Duration::from_millis(100))
        {
            *shown = Some(Instant::now());
            eprint!("\r{}: {} of {}   ", self.what, done, total);
            // A progress line that cannot be flushed is no reason to stop the work.
            let _ = std::io::stderr().flush();
        }
        ControlFlow::Continue(())
    }
}

impl Drop for Meter {
    fn drop(&mut self) {
        if self.shown.lock().is_ok_and(|shown| shown.is_some()) {
            eprint!("\r{:60}\r", "");
        }
    }
}
