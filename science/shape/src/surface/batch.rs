//! Many questions at once, by all threads.
//!
//! Places are taken in the order of a curve through space (Morton 1966, IBM technical report, memory), so that each begins near the answer of the one
//! before; answers do not depend on that order.

use super::{Met, Nearest, Surface};
use crate::vector::V;
use rayon::prelude::*;

/// Questions that one thread takes in turn.
const TURN: usize = 1024;
/// The same for rays, of which several are under way at once.
const VOLLEY: usize = 4096;

impl Surface {
    /// Nearest place of each of many; the same as [`Surface::closest`] one by one.
    pub fn closest_of_many(&self, places: &[[f64; 3]]) -> Vec<Nearest> {
        self.in_order(places, |_, n| n)
    }

    /// Signed distance of each of many; the same as [`Surface::signed`] one by one.
    pub fn signed_of_many(&self, places: &[[f64; 3]]) -> Vec<f64> {
        self.in_order(places, |p, n| self.with_sign(p, &n))
    }

    /// Winding number at each of many; the same as [`Surface::winding`] one by one.
    pub fn winding_of_many(&self, places: &[[f64; 3]]) -> Vec<f64> {
        let order = self.curve(places);
        let values: Vec<f64> = order.par_iter().map(|n| self.winding(places[*n as usize])).collect();
        scattered(&order, values, 0.0)
    }

    /// First facet met by each of many rays (from, direction); the same as [`Surface::ray`] one by one.
    pub fn rays(&self, rays: &[([f64; 3], [f64; 3])], beyond: f64) -> Vec<Option<Met>> {
        let mut met = vec![None; rays.len()];
        let turns = rays.par_chunks(VOLLEY).zip(met.par_chunks_mut(VOLLEY));
        turns.for_each(|(rays, met)| self.tree.first_of_many(rays, beyond, met));
        met
    }

    fn in_order<T: Copy + Send + Sync>(&self, places: &[V], answer: impl Fn(V, Nearest) -> T + Sync) -> Vec<T> {
        let order = self.curve(places);
        let answers: Vec<T> = order
            .par_chunks(TURN)
            .flat_map_iter(|turn| {
                let mut found = Vec::with_capacity(turn.len());
                let mut each = turn.iter().map(|n| places[*n as usize]);
                self.tree.closest_in_turn(self.held(), &mut each, &mut found);
                let answers: Vec<T> =
                    turn.iter().zip(found).map(|(n, near)| answer(places[*n as usize], near)).collect();
                answers
            })
            .collect();
        match answers.first().copied() {
            Some(first) => scattered(&order, answers, first),
            None => answers,
        }
    }

    /// Numbers of the places along the curve.
    fn curve(&self, places: &[V]) -> Vec<u32> {
        let bound = self.bound();
        let reach = bound.grown(0.5 * bound.diagonal());
        let size = reach.size();
        let key = |p: &V| -> u64 {
            let cell = |i: usize| (((p[i] - reach.low[i]) / size[i]).clamp(0.0, 1.0) * 1_048_575.0) as u64;
            (0..3).fold(0, |key, i| key | spread(cell(i)) << i)
        };
        let mut order: Vec<(u64, u32)> = places.par_iter().map(key).zip(0..places.len() as u32).collect();
        order.par_sort_unstable();
        order.into_iter().map(|o| o.1).collect()
    }
}

/// Values back in the order of the questions.
fn scattered<T: Copy>(order: &[u32], values: Vec<T>, filler: T) -> Vec<T> {
    let mut out = vec![filler; values.len()];
    for (n, value) in order.iter().zip(values) {
        out[*n as usize] = value;
    }
    out
}

/// Two empty bits after each of twenty-one.
fn spread(x: u64) -> u64 {
    let mut x = x & 0x1F_FFFF;
    x = (x | x << 32) & 0x1F00000000FFFF;
    x = (x | x << 16) & 0x1F0000FF0000FF;
    x = (x | x << 8) & 0x100F00F00F00F00F;
    x = (x | x << 4) & 0x10C30C30C30C30C3;
    (x | x << 2) & 0x1249249249249249
}
