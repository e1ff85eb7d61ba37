//! What kind of surface a part of a cell holds: none, flat pieces, one smooth piece, or pieces that meet in a sharp edge.

use super::{Gather, V, along, cross, dot, norm};
use shape::STEEPEST;

/// A plane: unit normal, and n . x on it (unit cell).
pub(super) type Plane = (V, f64);

/// The surface in a region.
pub(super) enum Sheets {
    None,
    Flat(Vec<Plane>),
    Smooth,
    Sharp(Vec<Plane>),
}

/// Normals this near (sine) and planes this near (cells) are one plane: differences give normals to 1e-9.
const SAME: f64 = 1e-6;
/// More planes than this in one cell are not told apart.
pub(super) const MOST: usize = 12;
/// A kink: both groups of normals spread by less than this share of the angle between them.
const SPREAD: f64 = 0.3;

/// How the surface runs around a place on it.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Run {
    Flat,
    Curved,
    /// The place lies on an edge; the gradient there is no normal.
    Edge,
}

/// Looks at the surface near 27 places of the region, each moved onto the surface along the gradient.
pub(super) fn sheets(g: &Gather, low: V, size: f64) -> Sheets {
    let mut planes: Vec<Plane> = Vec::with_capacity(27);
    let mut flat = true;
    // A little inside the region: on its walls lie surfaces that belong to the cell beside.
    let share = |n: usize| [n % 3, n / 3 % 3, n / 9].map(|k| 0.02 + 0.48 * k as f64);
    let grid = (0..27).map(|n| (std::array::from_fn(|i| low[i] + size * share(n)[i]), 0.0));
    // From a hint the surface may be met a little beyond.
    let hints = g.near.hints.iter().map(|p| (std::array::from_fn(|i| p[i].clamp(low[i], low[i] + size)), 0.25 * size));
    for (start, beyond) in grid.chain(hints) {
        let found = land(g, start, low.map(|x| x - beyond), size + 2.0 * beyond);
        let Some((plane, at)) = found else { continue };
        match run(g, plane.0, at, 0.02 * size) {
            Run::Edge => continue,
            Run::Flat => {}
            Run::Curved => flat = false,
        }
        planes.push(plane);
    }
    if planes.is_empty() {
        return Sheets::None;
    }
    if flat {
        let mut distinct: Vec<Plane> = vec![];
        for p in &planes {
            if !distinct.iter().any(|q| is_same(p, q)) {
                distinct.push(*p);
            }
        }
        if distinct.len() <= MOST {
            return Sheets::Flat(distinct);
        }
    }
    let (mut a, mut b, mut least) = (0, 0, 1.0);
    for i in 0..planes.len() {
        for j in 0..i {
            let c = dot(planes[i].0, planes[j].0);
            if c < least {
                (a, b, least) = (i, j, c);
            }
        }
    }
    let between = angle(least);
    if between < 0.2 {
        return Sheets::Smooth;
    }
    let spread = |p: &Plane| angle(dot(p.0, planes[a].0).max(dot(p.0, planes[b].0)));
    let widest = planes.iter().map(spread).fold(0.0, f64::max);
    if widest > SPREAD * between && between < 1.4 {
        return Sheets::Smooth;
    }
    let mut chosen: Vec<Plane> = vec![];
    for p in &planes {
        if !chosen.iter().any(|q| angle(dot(p.0, q.0)) < 0.35 && (p.1 - dot(p.0, q.0) * q.1).abs() < 0.5 * size) {
            chosen.push(*p);
        }
    }
    chosen.truncate(MOST);
    Sheets::Sharp(chosen)
}

/// One plane, either way round.
pub(super) fn is_same(p: &Plane, q: &Plane) -> bool {
    let sign = if dot(p.0, q.0) < 0.0 { -1.0 } else { 1.0 };
    norm(along(p.0, -sign, q.0)) < SAME && (p.1 - sign * q.1).abs() < SAME
}

/// The plane of the surface nearest to a place, if it is flat there; beyond the region too, for a plane too many does no harm.
pub(super) fn flat_plane(g: &Gather, start: V, low: V, size: f64) -> Option<Plane> {
    let (plane, at) = land(g, start, low.map(|x| x - size), 3.0 * size)?;
    (run(g, plane.0, at, 1e-3 * size) == Run::Flat).then_some(plane)
}

/// By how much the surface leaves its tangent plane on either side, in two directions: a curve does so on both sides alike and little, an edge on
/// both sides by much; beside an edge one side stays on the plane.
fn run(g: &Gather, normal: V, at: V, step: f64) -> Run {
    let least = (0..3).min_by(|a, b| normal[*a].abs().total_cmp(&normal[*b].abs())).unwrap_or(0);
    let mut axis = [0.0; 3];
    axis[least] = 1.0;
    let first = cross(normal, axis);
    let first = first.map(|x| x / norm(first).max(1e-12));
    let second = cross(normal, first);
    let mut worst = 0.0f64;
    for t in [first, second, along(first, 1.0, second), along(first, -1.0, second)] {
        let leaves = |s: f64| g.distance(along(at, s * step, t)).abs() / step;
        worst = worst.max(leaves(1.0).min(leaves(-1.0)));
    }
    match worst {
        w if w < 1e-5 => Run::Flat,
        w if w < 0.1 && is_normal(g, normal, at, step) => Run::Curved,
        _ => Run::Edge,
    }
}

/// Whether the gradient a step inside is the same: beside an edge, seen from outside, it is not.
fn is_normal(g: &Gather, normal: V, at: V, step: f64) -> bool {
    let inside = g.solid.gradient(g.place(along(at, -0.3 * step, normal)));
    norm(along(inside.map(|x| x / norm(inside).max(1e-12)), -1.0, normal)) < 2e-3
}

fn angle(cosine: f64) -> f64 {
    libm::acos(cosine.clamp(-1.0, 1.0))
}

/// The tangent plane, and the place, where the way down the gradient from `start` meets the surface, if that lies in the region.
fn land(g: &Gather, start: V, low: V, size: f64) -> Option<(Plane, V)> {
    let mut at = start;
    for _ in 0..4 {
        let d = g.distance(at);
        if d.abs() > STEEPEST * 3f64.sqrt() * size {
            return None;
        }
        let n = g.solid.gradient(g.place(at));
        let steep = norm(n);
        if steep < 0.3 {
            return None;
        }
        if d.abs() < 1e-7 {
            let inside = (0..3).all(|i| at[i] > low[i] - 1e-9 && at[i] < low[i] + size + 1e-9);
            let n = n.map(|x| x / steep);
            return inside.then(|| ((n, dot(n, at) - d / steep), at));
        }
        at = std::array::from_fn(|i| at[i] - d * n[i] / (steep * steep));
    }
    None
}
