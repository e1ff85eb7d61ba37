//! The nearest place of the surface: nearer parts first, parts beyond the best place so far passed over.
//!
//! Eight parts are compared at once by a lower bound of their distance, the greater of that from the box and that from the disc ([`super::disc`]). Of
//! eight facets at once 32-bit numbers tell which could hold the nearest place; those are set aside, and looked at in 64 bits when nothing nearer is left
//! to be seen. The room left for 32-bit rounding is 2e-5 of distance and longest side for facets whose height is at least a tenth of their longest side
//! (relative rounding 6e-8 over the square of that share); flatter ones are looked at in 64 bits where they are met.

use super::facet::{Foot, nearest_of, squares};
use super::fan::Fan;
use super::lanes::{Lanes, Work};
use super::{Discs, EMPTY, LEAF, Leaf, Node, ROUNDING, Tree, Waiting};
use crate::surface::Nearest;
use crate::vector::{V, dot, norm, sub};

/// Sizes of the surface beyond which a place is so far off that the room for rounding takes in all of it.
const FAR: f32 = 1e6;
/// Facets set aside before they are looked at.
const ASIDE: usize = 32;
/// Places that share a start of their searches.
const TOGETHER: usize = 32;

/// The nearest place, and whether it lies inside its facet, clear of its sides.
#[derive(Debug, Clone, Copy)]
pub(in crate::surface) struct Found {
    pub(in crate::surface) nearest: Nearest,
    pub(in crate::surface) inside: bool,
}

impl Found {
    /// Answer for a place that is not one.
    pub(in crate::surface) fn nowhere(p: V) -> Self {
        Self { nearest: Nearest { place: p, distance: f64::INFINITY, facet: 0 }, inside: false }
    }
}

impl Tree {
    /// Nearest place within `reach`.
    pub(in crate::surface) fn closest(&self, p: V, reach: f64) -> Option<Found> {
        self.machine.run(One { tree: self, p, reach })
    }

    /// Nearest places of many; quickest if each lies near the one before.
    pub(in crate::surface) fn closest_in_turn(&self, places: &[V], out: &mut Vec<Found>) {
        self.machine.run(Many { tree: self, places, out });
    }
}

struct One<'a> {
    tree: &'a Tree,
    p: V,
    reach: f64,
}

impl Work for One<'_> {
    type Output = Option<Found>;
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) -> Option<Found> {
        let asked = Asked::new(l, self.tree, self.p);
        Search::new().run(l, self.tree, self.tree.root(), &asked, self.reach, self.reach)
    }
}

struct Many<'a> {
    tree: &'a Tree,
    places: &'a [V],
    out: &'a mut Vec<Found>,
}

impl Work for Many<'_> {
    type Output = ();
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) {
        let (tree, mut search) = (self.tree, Search::new());
        let mut before: Option<Found> = None;
        let surely = |before: Option<Found>, p: V| {
            before.map_or(f64::INFINITY, |b| norm(sub(p, b.nearest.place)) * (1.0 + 1e-12))
        };
        for group in self.places.chunks(TOGETHER) {
            // From that in the middle it is known where the nearest places of the others can lie.
            let centre = Asked::new(l, tree, group[group.len() / 2]);
            let among = search.run(l, tree, tree.root(), &centre, f64::INFINITY, surely(before, centre.p));
            let shared = centre.size <= FAR && group.iter().flatten().all(|x| x.is_finite());
            let Some(among) = among.filter(|_| shared) else {
                let alone = |p: &V| tree.closest(*p, f64::INFINITY).unwrap_or(Found::nowhere(*p));
                self.out.extend(group.iter().map(alone));
                continue;
            };
            let apart = group.iter().map(|p| norm(sub(*p, centre.p))).fold(0.0, f64::max);
            let reach = Limits::of(tree, among.nearest.distance + 2.0 * apart, centre.size).parts;
            let fan = Fan::within(l, tree, &centre, reach);
            before = Some(among);
            for p in group {
                let asked = Asked::new(l, tree, *p);
                let found = search.run(l, tree, fan.parts(), &asked, f64::INFINITY, surely(before, *p));
                before = found;
                self.out.push(found.unwrap_or(Found::nowhere(*p)));
            }
        }
    }
}

