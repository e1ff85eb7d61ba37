//! The nearest place of the surface: nearer boxes first, boxes beyond the best place so far passed over.
//!
//! Eight boxes are compared at once by a lower bound of their distance; of eight facets at once a bound from 32-bit numbers tells which could hold
//! the nearest place, and those are computed in 64 bits. The room left for 32-bit rounding is 2e-5 of distance and longest side for facets
//! whose height is at least a tenth of their longest side (relative rounding 6e-8 over the square of that share); flatter ones are always computed.

use super::facet::{nearest_of, squares};
use super::lanes::{Lanes, Work};
use super::{EMPTY, Facets, LEAF, ROUNDING, Stack, Tree, WAITING};
use crate::surface::Nearest;
use crate::vector::{V, dot, norm, sub};

/// What is known of the nearest place on the way.
#[derive(Clone, Copy)]
struct Best {
    square: f64,
    place: V,
    facet: u32,
}

impl Best {
    fn offer(&mut self, corners: [V; 3], facet: u32, p: V) {
        let place = nearest_of(corners, p);
        let off = sub(p, place);
        let square = dot(off, off);
        if square < self.square || square == self.square && facet < self.facet {
            *self = Self { square, place, facet };
        }
    }
}

impl Tree {
    /// Nearest place within `reach`, which may start from a facet thought near.
    pub(in crate::surface) fn closest(&self, of: Facets, p: V, reach: f64, hint: Option<u32>) -> Option<Nearest> {
        self.machine.run(One { tree: self, of, p, reach, hint })
    }

    /// Nearest places of many; quickest if each lies near the one before.
    pub(in crate::surface) fn closest_in_turn(
        &self,
        of: Facets,
        places: &mut dyn ExactSizeIterator<Item = V>,
        out: &mut Vec<Nearest>,
    ) {
        self.machine.run(Many { tree: self, of, places, out });
    }
}

struct One<'a> {
    tree: &'a Tree,
    of: Facets<'a>,
    p: V,
    reach: f64,
    hint: Option<u32>,
}

impl Work for One<'_> {
    type Output = Option<Nearest>;
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) -> Option<Nearest> {
        let mut stack = [(0.0, 0); WAITING];
        search(l, self.tree, self.of, self.p, self.reach, self.hint, &mut stack)
    }
}

struct Many<'a> {
    tree: &'a Tree,
    of: Facets<'a>,
    places: &'a mut dyn ExactSizeIterator<Item = V>,
    out: &'a mut Vec<Nearest>,
}

impl Work for Many<'_> {
    type Output = ();
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) {
        let (mut hint, mut stack) = (None, [(0.0, 0); WAITING]);
        for p in self.places {
            let found =
                search(l, self.tree, self.of, p, f64::INFINITY, hint, &mut stack).unwrap_or(Nearest::nowhere(p));
            hint = Some(found.facet);
            self.out.push(found);
        }
    }
}

#[inline(always)]
fn search<L: Lanes>(
    l: L,
    tree: &Tree,
    of: Facets,
    p: V,
    reach: f64,
    hint: Option<u32>,
    stack: &mut Stack,
) -> Option<Nearest> {
    // A facet is as good as another when squares are equal: nothing is found exactly at the reach.
    let mut best = Best { square: reach * reach, place: p, facet: 0 };
    let mut nothing = true;
    if let Some(facet) = hint {
        best.offer(of.corners(facet), facet, p);
        nothing = best.square >= reach * reach;
    }
    if !p.iter().all(|x| x.is_finite()) {
        return None;
    }
    let q = tree.framed(p);
    let (low, high, near) = (l.splat3(q.low), l.splat3(q.high), l.splat3(q.near));
    let (zero, less) = (l.splat(0.0), l.splat(1.0 - 16.0 * ROUNDING));
    let mut limits = Limits::of(tree, best.square, q.size);
    let mut top = 1;
    stack[0] = (0.0, 0);
    while top > 0 {
        top -= 1;
        let (square, at) = stack[top];
        if square > limits.boxes {
            continue;
        }
        if at & LEAF != 0 {
            let leaf = &tree.leaves[(at & !LEAF) as usize];
            let found = squares(l, leaf, near);
            let close = l.at_most(found, l.splat(limits.facets)) | u32::from(leaf.flat);
            let mut left = close & u32::from(leaf.used);
            if left == 0 {
                continue;
            }
            let found = l.store(found);
            // The nearest by the rough numbers first: it mostly rules out the rest.
            let mut first = left.trailing_zeros();
            let mut rest = left & (left - 1);
            while rest != 0 {
                let lane = rest.trailing_zeros();
                first = if found[lane as usize] < found[first as usize] { lane } else { first };
                rest &= rest - 1;
            }
            let mut lane = first;
            loop {
                left &= !(1 << lane);
                if found[lane as usize] <= limits.facets || leaf.flat >> lane & 1 == 1 {
                    let before = best.square;
                    best.offer(tree.corners(leaf, lane as usize), leaf.facet[lane as usize], p);
                    if best.square < before {
                        nothing = false;
                        limits = Limits::of(tree, best.square, q.size);
                    }
                }
                if left == 0 {
                    break;
                }
                lane = left.trailing_zeros();
            }
            continue;
        }
        let node = &tree.nodes[at as usize];
        let mut sum = zero;
        for i in 0..3 {
            let out = l.max(l.sub(l.load(&node.sides[2 * i]), high[i]), l.sub(low[i], l.load(&node.sides[2 * i + 1])));
            let out = l.max(out, zero);
            sum = l.fma(out, out, sum);
        }
        let sum = l.mul(sum, less);
        let mut hit = l.at_most(sum, l.splat(limits.boxes));
        let sum = l.store(sum);
        let start = top;
        while hit != 0 {
            let lane = hit.trailing_zeros() as usize;
            hit &= hit - 1;
            if node.child[lane] == EMPTY {
                continue;
            }
            // Furthest at the bottom.
            let entry = (sum[lane], node.child[lane]);
            let mut slot = top;
            while slot > start && stack[slot - 1].0 < entry.0 {
                stack[slot] = stack[slot - 1];
                slot -= 1;
            }
            stack[slot] = entry;
            top += 1;
        }
    }
    (!nothing).then(|| Nearest { place: best.place, distance: norm(sub(p, best.place)), facet: best.facet })
}

/// Squares above which boxes and facets are passed over, in the frame.
#[derive(Clone, Copy)]
struct Limits {
    boxes: f32,
    facets: f32,
}

impl Limits {
    #[inline(always)]
    fn of(tree: &Tree, square: f64, size: f32) -> Self {
        let distance = ((square.sqrt() * tree.scale) as f32).next_up();
        let room = 2e-5 * (distance + tree.longest) + 8.0 * ROUNDING * (1.0 + size);
        let (near, wide) = (distance * (1.0 + 4.0 * ROUNDING), distance + room);
        Self { boxes: (near * near).next_up(), facets: (wide * wide).next_up() }
    }
}
