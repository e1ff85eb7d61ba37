//! Parts of the material of one cell that do not touch inside it, as on both sides of a slot narrower than a cell.
//!
//! Places that are inside (a 5 x 5 x 5 grid, walls of the cell included, and the middle of every piece the cut is made of, so that no sliver is overlooked) are
//! joined when the straight way between neighbours stays inside; the way is followed by steps of the distance to the surface, so a gap of any width above
//! 1/500 of a cell is seen.

use super::{Facet, V, along, cross, dot, norm, sub};
use shape::{STEEPEST, Solid};

/// Places along an edge.
const SIDE: usize = 5;
const COUNT: usize = SIDE * SIDE * SIDE;
/// Distances this small (cells) are none: both sides of a plane where two bodies of a union meet are inside.
const NIL: f64 = 1e-9;
/// Least step along a way, in cells.
const STEP: f64 = 2e-3;

/// Which part of the cell each place belongs to.
#[derive(Debug, Clone)]
pub(crate) struct Parting {
    pub count: usize,
    /// Places of the unit cell and their parts: of the grid, then of the pieces.
    places: Vec<(V, u8)>,
    grid: usize,
    /// Where a slot that ends in the cell parts it: the plane midway between the walls (normal, height).
    middle: Option<(V, f64)>,
}

/// A piece of material: its middle, and a place of it on every wall of the cell that it touches (low and high x, y, z).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seat {
    pub middle: V,
    pub doors: [Option<V>; 6],
}

/// A solid seen from one cell.
#[derive(Clone, Copy)]
pub(crate) struct Seen<'a> {
    pub solid: &'a dyn Solid,
    pub low: V,
    pub edge: f64,
}

impl Seen<'_> {
    /// Distance in units of the cell.
    fn distance(&self, local: V) -> f64 {
        self.solid.distance(along(self.low, self.edge, local)) / self.edge
    }

    /// Inside, or on a plane with material on both sides.
    fn is_inside(&self, local: V) -> bool {
        let d = self.distance(local);
        d < -NIL
            || d <= NIL
                && (0..3).any(|i| {
                    let (mut a, mut b) = (local, local);
                    a[i] -= 1e-5;
                    b[i] += 1e-5;
                    self.distance(a) < -NIL && self.distance(b) < -NIL
                })
    }

    /// Whether the straight way between two places inside stays inside.
    pub(crate) fn is_clear(&self, from: V, to: V) -> bool {
        let way = sub(to, from);
        let length = norm(way);
        let mut t = 0.0;
        while t < length {
            let d = self.distance(along(from, t / length, way));
            if d > NIL {
                return false;
            }
            t += (-d / STEEPEST).max(STEP);
        }
        true
    }
}

fn place(n: usize) -> V {
    [n % SIDE, n / SIDE % SIDE, n / SIDE / SIDE].map(|i| i as f64 / (SIDE - 1) as f64)
}

impl Parting {
    /// The parts of a cell; `None` when there is one only.
    pub(crate) fn find(seen: &Seen, seats: &[Seat]) -> Option<Self> {
        let inside: Vec<usize> = (0..COUNT).filter(|n| seen.is_inside(place(*n))).collect();
        let grid = inside.len();
        let places: Vec<V> = inside.iter().map(|n| place(*n)).chain(seats.iter().map(|s| s.middle)).collect();
        let mut parents: Vec<usize> = (0..places.len()).collect();
        for (k, n) in inside.iter().enumerate() {
            for step in [1, SIDE, SIDE * SIDE] {
                if n / step % SIDE + 1 < SIDE
                    && let Ok(other) = inside.binary_search(&(n + step))
                    && root(&mut parents, k) != root(&mut parents, other)
                    && seen.is_clear(places[k], places[other])
                {
                    join(&mut parents, k, other);
                }
            }
        }
        for k in grid..places.len() {
            let mut joined = 0;
            for other in nearest(&places, places[k]).filter(|o| *o != k) {
                if root(&mut parents, k) == root(&mut parents, other) {
                    joined += 1;
                } else if seen.is_clear(places[k], places[other]) {
                    join(&mut parents, k, other);
                    joined += 1;
                }
                if joined == ENOUGH {
                    break;
                }
            }
        }
        let mut roots: Vec<usize> = vec![];
        let mut labels = vec![];
        for k in 0..places.len() {
            let root = root(&mut parents, k);
            let label = roots.iter().position(|r| *r == root).unwrap_or_else(|| {
                roots.push(root);
                roots.len() - 1
            });
            labels.push(label as u8);
        }
        let count = roots.len();
        ((2..=MOST).contains(&count)).then(|| Self {
            count,
            places: places.into_iter().zip(labels).collect(),
            grid,
            middle: None,
        })
    }