/// A place asked about: in the tree's frame rounded down, up and to the nearest, and how far it lies from the middle.
pub(super) struct Asked<F> {
    p: V,
    low: [F; 3],
    high: [F; 3],
    pub(super) near: [F; 3],
    /// Room for the rounding of a distance from a disc ([`super::disc`]).
    pub(super) off: F,
    size: f32,
}

impl<F: Copy> Asked<F> {
    #[inline(always)]
    fn new<L: Lanes<F = F>>(l: L, tree: &Tree, p: V) -> Self {
        let q = tree.framed(p);
        let [low, high, near] = [q.low, q.high, q.near].map(|x| l.splat3(x));
        Self { p, low, high, near, off: l.splat(Discs::OFF * (1.0 + q.size)), size: q.size }
    }

    /// Lower bounds of the squared distances from the eight children of a node, in the frame.
    #[inline(always)]
    pub(super) fn bounds<L: Lanes<F = F>>(&self, l: L, (node, discs): (&Node, &Discs)) -> F {
        let zero = l.splat(0.0);
        let mut sum = zero;
        for i in 0..3 {
            let before = l.sub(l.load(&node.sides[2 * i]), self.high[i]);
            let behind = l.sub(self.low[i], l.load(&node.sides[2 * i + 1]));
            let out = l.max(l.max(before, behind), zero);
            sum = l.fma(out, out, sum);
        }
        l.mul(l.max(sum, discs.squares(l, self)), l.splat(1.0 - 16.0 * ROUNDING))
    }
}

/// What is known of the nearest place on the way.
#[derive(Clone, Copy)]
struct Best {
    square: f64,
    found: Option<(Foot, u32)>,
}

impl Best {
    fn offer(&mut self, corners: [V; 3], facet: u32, p: V) {
        let foot = nearest_of(corners, p);
        let off = sub(p, foot.place);
        let square = dot(off, off);
        // Nothing is found exactly at the reach; of equals the lowest number is taken.
        if square < self.square || square == self.square && self.found.is_some_and(|f| facet < f.1) {
            *self = Self { square, found: Some((foot, facet)) };
        }
    }
}

/// Squares above which parts and facets are passed over, in the frame.
#[derive(Clone, Copy)]
struct Limits {
    parts: f32,
    facets: f32,
}

impl Limits {
    /// Where something lies within a distance.
    #[inline(always)]
    fn of(tree: &Tree, distance: f64, size: f32) -> Self {
        Self::within(tree, ((distance * tree.scale) as f32).next_up(), size)
    }

    /// The same for a distance in the frame.
    #[inline(always)]
    fn within(tree: &Tree, distance: f32, size: f32) -> Self {
        let (near, wide) = (distance * (1.0 + 4.0 * ROUNDING), distance + room(tree, distance, size));
        // Boxes of children that are not there lie without end.
        Self { parts: (near * near).next_up().min(f32::MAX), facets: (wide * wide).next_up() }
    }
}

/// Most that a facet's distance in 32 bits is off.
#[inline(always)]
fn room(tree: &Tree, distance: f32, size: f32) -> f32 {
    2e-5 * (distance + tree.longest) + 8.0 * ROUNDING * (1.0 + size)
}

/// A facet set aside: its rough squared distance, its leaf and its lane there.
type Rough = (f32, u32, u8);

/// A search.
struct Search {
    waiting: Waiting,
    aside: [Rough; ASIDE],
    count: usize,
}

impl Search {
    fn new() -> Self {
        Self { waiting: Waiting::NONE, aside: [(0.0, 0, 0); ASIDE], count: 0 }
    }

