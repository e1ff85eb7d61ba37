//! Closed outlines in a plane, and the bodies they bound: prisms and bodies of revolution.

use crate::solid::{Aabb, ShapeError, Solid, positive};

/// A simple closed outline by its corners, with exact signed distance (negative inside).
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    points: Vec<[f64; 2]>,
}

impl Outline {
    /// Corners in order, either way round, the last joined to the first. Errors: fewer than 3, not finite, no area, crossing itself.
    pub fn new(mut points: Vec<[f64; 2]>) -> Result<Self, ShapeError> {
        points.dedup();
        if points.len() > 1 && points.first() == points.last() {
            points.pop();
        }
        if let Some(&found) = points.iter().flatten().find(|x| !x.is_finite()) {
            return Err(ShapeError::OutOfRange {
                quantity: "corner of the outline",
                found,
                expected: "finite numbers",
            });
        }
        if points.len() < 3 {
            let found = points.len() as f64;
            return Err(ShapeError::OutOfRange { quantity: "corners of the outline", found, expected: "3 or more" });
        }
        if let Some((a, b)) = crossing(&points) {
            return Err(ShapeError::Crossing(a, b));
        }
        let doubled: f64 = edges(&points).map(|(a, b)| a[0] * b[1] - a[1] * b[0]).sum();
        positive("area of the outline", doubled.abs())?;
        if doubled < 0.0 {
            points.reverse();
        }
        Ok(Self { points })
    }

    /// A smooth outline through points: uniform Catmull-Rom spline (Catmull and Rom 1974, Computer aided geometric design,
    /// 317-326, memory), each span cut into `per_span` chords.
    pub fn smooth(through: &[[f64; 2]], per_span: usize) -> Result<Self, ShapeError> {
        let n = through.len();
        let per_span = per_span.max(1);
        let mut points = Vec::with_capacity(n * per_span);
        for i in 0..n {
            let at = |k: usize| through[(i + n - 1 + k) % n];
            for s in 0..per_span {
                let w = catmull_rom(s as f64 / per_span as f64);
                points.push(std::array::from_fn(|c| (0..4).map(|k| w[k] * at(k)[c]).sum()));
            }
        }
        Self::new(points)
    }

    /// Signed distance of a point of the plane.
    pub fn distance(&self, q: [f64; 2]) -> f64 {
        let (square, inside) = self.nearest(q, |_, _| true);
        if inside { -square.sqrt() } else { square.sqrt() }
    }

    /// Corners, anticlockwise.
    pub fn points(&self) -> &[[f64; 2]] {
        &self.points
    }

    /// Least and greatest corner of its box.
    pub fn bound(&self) -> ([f64; 2], [f64; 2]) {
        let mut b = (self.points[0], self.points[0]);
        for p in &self.points {
            b.0 = [b.0[0].min(p[0]), b.0[1].min(p[1])];
            b.1 = [b.1[0].max(p[0]), b.1[1].max(p[1])];
        }
        b
    }

    /// Squared distance to the edges that count, and whether the point lies inside (crossing number).
    fn nearest(&self, q: [f64; 2], counts: impl Fn([f64; 2], [f64; 2]) -> bool) -> (f64, bool) {
        let (mut square, mut inside) = (f64::INFINITY, false);
        for (a, b) in edges(&self.points) {
            let (e, w) = ([b[0] - a[0], b[1] - a[1]], [q[0] - a[0], q[1] - a[1]]);
            if counts(a, b) {
                let t = ((w[0] * e[0] + w[1] * e[1]) / (e[0] * e[0] + e[1] * e[1])).clamp(0.0, 1.0);
                let d = [w[0] - t * e[0], w[1] - t * e[1]];
                square = square.min(d[0] * d[0] + d[1] * d[1]);
            }
            if (a[1] > q[1]) != (b[1] > q[1]) && (e[1] > 0.0) == (e[0] * w[1] - e[1] * w[0] > 0.0) {
                inside = !inside;
            }
        }
        (square, inside)
    }
}