    /// The two sides of a slot that ends in the cell, if it takes more than half of it: the little material before its end is parted too. Bridging all ends alike would
    /// make every slot half a cell too short; so it errs both ways.
    pub(crate) fn of_ending_slot(seen: &Seen, seats: &[Seat], facets: &[Facet]) -> Option<Self> {
        let (normal, at) = middle_of_slot(seen, facets)?;
        let least = (0..3).min_by(|a, b| normal[*a].abs().total_cmp(&normal[*b].abs())).unwrap_or(0);
        let mut axis = [0.0; 3];
        axis[least] = 1.0;
        let first = cross(normal, axis).map(|x| x / norm(cross(normal, axis)).max(1e-12));
        let second = cross(normal, first);
        let places = (0..17 * 17).map(|n| [n % 17, n / 17].map(|k| 0.11 * (f64::from(k) - 8.0)));
        let places = places.map(|[s, t]| along(along(at, s, first), t, second));
        let within = places.filter(|p| p.iter().all(|x| (0.0..=1.0).contains(x)));
        let (open, all) = within.fold((0, 0), |(open, all), p| (open + usize::from(seen.distance(p) > 0.0), all + 1));
        if 2 * open <= all {
            return None;
        }
        let height = dot(normal, at);
        let places: Vec<(V, u8)> = seats.iter().map(|s| (s.middle, u8::from(dot(normal, s.middle) > height))).collect();
        Some(Self { count: 2, places, grid: 0, middle: Some((normal, height)) })
    }

    /// Gives places of parts without volume to the nearest other part that a clear way leads to, else to the nearest; whether there are several left.
    pub(super) fn drop_parts(&mut self, seen: &Seen, empty: &[bool]) -> bool {
        if self.middle.is_some() {
            return false;
        }
        let kept: Vec<usize> = (0..self.count).filter(|k| !empty[*k]).collect();
        let whole: Vec<(V, u8)> = self.places.iter().filter(|p| !empty[usize::from(p.1)]).copied().collect();
        let all: Vec<V> = whole.iter().map(|p| p.0).collect();
        for (place, label) in &mut self.places {
            if empty[usize::from(*label)] {
                let Some(first) = nearest(&all, *place).next() else { return false };
                let clear = nearest(&all, *place).find(|n| seen.is_clear(*place, all[*n]));
                *label = whole[clear.unwrap_or(first)].1;
            }
            *label = kept.iter().position(|k| *k == usize::from(*label)).unwrap_or(0) as u8;
        }
        self.count = kept.len();
        self.count > 1
    }

    /// Part of a piece.
    pub(crate) fn of_piece(&self, number: usize) -> usize {
        usize::from(self.places[self.grid + number].1)
    }

    /// Part of any place inside: that of the nearest place with a clear way to it, else of the nearest.
    pub(crate) fn owner(&self, seen: &Seen, local: V) -> usize {
        if let Some((normal, height)) = self.middle {
            return usize::from(dot(normal, local) > height);
        }
        let places: Vec<V> = self.places.iter().map(|p| p.0).collect();
        let mut near = nearest(&places, local).peekable();
        let first = near.peek().copied();
        let found = near.find(|n| seen.is_clear(local, places[*n])).or(first);
        found.map_or(0, |n| usize::from(self.places[n].1))
    }
}

