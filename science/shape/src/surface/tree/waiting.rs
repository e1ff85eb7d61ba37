//! What a search has still to look at.

use super::EMPTY;

/// Entries a search may leave waiting: seven a level and the last eight, at no more than 30 levels ([`super::build`]).
const MOST: usize = 256;

/// Nodes and leaves waiting, each with how far it is; the last first.
#[derive(Clone, Copy)]
pub(super) struct Waiting {
    all: [(f32, u32); MOST],
    count: usize,
}

impl Waiting {
    pub(super) const NONE: Self = Self { all: [(0.0, 0); MOST], count: 0 };

    #[inline(always)]
    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    /// The nearest of the children hit, of which there must be one; the others wait, in no order.
    #[inline(always)]
    pub(super) fn nearest(&mut self, how_far: &[f32; 8], child: &[u32; 8], mut hit: u32) -> u32 {
        let mut nearest = hit.trailing_zeros() as usize;
        hit &= hit - 1;
        while hit != 0 {
            let lane = hit.trailing_zeros() as usize;
            hit &= hit - 1;
            let nearer = how_far[lane] < how_far[nearest];
            let other = if nearer { nearest } else { lane };
            nearest = if nearer { lane } else { nearest };
            self.all[self.count] = (how_far[other], child[other]);
            self.count += 1;
        }
        child[nearest]
    }

    /// The last that is no further than `limit`, `EMPTY` without one.
    #[inline(always)]
    pub(super) fn next(&mut self, limit: f32) -> u32 {
        while self.count > 0 {
            self.count -= 1;
            let (how_far, at) = self.all[self.count];
            if how_far <= limit {
                return at;
            }
        }
        EMPTY
    }
}
