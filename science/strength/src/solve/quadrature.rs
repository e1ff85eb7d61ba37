//! Integrals over the part of a cell inside a solid, and over the surface in it.
//!
//! The cell is halved twice; each small cell is split into six tetrahedra and cut where the distance, linear in each, is zero. Volume integrals
//! are carried as weights at the 125 points of the 5 x 5 x 5 Gauss rule, exact for what the stiffness of a quadratic cell needs (moment
//! fitting by interpolation). The layer between flat facet and true surface is added with its thickness -d, and surface points are
//! moved onto the true surface, so that planar cuts are exact and curved ones err with the fourth power of the small cell.

use super::basis::{GAUSS4, GAUSS5, lagrange};
use shape::{STEEPEST, Solid};

/// A point of the true surface.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Facet {
    /// Place in the unit cell, and in space (mm).
    pub local: [f64; 3],
    pub at: [f64; 3],
    /// Outward normal.
    pub normal: [f64; 3],
    /// Area, mm2.
    pub area: f64,
}

/// What a cell holds of a solid.
pub(crate) enum Cut {
    /// Nothing.
    Empty,
    /// All of it is inside.
    Full,
    /// Weights (mm3) at the 125 points, x fastest, and the surface.
    Part(Box<[f64; 125]>, Vec<Facet>),
}

const PARTS: usize = 4;

type V = [f64; 3];
fn sub(a: V, b: V) -> V {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}
fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
fn cross(a: V, b: V) -> V {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

const TETRAHEDRA: [[usize; 4]; 6] =
    [[0, 1, 3, 7], [0, 3, 2, 7], [0, 2, 6, 7], [0, 6, 4, 7], [0, 4, 5, 7], [0, 5, 1, 7]];

struct Gather<'a> {
    solid: &'a dyn Solid,
    low: V,
    edge: f64,
    weights: Box<[f64; 125]>,
    facets: Vec<Facet>,
}

/// Cuts the cell with lowest corner `low` and the given edge.
pub(crate) fn cut(solid: &dyn Solid, low: V, edge: f64) -> Cut {
    let middle = solid.distance(low.map(|x| x + 0.5 * edge));
    if middle.abs() > STEEPEST * 0.5 * edge * 3f64.sqrt() {
        return if middle < 0.0 { Cut::Full } else { Cut::Empty };
    }
    let step = edge / PARTS as f64;
    let side = PARTS + 1;
    let mut d = [0.0; (PARTS + 1) * (PARTS + 1) * (PARTS + 1)];
    for (n, d) in d.iter_mut().enumerate() {
        let at = [n % side, n / side % side, n / side / side];
        *d = solid.distance(std::array::from_fn(|i| low[i] + step * at[i] as f64));
        // Rounding must not leave slivers beside a surface that runs through lattice corners.
        if d.abs() < 1e-12 * edge {
            *d = 0.0;
        }
    }
    if d.iter().all(|d| *d >= 0.0) {
        return Cut::Empty;
    }
    if d.iter().all(|d| *d < 0.0) {
        return Cut::Full;
    }
    let mut g = Gather { solid, low, edge, weights: Box::new([0.0; 125]), facets: Vec::new() };
    for z in 0..PARTS {
        for y in 0..PARTS {
            for x in 0..PARTS {
                let at = [x, y, z];
                let node = |c: usize| [x + (c & 1), y + (c >> 1 & 1), z + (c >> 2)];
                let place: [V; 8] = std::array::from_fn(|c| node(c).map(|i| i as f64 / PARTS as f64));
                let value: [f64; 8] = std::array::from_fn(|c| {
                    let [i, j, k] = node(c);
                    d[i + side * (j + side * k)]
                });
                if value.iter().all(|d| *d < 0.0) {
                    g.cube(at.map(|i| i as f64 / PARTS as f64));
                } else if value.iter().any(|d| *d < 0.0) {
                    for t in TETRAHEDRA {
                        g.tetrahedron(t.map(|i| place[i]), t.map(|i| value[i]));
                    }
                }
            }
        }
    }
    Cut::Part(g.weights, g.facets)
}