/// Places that a piece needs to be joined with; nearest first.
const ENOUGH: usize = 4;
/// A cell in more parts than this is left whole.
const MOST: usize = 64;

/// Places by their distance from one.
fn nearest(places: &[V], from: V) -> impl Iterator<Item = usize> {
    let mut near: Vec<(f64, usize)> = places.iter().map(|p| sub(*p, from)).map(|d| dot(d, d)).zip(0..).collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    near.into_iter().map(|(_, n)| n)
}

fn root(parents: &mut [usize], mut k: usize) -> usize {
    while parents[k] != k {
        parents[k] = parents[parents[k]];
        k = parents[k];
    }
    k
}

fn join(parents: &mut [usize], a: usize, b: usize) {
    let (a, b) = (root(parents, a), root(parents, b));
    parents[a.max(b)] = a.min(b);
}

/// Whether pieces of surface face each other over a void, so that it may part the material. Of many points some are looked at.
pub(crate) fn face_each_other(facets: &[&Facet]) -> bool {
    face_within(facets, f64::INFINITY)
}

/// As above, over a void narrower than `gap` (mm).
pub(crate) fn face_within(facets: &[&Facet], gap: f64) -> bool {
    let Some(first) = facets.first() else { return false };
    if facets.iter().all(|f| dot(f.normal, first.normal) > 0.7) {
        return false;
    }
    let some: Vec<&Facet> = facets.iter().step_by(facets.len().div_ceil(64)).copied().collect();
    some.iter().enumerate().any(|(k, f)| {
        some[..k].iter().any(|g| {
            let way = sub(g.at, f.at);
            let across = [dot(f.normal, way), -dot(g.normal, way)];
            dot(f.normal, g.normal) < OPPOSED && across.iter().all(|x| *x > 0.0 && *x < gap)
        })
    })
}

/// The plane midway between the walls of a slot narrower than half a cell: normal and a place on it, from the two nearest places that face each other.
/// Slivers along edges of the body may carry any normal: only those that the distance bears out are looked at.
fn middle_of_slot(seen: &Seen, facets: &[Facet]) -> Option<(V, V)> {
    let some = facets.iter().step_by(facets.len().div_ceil(96));
    let some: Vec<&Facet> = some.filter(|f| points_outward(seen, f)).collect();
    let pairs = some.iter().enumerate().flat_map(|(k, f)| some[..k].iter().map(move |g| (*f, *g)));
    let facing = pairs.filter(|(f, g)| {
        let way = sub(g.local, f.local);
        dot(f.normal, g.normal) < OPPOSED && dot(f.normal, way) > 0.0 && dot(g.normal, way) < 0.0
    });
    let size = |p: &(&Facet, &Facet)| norm(sub(p.1.local, p.0.local));
    let (f, g) = facing.min_by(|p, q| size(p).total_cmp(&size(q)))?;
    let normal = sub(f.normal, g.normal);
    let normal = normal.map(|x| x / norm(normal).max(1e-12));
    (dot(normal, sub(g.local, f.local)) < NARROW).then(|| (normal, along(f.local, 0.5, sub(g.local, f.local))))
}

/// Whether the distance rises along a facet's normal as it does along a true one: by more than half of the way, over a way shorter than any slot that is seen.
fn points_outward(seen: &Seen, facet: &Facet) -> bool {
    let at = |s: f64| seen.distance(along(facet.local, s * PROBE, facet.normal));
    at(1.0) - at(-1.0) > PROBE
}

/// Half of that way, in cells.
const PROBE: f64 = 1e-4;

/// Width of a slot, in cells, up to which its end may part a cell.
const NARROW: f64 = 0.5;

/// Cosine between walls of a slot: a bore or a fillet of a cell's size has none so far apart in a cell.
const OPPOSED: f64 = -0.5;
