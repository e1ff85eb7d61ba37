//! A triangle surface ready for measuring: places, facets, normals, and an index for nearest places and rays.

mod batch;
mod files;
mod tree;

use crate::mesh::{Edges, Flaws, Mesh, NONE};
use crate::solid::{Aabb, ShapeError};
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};
use rayon::prelude::*;
use tree::{Facets, Found, Moments, Tree};

/// A triangle surface with its index. Cheap to ask from many threads.
#[derive(Debug, Clone)]
pub struct Surface {
    points: Vec<V>,
    facets: Vec<[u32; 3]>,
    normals: Vec<V>,
    point_normals: Vec<V>,
    /// Partner of every half-edge.
    partner: Vec<u32>,
    /// Places whose normal does not tell the side.
    doubtful: Vec<bool>,
    tree: Tree,
    moments: Moments,
    /// Every edge has two facets that agree which side is outside.
    closed: bool,
    shells: usize,
    /// Winding number of the surface itself: half between inside and outside.
    level: f64,
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
        let of = Facets { points: &points, facets: &facets };
        let ((partner, closed, shells, point_normals), (tree, moments)) = rayon::join(
            || {
                let edges = Edges::new(points.len(), &facets);
                let flaws = Flaws::of(&facets, &edges);
                (
                    edges.partners(facets.len()),
                    flaws.is_closed() && flaws.without_area == 0,
                    flaws.shells,
                    shared_normals(of, &normals),
                )
            },
            || {
                let tree = Tree::new(of);
                let moments = Moments::new(&tree);
                (tree, moments)
            },
        );
        let doubtful = if closed { Vec::new() } else { doubtful(points.len(), &facets, &partner) };
        let mut made = Self {
            points,
            facets,
            normals,
            point_normals,
            partner,
            doubtful,
            tree,
            moments,
            closed,
            shells,
            level: 0.5,
        };
        if !closed {
            made.level = made.level_of_samples();
        }
        Ok(made)
    }

    /// A mesh made ready for measuring. Errors as [`Surface::new`].
    pub fn from_mesh(mesh: Mesh) -> Result<Self, ShapeError> {
        Self::new(mesh.points, mesh.facets)
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
        let mut open = 0;
        Edges::new(self.points.len(), &self.facets).each(|_, _, edge| {
            let forth = |h: &(u32, u32)| {
                let (a, b) = crate::mesh::ends(&self.facets, h.1);
                a < b
            };
            open += usize::from(2 * edge.iter().filter(|h| forth(h)).count() != edge.len());
        });
        open
    }

    /// Smallest box around all places.
    pub fn bound(&self) -> Aabb {
        self.tree.bound()
    }

    /// The nearest place of the surface.
    pub fn closest(&self, p: [f64; 3]) -> Nearest {
        self.found(p).nearest
    }

    /// The nearest place within `reach`.
    pub fn closest_within(&self, p: [f64; 3], reach: f64) -> Option<Nearest> {
        self.tree.closest(p, reach).map(|found| found.nearest)
    }

    /// Distance with sign, negative behind the surface. The side is told by the normal of the facet, edge or corner that is nearest wherever that
    /// is sure (Baerentzen and Aanaes 2005); where the nearest place lies on a rim, or facets there do not agree, by the winding number.
    pub fn signed(&self, p: [f64; 3]) -> (f64, Nearest) {
        let found = self.found(p);
        (self.with_sign(p, &found), found.nearest)
    }

    /// First facet that a ray meets later than `beyond` (in lengths of the direction), from either side.
    pub fn ray(&self, from: [f64; 3], direction: [f64; 3], beyond: f64) -> Option<Met> {
        self.tree.first(from, direction, beyond)
    }

    /// How often the surface winds around a place: 1 inside a closed surface, 0 outside, between for an open one, where it is half of inside and
    /// outside on the surface itself. Within 0.01 (module `tree::winding`).
    pub fn winding(&self, p: [f64; 3]) -> f64 {
        self.moments.winding(&self.tree, p, NONE)
    }

    /// Whether a place lies behind the surface, by the winding number: above that on the surface itself, which is one half for a closed surface and
    /// the mean over its area for an open one (as the level of an indicator function is chosen by Kazhdan, Bolitho, Hoppe 2006, Symp Geometry
    /// Processing 61-70).
    pub fn is_behind(&self, p: [f64; 3]) -> bool {
        self.winding(p) > self.level
    }

    /// Every edge has two facets, and they agree which side is outside.
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// Closed, and of one piece.
    pub(crate) fn is_one_shell(&self) -> bool {
        self.closed && self.shells == 1
    }

    /// Winding number of the surface on itself: one half if closed.
    pub(crate) fn winding_level(&self) -> f64 {
        self.level
    }

    /// Bytes of the tree and what belongs to it.
    pub fn tree_bytes(&self) -> usize {
        self.tree.bytes() + self.moments.bytes()
    }

    /// Facets that may meet a box.
    pub(crate) fn facets_in_box(&self, low: V, high: V, with: &mut dyn FnMut(u32)) {
        self.tree.in_box(low, high, with);
    }

    fn found(&self, p: V) -> Found {
        self.tree.closest(p, f64::INFINITY).unwrap_or(Found::nowhere(p))
    }

    fn with_sign(&self, p: V, found: &Found) -> f64 {
        let n = &found.nearest;
        let normal =
            if found.inside && self.closed { Some(self.normals[n.facet as usize]) } else { self.sure_normal(n) };
        let behind = match normal {
            Some(normal) => dot(sub(p, n.place), normal) < 0.0,
            None => self.is_behind(p),
        };
        if behind { -n.distance } else { n.distance }
    }

    /// Mean winding number of the surface at some 256 of its facets, by area.
    fn level_of_samples(&self) -> f64 {
        let step = (self.facets.len() / 256).max(1);
        let samples: Vec<u32> = (0..self.facets.len() as u32).step_by(step).collect();
        let at = |f: &u32| self.moments.winding(&self.tree, self.middle(*f), *f);
        let values: Vec<f64> = samples.par_iter().map(at).collect();
        let areas: Vec<f64> = samples.iter().map(|f| self.facet_area(*f)).collect();
        let (sum, area) = values.iter().zip(&areas).fold((0.0, 0.0), |s, (w, a)| (s.0 + w * a, s.1 + a));
        if area > 0.0 { sum / area } else { 0.5 }
    }

    /// Normal where a nearest place lies: of the facet, or shared at an edge or corner.
    pub(crate) fn normal_at(&self, n: &Nearest) -> V {
        let own = self.normals[n.facet as usize];
        match self.part_at(n) {
            Part::Inside => own,
            Part::Edge(k) => match self.across(n.facet, k) {
                NONE => own,
                other => add(own, self.normals[other as usize / 3]),
            },
            Part::Corner(k) => self.point_normals[self.facets[n.facet as usize][k] as usize],
        }
    }

    /// The same, if it tells the side of the surface for sure: no rim, no edge of more than two facets, no neighbour flipped there.
    fn sure_normal(&self, n: &Nearest) -> Option<V> {
        let sound = |k: usize| self.across(n.facet, k) != NONE && !self.against(n.facet, k);
        let sure = self.closed
            || match self.part_at(n) {
                Part::Inside => (0..3).any(sound) && !(0..3).any(|k| self.against(n.facet, k)),
                Part::Edge(k) => sound(k),
                Part::Corner(k) => !self.doubtful[self.facets[n.facet as usize][k] as usize],
            };
        let normal = self.normal_at(n);
        (sure && normal != [0.0; 3]).then_some(normal)
    }

    /// Half-edge across edge `k` of a facet.
    fn across(&self, facet: u32, k: usize) -> u32 {
        self.partner[3 * facet as usize + k]
    }

    /// Both facets of edge `k` pass it in the same direction.
    fn against(&self, facet: u32, k: usize) -> bool {
        let half = 3 * facet + k as u32;
        let other = self.partner[half as usize];
        other != NONE && crate::mesh::ends(&self.facets, half) == crate::mesh::ends(&self.facets, other)
    }

    /// Which part of its facet a nearest place lies on.
    fn part_at(&self, n: &Nearest) -> Part {
        let [a, b, c] = self.corners(n.facet);
        let (whole, tiny) = (cross(sub(b, a), sub(c, a)), 1e-9);
        let square = dot(whole, whole);
        if square <= 0.0 {
            return Part::Corner(0);
        }
        let share = |p: V, q: V| dot(cross(sub(p, n.place), sub(q, n.place)), whole) / square;
        let gone = [share(b, c), share(c, a), share(a, b)].map(|s| s < tiny);
        match gone {
            // Without the share of corner k the place lies on the edge after it.
            [true, false, false] => Part::Edge(1),
            [false, true, false] => Part::Edge(2),
            [false, false, true] => Part::Edge(0),
            [false, true, true] => Part::Corner(0),
            [true, false, true] => Part::Corner(1),
            [true, true, false] => Part::Corner(2),
            _ => Part::Inside,
        }
    }
}

