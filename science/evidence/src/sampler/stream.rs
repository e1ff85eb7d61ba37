//! A stream of random numbers drawn from `World`: one field read at rising counters, so that a chain's numbers depend on seed and
//! name alone.

use answer::World;

/// Numbers of one chain.
pub(crate) struct Stream {
    world: World,
    field: String,
    next: usize,
}

impl Stream {
    /// A stream of the given name. `World` fields are permutations of their slots; with 2^40 of them a stream of millions is as good as
    /// independent.
    pub(crate) fn new(seed: u64, field: impl Into<String>) -> Self {
        Self { world: World::with_draws(seed, 1 << 40), field: field.into(), next: 0 }
    }

    pub(crate) fn uniform(&mut self) -> f64 {
        self.next += 1;
        self.world.uniform_at(&self.field, self.next)
    }

    pub(crate) fn normal(&mut self) -> f64 {
        numerics::normal::quantile(self.uniform())
    }
}
