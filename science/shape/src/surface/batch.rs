//! Many questions at once, by all threads.
//!
//! Places are taken in the order of a curve through space (Morton 1966, IBM technical report, memory), so that each begins near the answer of the one
//! before; answers do not depend on that order.

use super::tree::Found;
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
        self.in_order(places, |_, found| found.nearest)
    }

    /// Signed distance of each of many; the same as [`Surface::signed`] one by one.
    pub fn signed_of_many(&self, places: &[[f64; 3]]) -> Vec<f64> {
        self.in_order(places, |p, found| self.with_sign(p, &found))
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

    fn in_order<T: Copy + Send + Sync>(&self, places: &[V], answer: impl Fn(V, Found) -> T + Sync) -> Vec<T> {
        let order = self.curve(places);
        let answers: Vec<T> = order
            .par_chunks(TURN)
            .flat_map_iter(|turn| {
                let places: Vec<V> = turn.iter().map(|n| places[*n as usize]).collect();
                let mut found = Vec::with_capacity(turn.len());
                self.tree.closest_in_turn(&places, &mut found);
                places.into_iter().zip(found).map(|(p, found)| answer(p, found)).collect::<Vec<T>>()
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
            let cell = |i: usize| (((p[i] - reach.low[i]) / size[i]).clamp(0.0, 1.0) * 1023.0) as u64;
            (0..3).fold(0, |key, i| key | spread(cell(i)) << i)
        };
        // Along the curve, then by number: both in one word sort quickest.
        let numbers = 0..places.len() as u32;
        let mut order: Vec<u64> =
            places.par_iter().map(key).zip(numbers).map(|(key, n)| key << 32 | u64::from(n)).collect();
        order.par_sort_unstable();
        order.into_iter().map(|o| o as u32).collect()
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

/// Two empty bits after each of ten.
fn spread(x: u64) -> u64 {
    let mut x = x & 0x3FF;
    x = (x | x << 16) & 0x0300_00FF;
    x = (x | x << 8) & 0x0300_F00F;
    x = (x | x << 4) & 0x030C_30C3;
    (x | x << 2) & 0x0924_9249
}
