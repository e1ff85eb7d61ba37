//! Cells cut by one smooth surface: tetrahedra with quadratic facets whose corners and middles lie on the true surface.
//!
//! Each small cube is split into six tetrahedra. Corners of facets are found on the tetrahedra's edges, middles of facet edges along the gradient; neighbours
//! share both, so the parts close up (a facet may bulge out of its cell by the height of its arc). The layer between flat and quadratic facet is added with its sign.

use super::{Facet, Gather, V, along, cross, dot, norm, sub, walls_of};

const TETRAHEDRA: [[usize; 4]; 6] =
    [[0, 1, 3, 7], [0, 3, 2, 7], [0, 2, 6, 7], [0, 6, 4, 7], [0, 4, 5, 7], [0, 5, 1, 7]];

/// Points and weights on the triangle (r, s; weights sum to 1/2), exact to degree 5 (Radon 1948; Strang, Fix 1973, memory).
const TRIANGLE: [(f64, f64, f64); 7] = [
    (0.333333333333333333, 0.333333333333333333, 0.1125),
    (0.470142064105115090, 0.470142064105115090, 0.0661970763942530903),
    (0.470142064105115090, 0.059715871789769820, 0.0661970763942530903),
    (0.059715871789769820, 0.470142064105115090, 0.0661970763942530903),
    (0.101286507323456339, 0.101286507323456339, 0.0629695902724135763),
    (0.101286507323456339, 0.797426985353087322, 0.0629695902724135763),
    (0.797426985353087322, 0.101286507323456339, 0.0629695902724135763),
];

/// As above with three points, exact to degree 2: enough where the facet is a quarter of a cell wide.
pub(super) const FEW: [(f64, f64, f64); 3] =
    [(1.0 / 6.0, 1.0 / 6.0, 1.0 / 6.0), (2.0 / 3.0, 1.0 / 6.0, 1.0 / 6.0), (1.0 / 6.0, 2.0 / 3.0, 1.0 / 6.0)];

/// Two-point Gauss rule on 0..1.
const THROUGH: [f64; 2] = [0.211324865405187118, 0.788675134594812882];

