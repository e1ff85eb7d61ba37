//! Rays that pass no gap between neighbouring facets: signed edge areas in a frame along the ray (Woop, Benthin, Wald 2013, J Comput Graph Tech
//! 2:65-82), in 64 bits; boxes, and which of eight facets are worth that, in 32 bits with room for their rounding.

use super::lanes::{Lanes, Work};
use super::{EMPTY, LEAF, Leaf, ROUNDING, Tree, Waiting};
use crate::surface::Met;
use crate::vector::{V, sub};

impl Tree {
    /// First facet met later than `beyond`.
    pub(in crate::surface) fn first(&self, from: V, direction: V, beyond: f64) -> Option<Met> {
        self.machine.run(Shoot { tree: self, from, direction, beyond })
    }

    /// First facets met by many rays, each later than `beyond`.
    pub(in crate::surface) fn first_of_many(&self, rays: &[(V, V)], beyond: f64, out: &mut [Option<Met>]) {
        self.machine.run(Volley { tree: self, rays, beyond, out });
    }
}

struct Shoot<'a> {
    tree: &'a Tree,
    from: V,
    direction: V,
    beyond: f64,
}

impl Work for Shoot<'_> {
    type Output = Option<Met>;
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) -> Option<Met> {
        let mut flight = Flight::IDLE;
        flight.begin(self.tree, self.from, self.direction, self.beyond);
        while flight.step(l, self.tree) {}
        flight.best
    }
}

/// Rays under way at the same time: while one waits for its memory the others go on.
const ABREAST: usize = 16;

struct Volley<'a> {
    tree: &'a Tree,
    rays: &'a [(V, V)],
    beyond: f64,
    out: &'a mut [Option<Met>],
}

impl Work for Volley<'_> {
    type Output = ();
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) {
        let mut flights = [Flight::IDLE; ABREAST];
        let mut numbers = [None; ABREAST];
        let mut waiting = self.rays.iter().enumerate();
        let mut flying = true;
        while flying {
            flying = false;
            for (flight, number) in flights.iter_mut().zip(&mut numbers) {
                if flight.step(l, self.tree) {
                    flying = true;
                    continue;
                }
                if let Some(number) = number.take() {
                    self.out[number] = flight.best;
                }
                if let Some((next, (from, direction))) = waiting.next() {
                    flight.begin(self.tree, *from, *direction, self.beyond);
                    *number = Some(next);
                    flying = true;
                }
            }
        }
    }
}

/// A steepness beyond which a direction counts as none along an axis.
const STEEPEST: f32 = 1e18;

/// A ray under way.
#[derive(Clone, Copy)]
struct Flight {
    inverse: [f32; 3],
    /// What a side times the inverse is off the entry, and off the exit.
    entry: [f32; 3],
    exit: [f32; 3],
    /// Boxes left before this are passed over.
    start: f32,
    /// Boxes entered later than this are passed over.
    until: f32,
    /// Rows of a node that the ray passes first.
    first: [usize; 3],
    /// Node or leaf to look at, none at the end.
    at: u32,
    /// Facets of that leaf left to look at closely.
    left: u32,
    waiting: Waiting,
    best: Option<Met>,
    frame: Frame,
    filter: Filter,
    /// Lengths of the tree's frame in one of the direction.
    turns: f64,
    margin: f32,
    beyond: f64,
}

impl Flight {
    /// Before any ray.
    const IDLE: Self = Self {
        inverse: [0.0; 3],
        entry: [0.0; 3],
        exit: [0.0; 3],
        start: 0.0,
        until: 0.0,
        first: [0; 3],
        at: EMPTY,
        left: 0,
        waiting: Waiting::NONE,
        best: None,
        frame: Frame { from: [0.0; 3], axes: [0, 1, 2], shear: [0.0; 3] },
        filter: Filter { from: [0.0; 3], shear: [0.0; 2], off: 0.0 },
        turns: 1.0,
        margin: 0.0,
        beyond: 0.0,
    };

