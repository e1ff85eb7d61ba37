//! A triangle surface ready for measuring: places, facets, normals, and an index for nearest places and rays.

mod closest;
mod index;
mod ray;
mod stl;

use crate::solid::{Aabb, ShapeError};
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};
use index::Index;
use rayon::prelude::*;
use std::collections::HashMap;

/// A triangle surface with its index. Cheap to ask from many threads.
#[derive(Debug, Clone)]
pub struct Surface {
    points: Vec<V>,
    facets: Vec<[u32; 3]>,
    normals: Vec<V>,
    point_normals: Vec<V>,
    edge_normals: HashMap<(u32, u32), V>,
    index: Index,
}

/// The nearest place of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// Where.
    pub place: [f64; 3],
    /// How far (0 or more).
    pub distance: f64,
    /// On which facet.
    pub facet: u32,
}

/// Where a ray meets a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Met {
    /// How far along the ray, in lengths of its direction.
    pub along: f64,
    /// Which facet.
    pub facet: u32,
}

impl Surface {
    /// Places and facets (three places each, anticlockwise from outside). Facets without area are kept but have no normal.
    ///
    /// # Errors
    /// No facets, a place that is not finite, a facet that names a place there is not.
    pub fn new(points: Vec<[f64; 3]>, facets: Vec<[u32; 3]>) -> Result<Self, ShapeError> {
        if facets.is_empty() {
            return Err(ShapeError::Empty);
        }
        if let Some(&found) = points.iter().flatten().find(|x| !x.is_finite()) {
            return Err(ShapeError::OutOfRange { quantity: "place of the surface", found, expected: "finite numbers" });
        }
        if let Some(&found) = facets.iter().flatten().find(|v| **v as usize >= points.len()) {
            let (quantity, expected) = ("place named by a facet", "a place there is");
            return Err(ShapeError::OutOfRange { quantity, found: f64::from(found), expected });
        }
        let corners = |f: &[u32; 3]| f.map(|v| points[v as usize]);
        let normals: Vec<V> = facets.par_iter().map(|f| facet_normal(corners(f))).collect();
        let (point_normals, edge_normals) = shared_normals(&points, &facets, &normals);
        let index = Index::new(&points, &facets);
        Ok(Self { points, facets, normals, point_normals, edge_normals, index })
    }

    /// The surface of a solid on a lattice of `cell`. Errors as [`crate::contour`].
    pub fn of(solid: &dyn crate::Solid, cell: f64) -> Result<Self, ShapeError> {
        let c = crate::contour(solid, cell)?;
        Self::new(c.points, c.facets)
    }

    /// Places.
    pub fn points(&self) -> &[[f64; 3]] {
        &self.points
    }

    /// Facets.
    pub fn facets(&self) -> &[[u32; 3]] {
        &self.facets
    }

    /// Unit normal of each facet, zero for one without area.
    pub fn normals(&self) -> &[[f64; 3]] {
        &self.normals
    }

    /// Unit normal at each place: facet normals weighted by their angle there (Baerentzen and Aanaes 2005, IEEE Trans Vis Comput Graph
    /// 11:243-253, doi 10.1109/TVCG.2005.49).
    pub fn point_normals(&self) -> &[[f64; 3]] {
        &self.point_normals
    }

    /// The three corners of a facet.
    pub fn corners(&self, facet: u32) -> [[f64; 3]; 3] {
        self.facets[facet as usize].map(|v| self.points[v as usize])
    }

    /// Centroid of a facet.
    pub fn middle(&self, facet: u32) -> [f64; 3] {
        let [a, b, c] = self.corners(facet);
        scale(add(a, add(b, c)), 1.0 / 3.0)
    }

    /// Area of a facet.
    pub fn facet_area(&self, facet: u32) -> f64 {
        let [a, b, c] = self.corners(facet);
        0.5 * norm(cross(sub(b, a), sub(c, a)))
    }

    /// Area.
    pub fn area(&self) -> f64 {
        (0..self.facets.len() as u32).map(|f| self.facet_area(f)).sum()
    }

    /// Volume enclosed (divergence theorem); of an open surface that of the cone to the middle of its bound, which means little.
    pub fn volume(&self) -> f64 {
        let about = self.bound().centre();
        let six = |f: u32| {
            let [a, b, c] = self.corners(f).map(|p| sub(p, about));
            dot(a, cross(b, c))
        };
        (0..self.facets.len() as u32).map(six).sum::<f64>() / 6.0
    }

