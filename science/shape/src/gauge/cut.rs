//! The section of a triangle surface by a plane: exact for the facets.
//!
//! Facets across the plane give directed pieces with the material on the left; pieces join to loops over shared edges; moments by
//! Green. A corner on the plane counts as above it, so that every facet is crossed twice or not at all.

use crate::section::{Moments, Plane, Section};
use crate::solid::ShapeError;
use crate::surface::Surface;
use crate::vector::{V, add, dot, scale, sub};
use std::collections::HashMap;

/// The section of a surface by a plane; with `near` only the part that lies around, or else nearest to, that place (with its holes).
///
/// # Errors
/// The plane misses the surface; the cut does not close.
pub fn cut(surface: &Surface, plane: &Plane, near: Option<[f64; 3]>) -> Result<Section, ShapeError> {
    let loops = loops(surface, plane)?;
    let areas: Vec<f64> = loops.iter().map(|l| area(l)).collect();
    let chosen: Vec<&Vec<[f64; 2]>> = match near.map(|p| plane.within(p)) {
        None => loops.iter().collect(),
        Some(q) => {
            let outer = (0..loops.len())
                .filter(|i| areas[*i] > 0.0)
                .min_by(|a, b| reach(&loops[*a], q).total_cmp(&reach(&loops[*b], q)))
                .ok_or(ShapeError::NoSection)?;
            let hole = |i: &usize| *i == outer || areas[*i] < 0.0 && contains(&loops[outer], loops[*i][0]);
            (0..loops.len()).filter(hole).map(|i| &loops[i]).collect()
        }
    };
    // Moments about the first corner keep their digits.
    let about = chosen[0][0];
    let mut moments = Moments::default();
    for l in chosen {
        let moved: Vec<[f64; 2]> = l.iter().map(|p| [p[0] - about[0], p[1] - about[1]]).collect();
        moments.polygon(&moved);
    }
    if moments.area <= 0.0 {
        return Err(ShapeError::OpenSection);
    }
    Ok(moments.section(plane, about))
}

fn loops(surface: &Surface, plane: &Plane) -> Result<Vec<Vec<[f64; 2]>>, ShapeError> {
    let (origin, [normal, ..]) = (plane.point(), plane.frame());
    let height: Vec<f64> = surface.points().iter().map(|p| dot(sub(*p, origin), normal)).collect();
    let above = |v: u32| height[v as usize] >= 0.0;
    let key = |a: u32, b: u32| (a.min(b), a.max(b));
    let mut next: HashMap<(u32, u32), (u32, u32)> = HashMap::new();
    let mut starts = Vec::new();
    for f in surface.facets() {
        let (mut from, mut to) = (None, None);
        for k in 0..3 {
            let (a, b) = (f[k], f[(k + 1) % 3]);
            match (above(a), above(b)) {
                (true, false) => from = Some(key(a, b)),
                (false, true) => to = Some(key(a, b)),
                _ => {}
            }
        }
        if let (Some(from), Some(to)) = (from, to) {
            if next.insert(from, to).is_some() {
                return Err(ShapeError::OpenSection);
            }
            starts.push(from);
        }
    }
    if starts.is_empty() {
        return Err(ShapeError::NoSection);
    }
    let place = |(a, b): (u32, u32)| -> V {
        let (h, g) = (height[a as usize], height[b as usize]);
        let (p, q) = (surface.points()[a as usize], surface.points()[b as usize]);
        add(p, scale(sub(q, p), h / (h - g)))
    };
    let mut loops = Vec::new();
    for start in starts {
        let mut points = Vec::new();
        let mut at = start;
        while let Some(to) = next.remove(&at) {
            points.push(plane.within(place(at)));
            at = to;
        }
        if points.is_empty() {
            continue;
        }
        if at != start {
            return Err(ShapeError::OpenSection);
        }
        loops.push(points);
    }
    Ok(loops)
}

fn edges(points: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    (0..points.len()).map(|i| (points[i], points[(i + 1) % points.len()]))
}

fn area(points: &[[f64; 2]]) -> f64 {
    edges(points).map(|(a, b)| 0.5 * (a[0] * b[1] - a[1] * b[0])).sum()
}

fn contains(points: &[[f64; 2]], q: [f64; 2]) -> bool {
    edges(points).fold(false, |inside, (a, b)| {
        let crosses = (a[1] > q[1]) != (b[1] > q[1]);
        let left = || q[0] < a[0] + (b[0] - a[0]) * (q[1] - a[1]) / (b[1] - a[1]);
        inside != (crosses && left())
    })
}

/// 0 within, else distance to the nearest corner.
fn reach(points: &[[f64; 2]], q: [f64; 2]) -> f64 {
    if contains(points, q) {
        return 0.0;
    }
    points.iter().map(|p| (p[0] - q[0]).hypot(p[1] - q[1])).fold(f64::INFINITY, f64::min)
}