    /// At the root; already at the end for a ray without origin or direction.
    #[inline(always)]
    fn begin(&mut self, tree: &Tree, from: V, direction: V, beyond: f64) {
        (self.at, self.left, self.best, self.until) = (EMPTY, 0, None, f32::INFINITY);
        self.waiting.clear();
        let Some(frame) = Frame::new(from, direction) else { return };
        let greatest = direction[frame.axes[2]].abs();
        // In the tree's frame the greatest part of the direction is 1.
        self.turns = greatest * tree.scale;
        let q = tree.framed(from);
        // Origin, side, margin, inverse and sums are each within half a rounding of no more than (1 + size) / direction: together under four
        // roundings where the ray is within the tree's frame. Inside the margin no box that holds what is met is left early or entered late.
        self.margin = 16.0 * ROUNDING * (1.0 + q.size);
        for (i, part) in direction.into_iter().enumerate() {
            let x = ((greatest / part) as f32).clamp(-STEEPEST, STEEPEST);
            let inverse = if x.is_nan() { STEEPEST } else { x };
            self.first[i] = 2 * i + usize::from(inverse < 0.0);
            // Entering at (low - margin - from) / direction where that is positive, else at (high + margin - from) / direction.
            let (a, b) = (-(q.near[i] + self.margin) * inverse, -(q.near[i] - self.margin) * inverse);
            self.inverse[i] = inverse;
            (self.entry[i], self.exit[i]) = (a.min(b), a.max(b));
        }
        let start = (beyond * self.turns) as f32;
        self.start = start - 4.0 * ROUNDING * start.abs() - 2.0 * self.margin;
        self.filter = Filter::new(&frame, q.near, q.size);
        (self.frame, self.beyond, self.at) = (frame, beyond, 0);
    }

    /// One node or leaf further; false at the end.
    #[inline(always)]
    fn step<L: Lanes>(&mut self, l: L, tree: &Tree) -> bool {
        if self.at & LEAF == 0 {
            self.descend(l, tree);
        } else if self.at == EMPTY {
            return false;
        } else if self.left == 0 {
            self.sift(l, tree);
        } else {
            self.meet(tree);
        }
        true
    }

    /// To one of the boxes and leaves that wait.
    #[inline(always)]
    fn turn(&mut self, tree: &Tree) {
        self.at = self.waiting.next(self.until);
        if self.at != EMPTY {
            tree.fetch(self.at);
        }
    }

    /// Which facets of a leaf to look at closely.
    #[inline(always)]
    fn sift<L: Lanes>(&mut self, l: L, tree: &Tree) {
        let leaf = &tree.leaves[(self.at & !LEAF) as usize];
        self.left = self.filter.could_meet(l, leaf, self.frame.axes) & u32::from(leaf.used);
        tree.fetch_corners(leaf, self.left);
        if self.left == 0 {
            self.turn(tree);
        }
    }

    /// Looks closely at the facets that are left.
    #[inline(always)]
    fn meet(&mut self, tree: &Tree) {
        let leaf = &tree.leaves[(self.at & !LEAF) as usize];
        while self.left != 0 {
            let lane = self.left.trailing_zeros() as usize;
            self.left &= self.left - 1;
            let facet = leaf.facet[lane];
            if let Some(along) = self.frame.meets(&tree.corners(leaf, lane))
                && along > self.beyond
                && self.best.is_none_or(|b| along < b.along || along == b.along && facet < b.facet)
            {
                let t = (along * self.turns) as f32;
                self.until = t + 8.0 * ROUNDING * t.abs() + 2.0 * self.margin;
                self.best = Some(Met { along, facet });
            }
        }
        self.turn(tree);
    }

    /// Leaves the children met waiting and goes to the nearest of them, or to what waits already.
    #[inline(always)]
    fn descend<L: Lanes>(&mut self, l: L, tree: &Tree) {
        let node = &tree.nodes[self.at as usize];
        let (mut enter, mut leave) = (l.splat(self.start), l.splat(self.until));
        for i in 0..3 {
            let (first, inverse) = (self.first[i], l.splat(self.inverse[i]));
            enter = l.max(enter, l.fma(l.load(&node.sides[first]), inverse, l.splat(self.entry[i])));
            leave = l.min(leave, l.fma(l.load(&node.sides[first ^ 1]), inverse, l.splat(self.exit[i])));
        }
        self.waiting.put(l, enter, leave, &node.child);
        self.turn(tree);
    }
}

#[derive(Clone, Copy)]
struct Frame {
    from: V,
    axes: [usize; 3],
    shear: V,
}