    /// Edges that have not exactly two facets running along them in opposite directions: 0 for a closed surface.
    pub fn open_edges(&self) -> usize {
        let mut uses: HashMap<(u32, u32), [i32; 2]> = HashMap::new();
        for f in &self.facets {
            for k in 0..3 {
                let (a, b) = (f[k], f[(k + 1) % 3]);
                uses.entry((a.min(b), a.max(b))).or_default()[usize::from(a > b)] += 1;
            }
        }
        uses.values().filter(|n| n[0] != n[1]).count()
    }

    /// Smallest box around all places.
    pub fn bound(&self) -> Aabb {
        self.index.bound()
    }

    /// The nearest place of the surface.
    pub fn closest(&self, p: [f64; 3]) -> Nearest {
        closest::closest(&self.index, p, f64::INFINITY).unwrap_or(Nearest {
            place: p,
            distance: f64::INFINITY,
            facet: 0,
        })
    }

    /// The nearest place within `reach`.
    pub fn closest_within(&self, p: [f64; 3], reach: f64) -> Option<Nearest> {
        closest::closest(&self.index, p, reach)
    }

    /// Distance with sign: negative behind the surface, told by the normal of the facet, edge or corner that is nearest.
    pub fn signed(&self, p: [f64; 3]) -> (f64, Nearest) {
        let n = self.closest(p);
        let outward = dot(sub(p, n.place), self.normal_at(&n)) >= 0.0;
        (if outward { n.distance } else { -n.distance }, n)
    }

    /// First facet that a ray meets later than `beyond` (in lengths of the direction), from either side.
    pub fn ray(&self, from: [f64; 3], direction: [f64; 3], beyond: f64) -> Option<Met> {
        ray::first(&self.index, from, direction, beyond)
    }

    /// Normal where a nearest place lies: of the facet, or shared at an edge or corner.
    pub(crate) fn normal_at(&self, n: &Nearest) -> V {
        let f = self.facets[n.facet as usize];
        let [a, b, c] = self.corners(n.facet);
        let (whole, tiny) = (cross(sub(b, a), sub(c, a)), 1e-9);
        let square = dot(whole, whole);
        if square <= 0.0 {
            return self.point_normals[f[0] as usize];
        }
        let share = |p: V, q: V| dot(cross(sub(p, n.place), sub(q, n.place)), whole) / square;
        let at = [share(b, c), share(c, a), share(a, b)];
        let gone: Vec<usize> = (0..3).filter(|i| at[*i] < tiny).collect();
        match gone[..] {
            [i] => {
                let (p, q) = (f[(i + 1) % 3], f[(i + 2) % 3]);
                self.edge_normals.get(&(p.min(q), p.max(q))).copied().unwrap_or(self.normals[n.facet as usize])
            }
            [i, j] => self.point_normals[f[3 - i - j] as usize],
            _ => self.normals[n.facet as usize],
        }
    }
}

fn facet_normal([a, b, c]: [V; 3]) -> V {
    unit(cross(sub(b, a), sub(c, a))).unwrap_or([0.0; 3])
}

fn shared_normals(points: &[V], facets: &[[u32; 3]], normals: &[V]) -> (Vec<V>, HashMap<(u32, u32), V>) {
    let mut at_points = vec![[0.0; 3]; points.len()];
    let mut at_edges: HashMap<(u32, u32), V> = HashMap::with_capacity(3 * facets.len() / 2);
    for (f, n) in facets.iter().zip(normals) {
        let p = f.map(|v| points[v as usize]);
        for k in 0..3 {
            let (next, last) = ((k + 1) % 3, (k + 2) % 3);
            let (e, g) = (sub(p[next], p[k]), sub(p[last], p[k]));
            let angle = norm(cross(e, g)).atan2(dot(e, g));
            at_points[f[k] as usize] = add(at_points[f[k] as usize], scale(*n, angle));
            let edge = (f[k].min(f[next]), f[k].max(f[next]));
            let sum = at_edges.entry(edge).or_default();
            *sum = add(*sum, *n);
        }
    }
    for n in &mut at_points {
        *n = unit(*n).unwrap_or([0.0; 3]);
    }
    (at_points, at_edges)
}