/// Part of a facet.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Part {
    Inside,
    /// From that corner to the next.
    Edge(usize),
    Corner(usize),
}

fn facet_normal([a, b, c]: [V; 3]) -> V {
    unit(cross(sub(b, a), sub(c, a))).unwrap_or([0.0; 3])
}

fn shared_normals(of: Facets, normals: &[V]) -> Vec<V> {
    let mut at_points = vec![[0.0; 3]; of.points.len()];
    for (f, n) in of.facets.iter().zip(normals) {
        let p = f.map(|v| of.points[v as usize]);
        for k in 0..3 {
            let (e, g) = (sub(p[(k + 1) % 3], p[k]), sub(p[(k + 2) % 3], p[k]));
            let angle = norm(cross(e, g)).atan2(dot(e, g));
            at_points[f[k] as usize] = add(at_points[f[k] as usize], scale(*n, angle));
        }
    }
    at_points.into_par_iter().map(|n| unit(n).unwrap_or([0.0; 3])).collect()
}

/// Places on a rim, at an edge of more than two facets, or where neighbours pass an edge in the same direction.
fn doubtful(places: usize, facets: &[[u32; 3]], partner: &[u32]) -> Vec<bool> {
    let mut doubtful = vec![false; places];
    for (half, other) in (0u32..).zip(partner) {
        let (a, b) = crate::mesh::ends(facets, half);
        if *other == NONE || (a, b) == crate::mesh::ends(facets, *other) {
            (doubtful[a as usize], doubtful[b as usize]) = (true, true);
        }
    }
    doubtful
}
