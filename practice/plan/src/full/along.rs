//! Progress of work in pieces, some of them at once, on one scale.

use answer::Progress;
use std::ops::ControlFlow;
use std::sync::atomic::{AtomicUsize, Ordering};

/// What is done from which share of the work on, in words.
pub const STAGES: [(f64, &str); 3] = [
    (0.0, "shaping the restoration and its teeth"),
    (0.15, "solving it as planned and in the size of the studies"),
    (0.9, "looking more closely"),
];

/// Steps of the scale.
const STEPS: usize = 1000;

/// How far all pieces have come; it never goes back.
pub(super) struct Along<'a> {
    progress: &'a dyn Progress,
    at: AtomicUsize,
}

impl<'a> Along<'a> {
    pub(super) fn new(progress: &'a dyn Progress) -> Self {
        Self { progress, at: AtomicUsize::new(0) }
    }

    /// A piece that takes a stage from one share of it to another.
    pub(super) fn piece(&'a self, stage: usize, from: f64, to: f64) -> Piece<'a> {
        let begins = |k: usize| STAGES.get(k).map_or(1.0, |s| s.0);
        let at = |share: f64| begins(stage) + share * (begins(stage + 1) - begins(stage));
        Piece { along: self, from: at(from), to: at(to) }
    }
}

/// One piece, which counts its own steps.
pub(super) struct Piece<'a> {
    along: &'a Along<'a>,
    from: f64,
    to: f64,
}

impl Progress for Piece<'_> {
    fn step(&self, done: usize, total: usize) -> ControlFlow<()> {
        let own = (done as f64 / total.max(1) as f64).min(1.0);
        let now = (STEPS as f64 * (self.from + own * (self.to - self.from))) as usize;
        let before = self.along.at.fetch_max(now, Ordering::Relaxed);
        self.along.progress.step(now.max(before), STEPS)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;

    struct Heard(Mutex<Vec<usize>>);

    impl Progress for Heard {
        fn step(&self, done: usize, _: usize) -> ControlFlow<()> {
            self.0.lock().unwrap().push(done);
            ControlFlow::Continue(())
        }
    }

    #[test]
    fn pieces_at_once_never_take_the_whole_back() {
        let heard = Heard(Mutex::default());
        let along = Along::new(&heard);
        let (long, aside, last) = (along.piece(1, 0.0, 0.8), along.piece(1, 0.0, 0.0), along.piece(2, 0.0, 1.0));
        for piece in [&long, &aside] {
            (0..4).for_each(|k| assert!(piece.step(k, 4).is_continue()));
        }
        assert!(last.step(1, 1).is_continue());
        assert_eq!(*heard.0.lock().unwrap(), [150, 300, 450, 600, 600, 600, 600, 600, 1000]);
    }
}
