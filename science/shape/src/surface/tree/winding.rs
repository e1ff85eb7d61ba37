//! How often a surface winds around a place: 1 inside a closed one, 0 outside, between on an open one.
//!
//! w(q) = 1/(4 pi) sum of the solid angles of the facets (Jacobson, Kavan, Sorkine-Hornung 2013, ACM Trans Graph 32:33, doi
//! 10.1145/2461912.2461916). Facets far off are taken together by two terms about the middle c of their area (Barill et al. 2018, ACM Trans Graph
//! 37:43, doi 10.1145/3197517.3201337): with r = c - q, N = sum a n and M = sum a n (x - c)^T,
//! 4 pi w = N.r/|r|^3 + tr M/|r|^3 - 3 r^T M r/|r|^5, where |r| is beyond `APART` radii of the facets; nearer ones one by one (Van Oosterom, Strackee
//! 1983, IEEE Trans Biomed Eng 30:125-126, doi 10.1109/TBME.1983.325207).

use super::lanes::{Lanes, Work};
use super::{EMPTY, LEAF, Leaf, Tree};
use crate::vector::{V, add, cross, dot, norm, scale, sub};

/// Radii of a part from which on it is taken together; the third term left out is below 1 % of the part's angle there.
const APART: f64 = 3.0;

/// What the eight children of a node are taken together as, in the tree's frame.
#[derive(Debug, Clone, Copy)]
struct Far {
    middle: [[f32; 8]; 3],
    normal: [[f32; 8]; 3],
    /// Symmetric part of M: xx, yy, zz, xy + yx, yz + zy, zx + xz.
    moment: [[f32; 8]; 6],
    /// Square of the distance from which on it holds.
    apart: [f32; 8],
}

/// Parts of a surface taken together, node by node.
#[derive(Debug, Clone)]
pub(in crate::surface) struct Moments {
    far: Vec<Far>,
}

/// Sums over a part, in the frame.
#[derive(Clone, Copy, Default)]
struct Sums {
    area: f64,
    normal: V,
    /// Area times place.
    first: V,
    /// Rows: sum a n_i x_j.
    moment: [V; 3],
    low: V,
    high: V,
}

impl Sums {
    const NONE: Self = Self {
        area: 0.0,
        normal: [0.0; 3],
        first: [0.0; 3],
        moment: [[0.0; 3]; 3],
        low: [f64::INFINITY; 3],
        high: [f64::NEG_INFINITY; 3],
    };

    fn facet([a, b, c]: [V; 3]) -> Self {
        let normal = scale(cross(sub(b, a), sub(c, a)), 0.5);
        let middle = scale(add(a, add(b, c)), 1.0 / 3.0);
        let area = norm(normal);
        Self {
            area,
            normal,
            first: scale(middle, area),
            moment: normal.map(|n| scale(middle, n)),
            low: std::array::from_fn(|i| a[i].min(b[i]).min(c[i])),
            high: std::array::from_fn(|i| a[i].max(b[i]).max(c[i])),
        }
    }

    fn join(&mut self, o: &Self) {
        self.area += o.area;
        self.normal = add(self.normal, o.normal);
        self.first = add(self.first, o.first);
        for i in 0..3 {
            self.moment[i] = add(self.moment[i], o.moment[i]);
            (self.low[i], self.high[i]) = (self.low[i].min(o.low[i]), self.high[i].max(o.high[i]));
        }
    }
}

impl Moments {
    pub(in crate::surface) fn new(tree: &Tree) -> Self {
        let mut sums = vec![Sums::NONE; tree.nodes.len()];
        let none = Far { middle: [[0.0; 8]; 3], normal: [[0.0; 8]; 3], moment: [[0.0; 8]; 6], apart: [0.0; 8] };
        let mut far = vec![none; tree.nodes.len()];
        let frame = |p: V| -> V { std::array::from_fn(|i| (p[i] - tree.centre[i]) * tree.scale) };
        // A node stands before all below it.
        for n in (0..tree.nodes.len()).rev() {
            let mut whole = Sums::NONE;
            for (lane, child) in tree.nodes[n].child.iter().enumerate().filter(|c| *c.1 != EMPTY) {
                let mut part = Sums::NONE;
                if child & LEAF != 0 {
                    let leaf = &tree.leaves[(child & !LEAF) as usize];
                    let held = (0..8).filter(|k| leaf.used >> k & 1 == 1);
                    held.for_each(|k| part.join(&Sums::facet(tree.corners(leaf, k).map(frame))));
                } else {
                    part = sums[*child as usize];
                }
                whole.join(&part);
                far[n].set(lane, &part);
            }
            sums[n] = whole;
        }
        Self { far }
    }

    pub(in crate::surface) fn winding(&self, tree: &Tree, p: V, without: u32) -> f64 {
        if !p.iter().all(|x| x.is_finite()) {
            return 0.0;
        }
        tree.machine.run(Around { moments: self, tree, p, without })
    }

    pub(in crate::surface) fn bytes(&self) -> usize {
        self.far.len() * size_of::<Far>()
    }
}

