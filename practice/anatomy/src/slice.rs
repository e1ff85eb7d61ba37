//! Cuts through bodies as outlines to scale, and maps of depth seen from a side: what a picture is drawn from.
//!
//! An outline is the zero of a body's distance on a lattice in the plane (marching squares, linear along edges: Lorensen and Cline 1987 in two
//! dimensions); loops are closed, outer ones run anticlockwise. A map looks along a direction at the tooth before and tells how far the
//! stump lies under each place seen.

use rayon::prelude::*;
use shape::{Aabb, Solid};
use std::collections::HashMap;

/// A cutting or viewing plane: a place in it and its two axes (unit, square to one another).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutting {
    /// A place in the plane.
    pub at: [f64; 3],
    /// To the right in the picture.
    pub right: [f64; 3],
    /// Up in the picture.
    pub up: [f64; 3],
}

/// Closed outlines in a plane, mm from its place.
pub type Outlines = Vec<Vec<[f64; 2]>>;

impl Cutting {
    /// From cheek to tongue through a tooth, `x` mm towards mesial of its middle.
    pub fn facio_lingual(x: f64) -> Self {
        Self { at: [x, 0.0, 0.0], right: [0.0, 1.0, 0.0], up: [0.0, 0.0, 1.0] }
    }

    /// From neighbour to neighbour through a tooth, `y` mm towards the lip of its middle.
    pub fn mesio_distal(y: f64) -> Self {
        Self { at: [0.0, y, 0.0], right: [1.0, 0.0, 0.0], up: [0.0, 0.0, 1.0] }
    }

    /// Across a tooth at a height.
    pub fn across(z: f64) -> Self {
        Self { at: [0.0, 0.0, z], right: [1.0, 0.0, 0.0], up: [0.0, 1.0, 0.0] }
    }

    fn place(&self, u: f64, v: f64) -> [f64; 3] {
        std::array::from_fn(|a| self.at[a] + u * self.right[a] + v * self.up[a])
    }

    /// Least and greatest of both axes over a box.
    fn window(&self, bound: &Aabb) -> [[f64; 2]; 2] {
        let along = |axis: [f64; 3]| {
            bound.corners().iter().fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], c| {
                let t: f64 = (0..3).map(|a| (c[a] - self.at[a]) * axis[a]).sum();
                [low.min(t), high.max(t)]
            })
        };
        [along(self.right), along(self.up)]
    }

    /// Outlines of a body in the plane, to `cell` mm.
    pub fn outlines(&self, body: &dyn Solid, cell: f64) -> Outlines {
        let [[u0, u1], [v0, v1]] = self.window(&body.bound());
        let (u0, v0) = (u0 - 1.5 * cell, v0 - 1.5 * cell);
        let count = |low: f64, high: f64| (((high - low) / cell).ceil().clamp(2.0, 4000.0) as usize) + 2;
        let (nu, nv) = (count(u0, u1), count(v0, v1));
        let at = |n: usize| [u0 + (n % nu) as f64 * cell, v0 + (n / nu) as f64 * cell];
        let values: Vec<f64> = (0..nu * nv)
            .into_par_iter()
            .map(|n| {
                let [u, v] = at(n);
                // The rim counts as outside, so that every outline closes; a value of nothing is inside by a hair.
                let rim = n % nu == 0 || n % nu == nu - 1 || n / nu == 0 || n / nu == nv - 1;
                let d = body.distance(self.place(u, v));
                if rim {
                    d.max(0.5 * cell)
                } else if d == 0.0 {
                    -1e-9
                } else {
                    d
                }
            })
            .collect();
        joined(&values, nu, nv, at)
    }

    /// How far under each place of `before` seen in the plane's direction the body `after` lies, on squares of `cell` mm; the eye looks from
    /// right x up.
    pub fn depth_map(&self, before: &dyn Solid, after: &dyn Solid, cell: f64) -> DepthMap {
        let [[u0, u1], [v0, v1]] = self.window(&before.bound());
        let count = |low: f64, high: f64| ((high - low) / cell).ceil().clamp(1.0, 2000.0) as usize;
        let (nu, nv) = (count(u0, u1), count(v0, v1));
        let (r, u) = (self.right, self.up);
        let eye = [r[1] * u[2] - r[2] * u[1], r[2] * u[0] - r[0] * u[2], r[0] * u[1] - r[1] * u[0]];
        let reach = before.bound().diagonal();
        let values = (0..nu * nv)
            .into_par_iter()
            .map(|n| {
                let (a, b) = (u0 + ((n % nu) as f64 + 0.5) * cell, v0 + ((n / nu) as f64 + 0.5) * cell);
                let flat = self.place(a, b);
                seen(before, flat, eye, reach).map(|p| after.distance(p).max(0.0))
            })
            .collect();
        DepthMap { low: [u0, v0], cell, columns: nu, values }
    }
}