impl Frame {
    /// None for a ray without origin or direction.
    #[inline(always)]
    fn new(from: V, direction: V) -> Option<Self> {
        let size = direction.map(f64::abs);
        let kz = (0..3).fold(0, |a, i| if size[i] > size[a] { i } else { a });
        if !(size[kz] > 0.0
            && size[kz].is_finite()
            && from.iter().all(|x| x.is_finite())
            && !direction.iter().any(|x| x.is_nan()))
        {
            return None;
        }
        let (mut kx, mut ky) = ((kz + 1) % 3, (kz + 2) % 3);
        if direction[kz] < 0.0 {
            std::mem::swap(&mut kx, &mut ky);
        }
        let shear = [direction[kx] / direction[kz], direction[ky] / direction[kz], 1.0 / direction[kz]];
        Some(Self { from, axes: [kx, ky, kz], shear })
    }

    #[inline(always)]
    fn meets(&self, corners: &[V; 3]) -> Option<f64> {
        let [kx, ky, kz] = self.axes;
        let [a, b, c] = corners.map(|p| {
            let d = sub(p, self.from);
            [d[kx] - self.shear[0] * d[kz], d[ky] - self.shear[1] * d[kz], self.shear[2] * d[kz]]
        });
        let u = c[0] * b[1] - c[1] * b[0];
        let v = a[0] * c[1] - a[1] * c[0];
        let w = b[0] * a[1] - b[1] * a[0];
        if ((u < 0.0) | (v < 0.0) | (w < 0.0)) & ((u > 0.0) | (v > 0.0) | (w > 0.0)) {
            return None;
        }
        let whole = u + v + w;
        (whole != 0.0).then(|| (u * a[2] + v * b[2] + w * c[2]) / whole)
    }
}

/// The same areas in 32 bits, with the most they can be off.
#[derive(Clone, Copy)]
struct Filter {
    from: [f32; 3],
    shear: [f32; 2],
    /// Most that a corner's place can be off.
    off: f32,
}

impl Filter {
    #[inline(always)]
    fn new(frame: &Frame, from: [f32; 3], size: f32) -> Self {
        Self {
            from: frame.axes.map(|k| from[k]),
            shear: [-(frame.shear[0] as f32), -(frame.shear[1] as f32)],
            // Corner, edge, origin, difference, shear and product: each within half a rounding of sizes up to 2 + size, the shear at most 1.
            off: 8.0 * ROUNDING * (2.0 + size),
        }
    }

    #[inline(always)]
    fn could_meet<L: Lanes>(&self, l: L, leaf: &Leaf, axes: [usize; 3]) -> u32 {
        let [kx, ky, kz] = axes;
        let (shear, off) = ([l.splat(self.shear[0]), l.splat(self.shear[1])], l.splat(self.off));
        let at = |k: usize, i: usize| l.sub(l.load(&leaf.corner[k]), l.splat(self.from[i]));
        let corner = [at(kx, 0), at(ky, 1), at(kz, 2)];
        let edge = |e: usize| [l.load(&leaf.edges[e][kx]), l.load(&leaf.edges[e][ky]), l.load(&leaf.edges[e][kz])];
        let flat = |d: [L::F; 3]| [l.fma(shear[0], d[2], d[0]), l.fma(shear[1], d[2], d[1])];
        let a = flat(corner);
        let (ab, ac) = (flat(edge(0)), flat(edge(1)));
        let (b, c) = ([l.add(a[0], ab[0]), l.add(a[1], ab[1])], [l.add(a[0], ac[0]), l.add(a[1], ac[1])]);
        let area = |p: [L::F; 2], q: [L::F; 2]| l.sub(l.mul(p[0], q[1]), l.mul(p[1], q[0]));
        let (u, v, w) = (area(c, b), area(a, c), area(b, a));
        let size = |p: [L::F; 2]| l.max(l.abs(p[0]), l.abs(p[1]));
        let most = l.max(size(a), l.max(size(b), size(c)));
        // Four products of a place and an error, and the square of the error.
        let room = l.mul(off, l.fma(most, l.splat(4.5), l.mul(off, l.splat(2.0))));
        let least = l.min(u, l.min(v, w));
        let greatest = l.max(u, l.max(v, w));
        l.at_most(l.sub(l.splat(0.0), room), least) | l.at_most(greatest, room)
    }
}
