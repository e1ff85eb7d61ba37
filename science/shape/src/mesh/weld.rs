//! Places that are the same become one: a table with open addressing, in order of first appearance.

use crate::vector::V;

/// Gathers places, each kept once.
pub(crate) struct Welder<T> {
    /// Number of the place plus one; 0 is free.
    slots: Vec<u32>,
    places: Vec<[T; 3]>,
    bits: fn(T) -> u64,
}

impl Welder<f32> {
    /// For places of 32-bit numbers, of which about `expected` differ.
    pub(crate) fn single(expected: usize) -> Self {
        Self::new(expected, |x| u64::from(x.to_bits()))
    }
}

impl Welder<f64> {
    /// For places of 64-bit numbers.
    pub(crate) fn double(expected: usize) -> Self {
        Self::new(expected, f64::to_bits)
    }
}

impl<T: Copy + PartialEq> Welder<T> {
    fn new(expected: usize, bits: fn(T) -> u64) -> Self {
        let places = Vec::with_capacity(expected);
        Self { slots: vec![0; (2 * expected).next_power_of_two().max(16)], places, bits }
    }

    /// Number of a place, which must be of finite numbers without a negative zero.
    pub(crate) fn number(&mut self, place: [T; 3]) -> u32 {
        if 2 * self.places.len() >= self.slots.len() {
            self.grow();
        }
        let mask = self.slots.len() - 1;
        let mut at = self.hash(place) & mask;
        loop {
            match self.slots[at] {
                0 => {
                    self.places.push(place);
                    self.slots[at] = self.places.len() as u32;
                    return self.places.len() as u32 - 1;
                }
                n if self.places[n as usize - 1] == place => return n - 1,
                _ => at = (at + 1) & mask,
            }
        }
    }

    pub(crate) fn into_places(self) -> Vec<[T; 3]> {
        self.places
    }

    fn hash(&self, place: [T; 3]) -> usize {
        let mix = |h: u64, x: T| (h ^ (self.bits)(x)).wrapping_mul(0x9E3779B97F4A7C15).rotate_left(29);
        let h = place.into_iter().fold(0x243F6A8885A308D3, mix);
        (h ^ (h >> 32)) as usize
    }

    fn grow(&mut self) {
        let mask = 2 * self.slots.len() - 1;
        let mut slots = vec![0u32; mask + 1];
        for (n, place) in (1u32..).zip(&self.places) {
            let mut at = self.hash(*place) & mask;
            while slots[at] != 0 {
                at = (at + 1) & mask;
            }
            slots[at] = n;
        }
        self.slots = slots;
    }
}

/// For each place the first one within `reach` of it (itself, if none comes before). Chains longer than `reach` do not close up: a place joins
/// only a place that itself stands for others.
pub(super) fn near_places(points: &[V], reach: f64) -> Vec<u32> {
    let cell = |p: &V| p.map(|x| (x / reach).floor() as i64);
    let mut order: Vec<u32> = (0..points.len() as u32).collect();
    order.sort_by_key(|n| (cell(&points[*n as usize]), *n));
    let sorted: Vec<[i64; 3]> = order.iter().map(|n| cell(&points[*n as usize])).collect();
    let mut stands = vec![u32::MAX; points.len()];
    for n in 0..points.len() as u32 {
        let p = points[n as usize];
        let c = cell(&p);
        let mut found = n;
        for dx in -1..=1i64 {
            for dy in -1..=1i64 {
                let row = |dz: i64| [c[0].saturating_add(dx), c[1].saturating_add(dy), c[2].saturating_add(dz)];
                let start = sorted.partition_point(|s| *s < row(-1));
                for at in start..sorted.len() {
                    let m = order[at];
                    if sorted[at] > row(1) {
                        break;
                    }
                    let off = crate::vector::sub(points[m as usize], p);
                    let stands_for_others = stands[m as usize] == m;
                    if m < found && stands_for_others && crate::vector::dot(off, off) <= reach * reach {
                        found = m;
                    }
                }
            }
        }
        stands[n as usize] = found;
    }
    stands
}
