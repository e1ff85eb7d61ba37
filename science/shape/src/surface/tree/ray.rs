//! Rays that pass no gap between neighbouring facets: signed edge areas in a frame along the ray (Woop, Benthin, Wald 2013, J Comput Graph Tech
//! 2:65-82), in 64 bits; boxes, and which of eight facets are worth that, in 32 bits with room for their rounding.

use super::lanes::{Lanes, Work};
use super::{EMPTY, Facets, LEAF, Leaf, ROUNDING, Stack, Tree, WAITING};
use crate::surface::Met;
use crate::vector::{V, sub};

impl Tree {
    /// First facet met later than `beyond`.
    pub(in crate::surface) fn first(&self, of: Facets, from: V, direction: V, beyond: f64) -> Option<Met> {
        self.machine.run(Shoot { tree: self, of, from, direction, beyond })
    }

    /// First facets met by many rays, each later than `beyond`.
    pub(in crate::surface) fn first_of_many(&self, of: Facets, rays: &[(V, V)], beyond: f64, out: &mut [Option<Met>]) {
        self.machine.run(Volley { tree: self, of, rays, beyond, out });
    }
}

struct Shoot<'a> {
    tree: &'a Tree,
    of: Facets<'a>,
    from: V,
    direction: V,
    beyond: f64,
}

impl Work for Shoot<'_> {
    type Output = Option<Met>;
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) -> Option<Met> {
        let mut stack = [(0.0, 0); WAITING];
        search(l, self.tree, self.of, self.from, self.direction, self.beyond, &mut stack)
    }
}

struct Volley<'a> {
    tree: &'a Tree,
    of: Facets<'a>,
    rays: &'a [(V, V)],
    beyond: f64,
    out: &'a mut [Option<Met>],
}

impl Work for Volley<'_> {
    type Output = ();
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) {
        let mut stack = [(0.0, 0); WAITING];
        for ((from, direction), out) in self.rays.iter().zip(self.out.iter_mut()) {
            *out = search(l, self.tree, self.of, *from, *direction, self.beyond, &mut stack);
        }
    }
}

/// A steepness beyond which a direction counts as none along an axis.
const STEEPEST: f32 = 1e18;

#[inline(always)]
fn search<L: Lanes>(
    l: L,
    tree: &Tree,
    of: Facets,
    from: V,
    direction: V,
    beyond: f64,
    stack: &mut Stack,
) -> Option<Met> {
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
    let frame = Frame { from, axes: [kx, ky, kz], shear };
    // In the tree's frame the greatest part of the direction is 1.
    let turns = size[kz] * tree.scale;
    let q = tree.framed(from);
    let margin = 8.0 * ROUNDING * (1.0 + q.size);
    let inverse: [f32; 3] = std::array::from_fn(|i| {
        let x = ((size[kz] / direction[i]) as f32).clamp(-STEEPEST, STEEPEST);
        if x.is_nan() { STEEPEST } else { x }
    });
    let inv = l.splat3(inverse);
    // Entering at (low - margin - from) / direction where that is positive, else at (high + margin - from) / direction.
    let (mut enter_off, mut leave_off) = ([0.0; 3], [0.0; 3]);
    for i in 0..3 {
        let (a, b) = (-(q.near[i] + margin) * inverse[i], -(q.near[i] - margin) * inverse[i]);
        (enter_off[i], leave_off[i]) = (a.min(b), a.max(b));
    }
    let (enter_off, leave_off) = (l.splat3(enter_off), l.splat3(leave_off));
    let positive: [bool; 3] = inverse.map(|x| x >= 0.0);
    let filter = Filter::new(l, &frame, q.near, q.size);
    let start = (beyond * turns) as f32;
    let start = start - 4.0 * ROUNDING * start.abs() - 2.0 * margin;
    let mut limit = f64::INFINITY;
    let mut until = f32::INFINITY;
    let mut best: Option<Met> = None;
    let wider = 1.0 + 8.0 * ROUNDING;
    let mut top = 1;
    stack[0] = (f32::NEG_INFINITY, 0);
    while top > 0 {
        top -= 1;
        let (enter, at) = stack[top];
        if enter > until {
            continue;
        }
        if at & LEAF != 0 {
            let leaf = &tree.leaves[(at & !LEAF) as usize];
            let mut left = filter.could_meet(l, leaf) & u32::from(leaf.used);
            while left != 0 {
                let facet = leaf.facet[left.trailing_zeros() as usize];
                left &= left - 1;
                if let Some(along) = frame.meets(&of.corners(facet))
                    && along > beyond
                    && (along < limit || along == limit && best.is_some_and(|b| facet < b.facet))
                {
                    limit = along;
                    let t = (along * turns) as f32;
                    until = t + 8.0 * ROUNDING * t.abs() + 2.0 * margin;
                    best = Some(Met { along, facet });
                }
            }
            continue;
        }
        let node = &tree.nodes[at as usize];
        let (mut enter, mut leave) = (l.splat(start), l.splat(until));
        for i in 0..3 {
            let (near, far) = if positive[i] { (&node.low[i], &node.high[i]) } else { (&node.high[i], &node.low[i]) };
            enter = l.max(enter, l.fma(l.load(near), inv[i], enter_off[i]));
            leave = l.min(leave, l.fma(l.load(far), inv[i], leave_off[i]));
        }
        // Room for the rounding of the inverse.
        let slack = l.mul(l.abs(leave), l.splat(wider - 1.0));
        let mut hit = l.at_most(enter, l.add(leave, slack));
        let enter = l.store(enter);
        let first = top;
        while hit != 0 {
            let lane = hit.trailing_zeros() as usize;
            hit &= hit - 1;
            if node.child[lane] == EMPTY {
                continue;
            }
            // The inverse is rounded: a box may begin a little sooner.
            let entry = (enter[lane] - 8.0 * ROUNDING * enter[lane].abs(), node.child[lane]);
            let mut slot = top;
            while slot > first && stack[slot - 1].0 < entry.0 {
                stack[slot] = stack[slot - 1];
                slot -= 1;
            }
            stack[slot] = entry;
            top += 1;
        }
    }
    best
}