impl Far {
    fn set(&mut self, lane: usize, s: &Sums) {
        let about: V =
            std::array::from_fn(|i| if s.area > 0.0 { s.first[i] / s.area } else { 0.5 * (s.low[i] + s.high[i]) });
        // Furthest corner of the box.
        let radius = norm(std::array::from_fn(|i| (s.high[i] - about[i]).max(about[i] - s.low[i])));
        let m: [V; 3] = std::array::from_fn(|i| sub(s.moment[i], scale(about, s.normal[i])));
        for i in 0..3 {
            self.middle[i][lane] = about[i] as f32;
            self.normal[i][lane] = s.normal[i] as f32;
            self.moment[i][lane] = m[i][i] as f32;
            let j = (i + 1) % 3;
            self.moment[3 + i][lane] = (m[i][j] + m[j][i]) as f32;
        }
        self.apart[lane] = ((APART * radius).powi(2) as f32).next_up();
    }
}

struct Around<'a> {
    moments: &'a Moments,
    tree: &'a Tree,
    p: V,
    without: u32,
}

impl Work for Around<'_> {
    type Output = f64;
    #[inline(always)]
    fn with<L: Lanes>(self, l: L) -> f64 {
        let q = l.splat3(self.tree.framed(self.p).near);
        let (zero, one) = (l.splat(0.0), l.splat(1.0));
        let mut angle = 0.0f64;
        let mut stack = Vec::with_capacity(128);
        stack.push(0u32);
        while let Some(at) = stack.pop() {
            let far = &self.moments.far[at as usize];
            let r = l.minus(l.load3(&far.middle), q);
            let square = l.dot(r, r);
            let together = l.at_most(l.load(&far.apart), square);
            let m = |k: usize| l.load(&far.moment[k]);
            // r^T M r and the trace.
            let along = l.fma(m(3), l.mul(r[0], r[1]), l.fma(m(4), l.mul(r[1], r[2]), l.mul(m(5), l.mul(r[2], r[0]))));
            let along =
                l.fma(m(0), l.mul(r[0], r[0]), l.fma(m(1), l.mul(r[1], r[1]), l.fma(m(2), l.mul(r[2], r[2]), along)));
            let trace = l.add(m(0), l.add(m(1), m(2)));
            let safe = l.max(square, l.splat(1e-30));
            let inverse = l.div(one, safe);
            let first = l.add(l.dot(l.load3(&far.normal), r), trace);
            let both = l.sub(first, l.mul(l.splat(3.0), l.mul(along, inverse)));
            let (both, inverse) = (l.store(both), l.store(l.max(inverse, zero)));
            for (lane, child) in self.tree.nodes[at as usize].child.iter().enumerate() {
                if *child == EMPTY {
                    continue;
                }
                if together >> lane & 1 == 1 {
                    angle += f64::from(both[lane] * inverse[lane] * inverse[lane].sqrt());
                } else if child & LEAF == 0 {
                    stack.push(*child);
                } else {
                    let leaf = &self.tree.leaves[(child & !LEAF) as usize];
                    let mut turned = Turn::NONE;
                    let rays = self.rays(leaf);
                    for k in (0..8).filter(|k| leaf.used >> k & 1 == 1 && leaf.facet[*k] != self.without) {
                        angle += turned.by(leaf.which[k].map(|n| rays[usize::from(n)]));
                    }
                    angle += turned.angle();
                }
            }
        }
        angle / (4.0 * std::f64::consts::PI)
    }
}

impl Around<'_> {
    /// From the place to each of a leaf's, with lengths: every one serves several facets.
    #[inline(always)]
    fn rays(&self, leaf: &Leaf) -> [(V, f64); 24] {
        let mut rays = [([0.0; 3], 0.0); 24];
        let places = &self.tree.places[leaf.places as usize..][..usize::from(leaf.held)];
        for (ray, place) in rays.iter_mut().zip(places) {
            let r = sub(*place, self.p);
            *ray = (r, norm(r));
        }
        rays
    }
}

/// Half solid angles of facets, positive from behind, added as the product of complex numbers: one arctangent for several facets.
#[derive(Clone, Copy)]
struct Turn {
    cos: f64,
    sin: f64,
}

impl Turn {
    const NONE: Self = Self { cos: 1.0, sin: 0.0 };

    /// Solid angle so far.
    #[inline(always)]
    fn angle(self) -> f64 {
        2.0 * self.sin.atan2(self.cos)
    }

    /// Takes in a facet; gives the angle that has to be counted before it leaves what a product tells. Two half angles below a quarter turn
    /// make less than half a turn.
    #[inline(always)]
    fn by(&mut self, [(a, na), (b, nb), (c, nc)]: [(V, f64); 3]) -> f64 {
        let over = dot(a, cross(b, c));
        if over == 0.0 {
            return 0.0;
        }
        let size = na * nb * nc;
        let under = size + dot(a, b) * nc + dot(b, c) * na + dot(c, a) * nb;
        let next = Self { cos: under / size, sin: over / size };
        let mut counted = 0.0;
        if self.cos <= 0.0 || next.cos <= 0.0 {
            counted = self.angle();
            *self = Self::NONE;
        }
        if next.cos <= 0.0 {
            return counted + next.angle();
        }
        let (cos, sin) = (self.cos * next.cos - self.sin * next.sin, self.cos * next.sin + self.sin * next.cos);
        *self = Self { cos, sin };
        counted
    }
}