    /// Nearest place within `reach`, where it is known that something lies within `surely` if anything is to be found.
    #[inline(always)]
    fn run<L: Lanes>(
        &mut self,
        l: L,
        tree: &Tree,
        start: (&Node, &Discs),
        asked: &Asked<L::F>,
        reach: f64,
        surely: f64,
    ) -> Option<Found> {
        let mut best = Best { square: reach * reach, found: None };
        if !asked.p.iter().all(|x| x.is_finite()) {
            return None;
        }
        if asked.size > FAR {
            let lanes = tree.leaves.iter().flat_map(|f| (0..8).filter(|k| f.used >> k & 1 == 1).map(move |k| (f, k)));
            lanes.for_each(|(leaf, k)| best.offer(tree.corners(leaf, k), leaf.facet[k], asked.p));
            return best.answer(asked.p);
        }
        let mut limits = Limits::of(tree, surely, asked.size);
        self.waiting.clear();
        self.count = 0;
        self.open(l, start, asked, limits.parts);
        loop {
            let at = self.waiting.next(limits.parts);
            if at == EMPTY {
                break;
            }
            if at & LEAF == 0 {
                self.open(l, (&tree.nodes[at as usize], &tree.discs[at as usize]), asked, limits.parts);
            } else {
                self.look(l, tree, at & !LEAF, asked, &mut best, &mut limits);
            }
        }
        self.settle(tree, asked.p, limits.facets, &mut best);
        best.answer(asked.p)
    }

    /// The children of a node that lie within `limit` wait, the nearest first in turn.
    #[inline(always)]
    fn open<L: Lanes>(&mut self, l: L, parts: (&Node, &Discs), asked: &Asked<L::F>, limit: f32) {
        self.waiting.put(l, asked.bounds(l, parts), l.splat(limit), &parts.0.child);
    }

    /// Sets the facets of a leaf aside that could be nearest.
    #[inline(always)]
    fn look<L: Lanes>(
        &mut self,
        l: L,
        tree: &Tree,
        number: u32,
        asked: &Asked<L::F>,
        best: &mut Best,
        limits: &mut Limits,
    ) {
        let leaf: &Leaf = &tree.leaves[number as usize];
        let rough = squares(l, leaf, asked.near);
        let mut close = l.at_most(rough, l.splat(limits.facets)) & u32::from(leaf.used & !leaf.flat);
        if leaf.flat != 0 {
            self.look_at_flat(tree, leaf, asked, best, limits);
        }
        if close == 0 {
            return;
        }
        let rough = l.store(rough);
        let mut nearest = f32::INFINITY;
        while close != 0 {
            let lane = close.trailing_zeros();
            close &= close - 1;
            if self.count == ASIDE {
                self.settle(tree, asked.p, limits.facets, best);
            }
            let rough = rough[lane as usize];
            self.aside[self.count] = (rough, number, lane as u8);
            self.count += 1;
            nearest = if rough < nearest { rough } else { nearest };
        }
        let distance = nearest.sqrt();
        let closer = Limits::within(tree, distance + room(tree, distance, asked.size), asked.size);
        if closer.parts < limits.parts {
            *limits = closer;
        }
    }

    /// Looks at the flat facets of a leaf in 64 bits.
    #[inline(never)]
    fn look_at_flat<F: Copy>(&self, tree: &Tree, leaf: &Leaf, asked: &Asked<F>, best: &mut Best, limits: &mut Limits) {
        for lane in (0..8).filter(|k| leaf.flat >> k & 1 == 1) {
            best.offer(tree.corners(leaf, lane), leaf.facet[lane], asked.p);
        }
        let closer = Limits::of(tree, best.square.sqrt(), asked.size);
        if closer.parts < limits.parts {
            *limits = closer;
        }
    }

    /// Looks at the facets set aside in 64 bits, as far as they still could be nearest.
    #[inline(always)]
    fn settle(&mut self, tree: &Tree, p: V, limit: f32, best: &mut Best) {
        for (_, leaf, lane) in self.aside[..self.count].iter().filter(|rough| rough.0 <= limit) {
            let leaf = &tree.leaves[*leaf as usize];
            best.offer(tree.corners(leaf, usize::from(*lane)), leaf.facet[usize::from(*lane)], p);
        }
        self.count = 0;
    }
}

impl Best {
    fn answer(self, p: V) -> Option<Found> {
        let (foot, facet) = self.found?;
        let nearest = Nearest { place: foot.place, distance: norm(sub(p, foot.place)), facet };
        Some(Found { nearest, inside: foot.inside })
    }
}