impl Gather<'_> {
    /// Adds the part of the box that is inside, `parts` small cubes along its edge.
    pub(super) fn curved(&mut self, low: V, size: f64, parts: usize) {
        let side = parts + 1;
        let step = size / parts as f64;
        let at = |n: [usize; 3]| -> V { std::array::from_fn(|i| low[i] + step * n[i] as f64) };
        let mut d = [0.0; 27];
        for (n, d) in d.iter_mut().enumerate().take(side.pow(3)) {
            *d = self.distance(at([n % side, n / side % side, n / side / side]));
        }
        for n in 0..parts.pow(3) {
            let first = [n % parts, n / parts % parts, n / parts / parts];
            let node = |c: usize| [first[0] + (c & 1), first[1] + (c >> 1 & 1), first[2] + (c >> 2)];
            let value = |c: usize| {
                let [i, j, k] = node(c);
                d[i + side * (j + side * k)]
            };
            if (0..8).all(|c| value(c) <= 0.0) {
                self.cube(at(first), step);
            } else if (0..8).any(|c| value(c) < 0.0) {
                for t in TETRAHEDRA {
                    self.part(t.map(|c| at(node(c))), t.map(value));
                }
            }
        }
    }

    fn part(&mut self, p: [V; 4], d: [f64; 4]) {
        let mut order = [0, 1, 2, 3];
        order.sort_by(|&a, &b| d[a].total_cmp(&d[b]));
        let (p, d) = (order.map(|i| p[i]), order.map(|i| d[i]));
        let inside = d.iter().filter(|x| **x < 0.0).count();
        if inside == 0 || !self.seat_in(p, inside) {
            return;
        }
        match inside {
            0 => {}
            4 => self.tetrahedron(p),
            1 => {
                let [a, b, c] = [1, 2, 3].map(|k| self.root(p, d, 0, k));
                self.tetrahedron([p[0], a, b, c]);
                self.facet([a, b, c], [self.middle(a, b), self.middle(b, c), self.middle(c, a)], p[0]);
            }
            3 => {
                let [a, b, c] = [0, 1, 2].map(|k| self.root(p, d, k, 3));
                self.tetrahedron([p[0], p[1], p[2], c]);
                self.tetrahedron([p[0], p[1], b, c]);
                self.tetrahedron([p[0], a, b, c]);
                self.facet([a, b, c], [self.middle(a, b), self.middle(b, c), self.middle(c, a)], p[0]);
            }
            _ => {
                let (a, b) = (self.root(p, d, 0, 2), self.root(p, d, 0, 3));
                let (c, e) = (self.root(p, d, 1, 3), self.root(p, d, 1, 2));
                self.tetrahedron([p[0], a, b, c]);
                self.tetrahedron([p[0], a, c, e]);
                self.tetrahedron([p[0], e, c, p[1]]);
                let [ab, bc, ce, ea, ac] = [(a, b), (b, c), (c, e), (e, a), (a, c)].map(|(p, q)| self.middle(p, q));
                self.facet([a, b, c], [ab, bc, ac], p[0]);
                self.facet([a, c, e], [ac, ce, ea], p[0]);
            }
        }
    }

    /// Notes the part inside of a tetrahedron whose first corners are inside: it is deepest at the first; whether it belongs to what is gathered.
    fn seat_in(&mut self, p: [V; 4], inside: usize) -> bool {
        let mut doors = [None; 6];
        for out in 0..4 {
            let face: Vec<V> = (0..4).filter(|k| *k != out).map(|k| p[k]).collect();
            // Corners are in the order of their depth: the first of the face is inside if any is.
            let first = usize::from(out == 0);
            for w in walls_of(&face).filter(|_| first < inside) {
                doors[w] = Some(face[0]);
            }
        }
        self.seat(p[0], doors)
    }

    /// The surface on the edge from corner `a` (inside) to `b`: false position, up to four steps.
    fn root(&self, p: [V; 4], d: [f64; 4], a: usize, b: usize) -> V {
        let way = sub(p[b], p[a]);
        let (mut low, mut high) = ((0.0, d[a]), (1.0, d[b]));
        let mut t = low.1 / (low.1 - high.1);
        for _ in 0..4 {
            let f = self.distance(along(p[a], t, way));
            if f.abs() < 1e-11 {
                break;
            }
            *(if f < 0.0 { &mut low } else { &mut high }) = (t, f);
            t = low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
        }
        along(p[a], t.clamp(0.0, 1.0), way)
    }

    /// The middle of a facet edge moved onto the surface along the gradient there: it hangs on the two ends only, so that neighbours share it.
    fn middle(&self, a: V, b: V) -> V {
        let way = sub(b, a);
        let mid = along(a, 0.5, way);
        let length = norm(way);
        let first = self.distance(mid);
        if length < 1e-9 || first.abs() < 1e-11 {
            return mid;
        }
        let n = self.solid.gradient(self.place(mid));
        let steep = dot(n, n);
        if steep < 0.1 || first.abs() > 0.3 * length {
            return mid;
        }
        let next = along(mid, -first / steep, n);
        let second = self.distance(next);
        if second.abs() < first.abs() { along(next, -second / steep, n) } else { mid }
    }

    /// A quadratic facet (middles of edges 01, 12, 20) and the layer between it and the flat one.
    fn facet(&mut self, p: [V; 3], middles: [V; 3], inside: V) {
        let (a, b) = (sub(p[1], p[0]), sub(p[2], p[0]));
        let flat = cross(a, b);
        if norm(flat) < 1e-16 {
            return;
        }
        let sign = if dot(flat, sub(p[0], inside)) < 0.0 { -1.0 } else { 1.0 };
        let lift: [V; 3] = std::array::from_fn(|i| sub(middles[i], p[i].map(|x| 0.5 * x)));
        let lift: [V; 3] = std::array::from_fn(|i| along(lift[i], -0.5, p[(i + 1) % 3]));
        let bent = lift.iter().any(|l| norm(*l) > 1e-13);
        let (square, cube) = (self.edge * self.edge, self.edge.powi(3));
        let bow = |k: [f64; 3]| -> V {
            std::array::from_fn(|i| 4.0 * (k[0] * lift[0][i] + k[1] * lift[1][i] + k[2] * lift[2][i]))
        };
        // Place on the flat facet, way up from it to the quadratic one, and the slopes of that way.
        let at = |r: f64, s: f64| {
            let q = 1.0 - r - s;
            (along(along(p[0], r, a), s, b), bow([q * r, r * s, s * q]), bow([q - r, s, -s]), bow([-r, r, q - s]))
        };
        if bent {
            for (r, s, w) in TRIANGLE {
                let (base, up, up_r, up_s) = at(r, s);
                for t in THROUGH {
                    let side = cross(along(a, t, up_r), along(b, t, up_s));
                    self.add(along(base, t, up), 0.5 * w * cube * sign * dot(side, up));
                }
            }
        }
        for (r, s, w) in FEW {
            let (base, up, up_r, up_s) = at(r, s);
            let side = cross(along(a, 1.0, up_r), along(b, 1.0, up_s));
            let area = norm(side);
            let local = along(base, 1.0, up);
            let normal = side.map(|x| sign * x / area);
            self.facets.push(Facet { local, at: along(self.low, self.edge, local), normal, area: area * w * square });
        }
    }
}
