//! Sections along a path, and the smallest of all planes near it.
//!
//! The path is a broken line. Planes stand across it. The smallest section is looked for over the place along the path and two tilts: first a
//! sweep over places and a lattice of tilts, then a shrinking compass search from the best three (Kolda, Lewis, Torczon 2003, SIAM Rev
//! 45:385-482, doi 10.1137/S003614450242889). Works for whatever can be cut by a plane: a solid or a surface.

use crate::section::{Plane, Section};
use crate::solid::{ShapeError, at_least_zero, finite};
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};

/// A section at a place along a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Length along the path.
    pub along: f64,
    /// The plane.
    pub plane: Plane,
    /// The section, `None` where the plane meets nothing.
    pub section: Option<Section>,
}

/// The smallest section found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smallest {
    /// Length along the path.
    pub along: f64,
    /// Tilt of the plane about its width axis and about its height axis, radian.
    pub tilt: [f64; 2],
    /// The plane.
    pub plane: Plane,
    /// The section.
    pub section: Section,
}

/// `count` (2 or more) sections equally spaced along a path; `up` tells what counts as height.
///
/// # Errors
/// A path without length; an error of a cut other than that the plane meets nothing.
pub fn sections_along(
    path: &[[f64; 3]],
    up: [f64; 3],
    count: usize,
    cut: impl Fn(&Plane) -> Result<Section, ShapeError>,
) -> Result<Vec<Stop>, ShapeError> {
    let path = Path::new(path)?;
    let count = count.max(2);
    (0..count)
        .map(|i| {
            let along = path.length * i as f64 / (count - 1) as f64;
            let plane = path.plane(along, up, [0.0; 2])?;
            Ok(Stop { along, plane, section: found(cut(&plane))? })
        })
        .collect()
}

/// The plane near the path with the smallest `size` (area, modulus, ...), tilted by at most `most_tilt` radian either way.
///
/// # Errors
/// As [`sections_along`]; [`ShapeError::NoSection`] when no plane meets anything.
pub fn smallest_section(
    path: &[[f64; 3]],
    up: [f64; 3],
    most_tilt: f64,
    size: impl Fn(&Section) -> f64,
    cut: impl Fn(&Plane) -> Result<Section, ShapeError>,
) -> Result<Smallest, ShapeError> {
    let path = Path::new(path)?;
    let most_tilt = at_least_zero("greatest tilt", most_tilt)?.min(1.2);
    const SWEEP: usize = 32;
    let tilts: &[f64] = if most_tilt > 0.0 { &[-0.6, 0.0, 0.6] } else { &[0.0] };
    let at = |x: [f64; 3]| -> Result<Option<(f64, Smallest)>, ShapeError> {
        let plane = path.plane(x[0], up, [x[1], x[2]])?;
        let section = found(cut(&plane))?;
        Ok(section.map(|section| (size(&section), Smallest { along: x[0], tilt: [x[1], x[2]], plane, section })))
    };
    let mut tried = Vec::new();
    for i in 0..=SWEEP {
        for a in tilts {
            for b in tilts {
                let x = [path.length * i as f64 / SWEEP as f64, a * most_tilt, b * most_tilt];
                tried.extend(at(x)?);
            }
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Smallest)> = None;
    for start in tried.iter().take(3) {
        let mut here = *start;
        let mut step = [path.length / SWEEP as f64, 0.4 * most_tilt, 0.4 * most_tilt];
        for _ in 0..24 {
            let mut moved = false;
            for axis in 0..3 {
                for sign in [-1.0, 1.0] {
                    let mut x = [here.1.along, here.1.tilt[0], here.1.tilt[1]];
                    x[axis] += sign * step[axis];
                    x[0] = x[0].clamp(0.0, path.length);
                    x[1] = x[1].clamp(-most_tilt, most_tilt);
                    x[2] = x[2].clamp(-most_tilt, most_tilt);
                    if let Some(there) = at(x)?
                        && there.0 < here.0
                    {
                        here = there;
                        moved = true;
                    }
                }
            }
            if !moved {
                step = step.map(|s| 0.5 * s);
            }
        }
        if best.is_none_or(|b| here.0 < b.0) {
            best = Some(here);
        }
    }
    best.map(|b| b.1).ok_or(ShapeError::NoSection)
}

fn found(section: Result<Section, ShapeError>) -> Result<Option<Section>, ShapeError> {
    match section {
        Ok(s) => Ok(Some(s)),
        Err(ShapeError::NoSection) => Ok(None),
        Err(e) => Err(e),
    }
}

struct Path<'a> {
    points: &'a [V],
    length: f64,
}

impl<'a> Path<'a> {
    fn new(points: &'a [V]) -> Result<Self, ShapeError> {
        for p in points {
            finite("place of the path", *p)?;
        }
        let length: f64 = points.windows(2).map(|w| norm(sub(w[1], w[0]))).sum();
        if length > 0.0 { Ok(Self { points, length }) } else { Err(ShapeError::NoDirection("path")) }
    }

    /// The plane across the path, tilted about its width axis and then about its height axis.
    fn plane(&self, along: f64, up: V, tilt: [f64; 2]) -> Result<Plane, ShapeError> {
        let mut rest = along;
        let mut last = (self.points[0], [0.0; 3]);
        for w in self.points.windows(2) {
            let step = sub(w[1], w[0]);
            let Some(direction) = unit(step) else { continue };
            let length = norm(step);
            last = (add(w[0], scale(direction, rest.min(length))), direction);
            if rest <= length {
                break;
            }
            rest -= length;
        }
        let (point, t) = last;
        let flat = sub(up, scale(t, dot(up, t)));
        let v = unit(flat).filter(|_| norm(flat) > 1e-8 * norm(up)).ok_or(ShapeError::NoDirection("up"))?;
        let u = cross(v, t);
        let normal = add(t, add(scale(v, tilt[0].tan()), scale(u, tilt[1].tan())));
        Plane::new(point, normal, up)
    }
}
