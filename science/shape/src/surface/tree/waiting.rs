//! What a search has still to look at.

use super::EMPTY;
use super::lanes::Lanes;

/// Entries a search may leave waiting: seven a level and the last eight, at no more than 30 levels ([`super::build`]).
const MOST: usize = 256;

/// Nodes and leaves waiting, each with how far it is; the last first.
#[derive(Clone, Copy)]
pub(super) struct Waiting {
    how_far: [f32; MOST],
    what: [u32; MOST],
    count: usize,
}

impl Waiting {
    pub(super) const NONE: Self = Self { how_far: [0.0; MOST], what: [0; MOST], count: 0 };

    #[inline(always)]
    pub(super) fn clear(&mut self) {
        self.count = 0;
    }

    /// The children where `how_far` is at most `limit`, the nearest of them last.
    #[inline(always)]
    pub(super) fn put<L: Lanes>(&mut self, l: L, how_far: L::F, limit: L::F, child: &[u32; 8]) {
        let (hit, nearest) = l.least(how_far, limit);
        let others = hit & !(1 << nearest);
        let (far, what) = l.sift(how_far, child, others);
        let count = self.count;
        self.how_far[count..count + 8].copy_from_slice(&far);
        self.what[count..count + 8].copy_from_slice(&what);
        let last = count + others.count_ones() as usize;
        (self.how_far[last], self.what[last]) = (f32::NEG_INFINITY, child[nearest]);
        self.count = last + usize::from(hit != 0);
    }

    /// The last that is no further than `limit`, `EMPTY` without one.
    #[inline(always)]
    pub(super) fn next(&mut self, limit: f32) -> u32 {
        while self.count > 0 {
            self.count -= 1;
            let (how_far, at) = (self.how_far[self.count], self.what[self.count]);
            if how_far <= limit {
                return at;
            }
        }
        EMPTY
    }
}