/// Weights of four neighbours for the span between the middle two.
pub(crate) fn catmull_rom(t: f64) -> [f64; 4] {
    let (t2, t3) = (t * t, t * t * t);
    [0.5 * (-t + 2.0 * t2 - t3), 0.5 * (2.0 - 5.0 * t2 + 3.0 * t3), 0.5 * (t + 4.0 * t2 - 3.0 * t3), 0.5 * (t3 - t2)]
}

/// Their slopes.
pub(crate) fn catmull_rom_slope(t: f64) -> [f64; 4] {
    let t2 = t * t;
    [
        0.5 * (-1.0 + 4.0 * t - 3.0 * t2),
        0.5 * (-10.0 * t + 9.0 * t2),
        0.5 * (1.0 + 8.0 * t - 9.0 * t2),
        0.5 * (3.0 * t2 - 2.0 * t),
    ]
}

fn edges(points: &[[f64; 2]]) -> impl Iterator<Item = ([f64; 2], [f64; 2])> + '_ {
    (0..points.len()).map(|i| (points[i], points[(i + 1) % points.len()]))
}

/// Two edges that are no neighbours and meet.
fn crossing(points: &[[f64; 2]]) -> Option<(usize, usize)> {
    let n = points.len();
    let turn = |a: [f64; 2], b: [f64; 2], c: [f64; 2]| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let apart = |a: f64, b: f64, c: f64, d: f64| a.max(b) < c.min(d) || c.max(d) < a.min(b);
    for i in 0..n {
        let (a, b) = (points[i], points[(i + 1) % n]);
        for j in i + 2..n {
            if (j + 1) % n == i {
                continue;
            }
            let (c, d) = (points[j], points[(j + 1) % n]);
            if apart(a[0], b[0], c[0], d[0]) || apart(a[1], b[1], c[1], d[1]) {
                continue;
            }
            if turn(a, b, c) * turn(a, b, d) <= 0.0 && turn(c, d, a) * turn(c, d, b) <= 0.0 {
                return Some((i, j));
            }
        }
    }
    None
}

/// A prism: an outline in (x, y) drawn along z. Exact distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Extruded {
    outline: Outline,
    middle: f64,
    half: f64,
}

impl Extruded {
    /// From z = `low` to `high`.
    pub fn new(outline: Outline, low: f64, high: f64) -> Result<Self, ShapeError> {
        let height = positive("height of the prism", high - low)?;
        Ok(Self { outline, middle: 0.5 * (low + high), half: 0.5 * height })
    }
}

impl Solid for Extruded {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let (d, z) = (self.outline.distance([p[0], p[1]]), (p[2] - self.middle).abs() - self.half);
        d.max(z).min(0.0) + d.max(0.0).hypot(z.max(0.0))
    }
    fn bound(&self) -> Aabb {
        let (low, high) = self.outline.bound();
        Aabb { low: [low[0], low[1], self.middle - self.half], high: [high[0], high[1], self.middle + self.half] }
    }
}

/// A body of revolution: an outline in (radius, z) turned about the z axis. Exact distance.
#[derive(Debug, Clone, PartialEq)]
pub struct Revolved {
    outline: Outline,
}

impl Revolved {
    /// All radii 0 or more; edges on the axis are no surface.
    pub fn new(outline: Outline) -> Result<Self, ShapeError> {
        match outline.points.iter().map(|p| p[0]).find(|r| *r < 0.0) {
            Some(found) => {
                Err(ShapeError::OutOfRange { quantity: "radius in the outline", found, expected: "0 or more" })
            }
            None => Ok(Self { outline }),
        }
    }
}

impl Solid for Revolved {
    fn distance(&self, p: [f64; 3]) -> f64 {
        // A hair off the axis, so that the crossing number does not run along an edge on it.
        let q = [p[0].hypot(p[1]).max(1e-12), p[2]];
        let (square, inside) = self.outline.nearest(q, |a, b| a[0] > 0.0 || b[0] > 0.0);
        if inside { -square.sqrt() } else { square.sqrt() }
    }
    fn bound(&self) -> Aabb {
        let (low, high) = self.outline.bound();
        Aabb { low: [-high[0], -high[0], low[1]], high: [high[0], high[0], high[1]] }
    }
}