/// First place of a body seen from `eye` over a place of the view plane.
fn seen(body: &dyn Solid, flat: [f64; 3], eye: [f64; 3], reach: f64) -> Option<[f64; 3]> {
    let mut along = reach;
    let at = |t: f64| -> [f64; 3] { std::array::from_fn(|a| flat[a] + t * eye[a]) };
    while along > -reach {
        let d = body.distance(at(along));
        if d < 0.02 {
            return Some(at(along));
        }
        along -= (d / shape::STEEPEST).max(0.02);
    }
    None
}

/// Depth by square, seen from a side.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthMap {
    /// Lower left corner, mm.
    pub low: [f64; 2],
    /// Edge of a square, mm.
    pub cell: f64,
    /// Squares in a row.
    pub columns: usize,
    /// Depth, mm, row by row from below; `None` beside the tooth.
    pub values: Vec<Option<f64>>,
}

/// Segments of the zero joined to loops.
pub(crate) fn joined(values: &[f64], nu: usize, nv: usize, at: impl Fn(usize) -> [f64; 2]) -> Outlines {
    let cross = |a: usize, b: usize| {
        let t = values[a] / (values[a] - values[b]);
        let (p, q) = (at(a), at(b));
        [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])]
    };
    let key = |a: usize, b: usize| (a.min(b), a.max(b));
    // From each crossed edge to the next, inside to the left.
    let mut next: HashMap<(usize, usize), (usize, usize)> = HashMap::new();
    for j in 0..nv - 1 {
        for i in 0..nu - 1 {
            let n = i + nu * j;
            let corners = [n, n + 1, n + nu + 1, n + nu];
            let inside = corners.map(|c| values[c] < 0.0);
            // Walking round anticlockwise: where the inside is entered a piece of outline ends, where it is left one begins.
            let mut starts = Vec::new();
            let mut ends = Vec::new();
            for k in 0..4 {
                let (a, b) = (k, (k + 1) % 4);
                match (inside[a], inside[b]) {
                    (true, false) => starts.push((k, key(corners[a], corners[b]))),
                    (false, true) => ends.push((k, key(corners[a], corners[b]))),
                    _ => {}
                }
            }
            for (k, start) in starts {
                // The next entry walking round from where it was left: two pieces in one square stay apart.
                let end = ends.iter().min_by_key(|(e, _)| (e + 4 - k) % 4).map(|(_, edge)| *edge);
                if let Some(end) = end {
                    next.insert(start, end);
                }
            }
        }
    }
    let mut edges: Vec<(usize, usize)> = next.keys().copied().collect();
    edges.sort_unstable();
    let mut loops = Vec::new();
    for first in edges {
        let mut points = Vec::new();
        let mut here = first;
        while let Some(there) = next.remove(&here) {
            points.push(cross(here.0, here.1));
            here = there;
        }
        if points.len() > 2 {
            loops.push(points);
        }
    }
    // Started on an edge whose piece ran from right to left: turn all so that outer loops run anticlockwise.
    let most = |l: &[[f64; 2]]| area(l);
    if loops.iter().map(|l| most(l)).fold(0.0, |m: f64, a| if a.abs() > m.abs() { a } else { m }) < 0.0 {
        loops.iter_mut().for_each(|l| l.reverse());
    }
    loops
}

/// Area enclosed, below 0 when the loop runs clockwise.
pub fn area(points: &[[f64; 2]]) -> f64 {
    let n = points.len();
    0.5 * (0..n).map(|i| points[i][0] * points[(i + 1) % n][1] - points[(i + 1) % n][0] * points[i][1]).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use shape::{Ball, Difference};

    #[test]
    fn a_hollow_ball_shows_two_loops_of_its_areas() {
        let hollow = Difference::new(Ball::new([0.0; 3], 3.0).unwrap(), Ball::new([0.5, 0.0, 0.0], 1.0).unwrap());
        let found = Cutting::facio_lingual(0.0).outlines(&hollow, 0.05);
        assert_eq!(found.len(), 2);
        let total: f64 = found.iter().map(|l| area(l)).sum();
        // At x = 0 the small ball shows radius sqrt(0.75): 9 pi less 0.75 pi; chords of 0.05 mm lose less than 1e-3.
        assert!((total / (8.25 * std::f64::consts::PI) - 1.0).abs() < 1e-3, "{total}");
    }

    #[test]
    fn the_depth_between_two_balls_is_seen() {
        let (before, after) = (Ball::new([0.0; 3], 3.0).unwrap(), Ball::new([0.0; 3], 2.2).unwrap());
        let map = Cutting::across(0.0).depth_map(&before, &after, 0.3);
        let seen: Vec<f64> = map.values.iter().flatten().copied().collect();
        assert!(seen.len() > 250);
        // A ray stops within 0.02 mm of the surface.
        assert!(seen.iter().all(|d| (d - 0.8).abs() < 0.03));
    }
}