impl Gather<'_> {
    fn add(&mut self, at: V, weight: f64) {
        let l = at.map(lagrange);
        for k in 0..5 {
            for j in 0..5 {
                let w = weight * l[1][j] * l[2][k];
                let row = &mut self.weights[5 * (j + 5 * k)..][..5];
                row.iter_mut().zip(l[0]).for_each(|(sum, l)| *sum += w * l);
            }
        }
    }

    fn cube(&mut self, low: V) {
        let step = 1.0 / PARTS as f64;
        let l: [[f64; 5]; 3] = std::array::from_fn(|axis| {
            let mut sum = [0.0; 5];
            for (x, w) in GAUSS5 {
                lagrange(low[axis] + step * x).iter().zip(&mut sum).for_each(|(l, s)| *s += w * step * l);
            }
            sum
        });
        let volume = self.edge.powi(3);
        for n in 0..125 {
            self.weights[n] += volume * l[0][n % 5] * l[1][n / 5 % 5] * l[2][n / 25];
        }
    }

    fn tetrahedron(&mut self, p: [V; 4], d: [f64; 4]) {
        let mut order = [0, 1, 2, 3];
        order.sort_by(|&a, &b| d[a].total_cmp(&d[b]));
        let (p, d) = (order.map(|i| p[i]), order.map(|i| d[i]));
        let at = |a: usize, b: usize| -> V {
            let t = d[a] / (d[a] - d[b]);
            std::array::from_fn(|i| p[a][i] + t * (p[b][i] - p[a][i]))
        };
        match d.iter().filter(|x| **x < 0.0).count() {
            0 => {}
            4 => self.solid_part(p),
            1 => {
                let (a, b, c) = (at(0, 1), at(0, 2), at(0, 3));
                self.solid_part([p[0], a, b, c]);
                self.facet([a, b, c], p[0]);
            }
            3 => {
                let (a, b, c) = (at(0, 3), at(1, 3), at(2, 3));
                self.solid_part([p[0], p[1], p[2], c]);
                self.solid_part([p[0], p[1], b, c]);
                self.solid_part([p[0], a, b, c]);
                self.facet([a, b, c], p[0]);
            }
            _ => {
                let (a, b, c, e) = (at(0, 2), at(0, 3), at(1, 3), at(1, 2));
                self.solid_part([p[0], a, b, c]);
                self.solid_part([p[0], a, c, e]);
                self.solid_part([p[0], e, c, p[1]]);
                self.facet([a, b, c], p[0]);
                self.facet([a, c, e], p[0]);
            }
        }
    }

    /// Collapsed Gauss rule, exact to degree 5.
    fn solid_part(&mut self, p: [V; 4]) {
        let e: [V; 3] = std::array::from_fn(|i| sub(p[i + 1], p[0]));
        let content = dot(e[0], cross(e[1], e[2])).abs() * self.edge.powi(3);
        if content == 0.0 {
            return;
        }
        for (r, wr) in GAUSS4 {
            for (s, ws) in GAUSS4 {
                for (t, wt) in GAUSS4 {
                    let (b, c) = (s * (1.0 - r), t * (1.0 - r) * (1.0 - s));
                    let at = std::array::from_fn(|i| p[0][i] + r * e[0][i] + b * e[1][i] + c * e[2][i]);
                    self.add(at, content * wr * ws * wt * (1.0 - r).powi(2) * (1.0 - s));
                }
            }
        }
    }

    /// Collapsed Gauss rule, exact to degree 6, moved onto the true surface; the layer between is added to the volume.
    fn facet(&mut self, p: [V; 3], inside: V) {
        let e = [sub(p[1], p[0]), sub(p[2], p[0])];
        let mut flat = cross(e[0], e[1]);
        let twice = dot(flat, flat).sqrt();
        if twice == 0.0 {
            return;
        }
        let sign = if dot(flat, sub(p[0], inside)) < 0.0 { -1.0 } else { 1.0 };
        flat = flat.map(|x| sign * x / twice);
        for (r, wr) in GAUSS4 {
            for (s, ws) in GAUSS4 {
                let b = s * (1.0 - r);
                let local: V = std::array::from_fn(|i| p[0][i] + r * e[0][i] + b * e[1][i]);
                let area = twice * self.edge * self.edge * wr * ws * (1.0 - r);
                let at: V = std::array::from_fn(|i| self.low[i] + self.edge * local[i]);
                let distance = self.solid.distance(at);
                let gradient = self.solid.gradient(at);
                let steep = dot(gradient, gradient).sqrt();
                let along = dot(gradient, flat);
                // Beyond a sharp edge the flat facet is all that is known.
                let smooth = steep > 0.5 && along > 0.7 * steep && distance.abs() < 0.1 * self.edge;
                if !smooth || distance.abs() < 1e-11 * self.edge {
                    // A normal from differences is good to 1e-9; on a plane the facet's own is exact.
                    let bent = smooth && along < (1.0 - 1e-8) * steep;
                    let normal = if bent { gradient.map(|g| g / steep) } else { flat };
                    self.facets.push(Facet { local, at, normal, area });
                    continue;
                }
                let lift = -distance / along;
                let mid = std::array::from_fn(|i| local[i] + 0.5 * lift * flat[i] / self.edge);
                self.add(mid, area * lift);
                let at: V = std::array::from_fn(|i| at[i] + lift * flat[i]);
                let gradient = self.solid.gradient(at);
                let steep = dot(gradient, gradient).sqrt().max(1e-300);
                let normal = gradient.map(|g| g / steep);
                let local = std::array::from_fn(|i| (at[i] - self.low[i]) / self.edge);
                self.facets.push(Facet { local, at, normal, area: area / dot(normal, flat).max(0.5) });
            }
        }
    }
}