struct Frame {
    from: V,
    axes: [usize; 3],
    shear: V,
}

impl Frame {
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
        if (u < 0.0 || v < 0.0 || w < 0.0) && (u > 0.0 || v > 0.0 || w > 0.0) {
            return None;
        }
        let whole = u + v + w;
        (whole != 0.0).then(|| (u * a[2] + v * b[2] + w * c[2]) / whole)
    }
}

/// The same areas in 32 bits, with the most they can be off.
struct Filter<F> {
    axes: [usize; 3],
    from: [F; 3],
    shear: [F; 2],
    /// Most that a corner's place can be off.
    off: F,
}

impl<F: Copy> Filter<F> {
    #[inline(always)]
    fn new<L: Lanes<F = F>>(l: L, frame: &Frame, from: [f32; 3], size: f32) -> Self {
        let [kx, ky, kz] = frame.axes;
        Self {
            axes: frame.axes,
            from: [l.splat(from[kx]), l.splat(from[ky]), l.splat(from[kz])],
            shear: [l.splat(-(frame.shear[0] as f32)), l.splat(-(frame.shear[1] as f32))],
            // Corner, edge, origin, difference, shear and product: each within half a rounding of sizes up to 2 + size, the shear at most 1.
            off: l.splat(8.0 * ROUNDING * (2.0 + size)),
        }
    }

    #[inline(always)]
    fn could_meet<L: Lanes<F = F>>(&self, l: L, leaf: &Leaf) -> u32 {
        let [kx, ky, kz] = self.axes;
        let at = |k: usize, i: usize| l.sub(l.load(&leaf.corner[k]), self.from[i]);
        let corner = [at(kx, 0), at(ky, 1), at(kz, 2)];
        let edge = |e: usize| [l.load(&leaf.edges[e][kx]), l.load(&leaf.edges[e][ky]), l.load(&leaf.edges[e][kz])];
        let flat = |d: [F; 3]| [l.fma(self.shear[0], d[2], d[0]), l.fma(self.shear[1], d[2], d[1])];
        let a = flat(corner);
        let (ab, ac) = (flat(edge(0)), flat(edge(1)));
        let (b, c) = ([l.add(a[0], ab[0]), l.add(a[1], ab[1])], [l.add(a[0], ac[0]), l.add(a[1], ac[1])]);
        let area = |p: [F; 2], q: [F; 2]| l.sub(l.mul(p[0], q[1]), l.mul(p[1], q[0]));
        let (u, v, w) = (area(c, b), area(a, c), area(b, a));
        let size = |p: [F; 2]| l.max(l.abs(p[0]), l.abs(p[1]));
        let most = l.max(size(a), l.max(size(b), size(c)));
        // Four products of a place and an error, and the square of the error.
        let room = l.mul(self.off, l.fma(most, l.splat(4.5), l.mul(self.off, l.splat(2.0))));
        let least = l.min(u, l.min(v, w));
        let greatest = l.max(u, l.max(v, w));
        l.at_most(l.sub(l.splat(0.0), room), least) | l.at_most(greatest, room)
    }
}
