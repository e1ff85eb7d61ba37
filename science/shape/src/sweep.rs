//! A profile drawn along a curve while it changes size.
//!
//! The spine is a Catmull-Rom spline through stations; the profile stands across it in a frame that does not twist (double reflection: Wang,
//! Juettler, Zheng, Liu 2008, ACM Trans Graph 27:2, doi 10.1145/1330511.1330513). Sizes run along the same spline. The value at a place is the
//! profile's distance at the nearest place of the spine, taken in the profile's own plane and divided by sqrt(1 + (dR/ds)^2), the lean of
//! the wall: exact for tubes of constant size on a straight spine and for cones; elsewhere right to first order at the surface. Ends are flat.
//!
//! Limits: the spine must bend more gently than the profile is wide (radius of curvature above the reach of the profile, checked); unequal
//! scales give lower bounds of the distance.

use crate::outline::{Outline, catmull_rom, catmull_rom_slope};
use crate::solid::{Aabb, ShapeError, Solid, finite, positive};
use crate::vector::{V, add, cross, dot, norm, scale, sub, unit};

/// A place on the spine of a [`Sweep`] and the size of the profile there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Place of the profile's origin.
    pub place: [f64; 3],
    /// Factors on the profile's two directions, above 0.
    pub scale: [f64; 2],
}

/// A profile drawn along a curve.
#[derive(Debug, Clone)]
pub struct Sweep {
    profile: Outline,
    stations: Vec<Station>,
    /// At the ends of equal pieces of parameter.
    samples: Vec<Sample>,
    bound: Aabb,
}

#[derive(Debug, Clone, Copy)]
struct Sample {
    at: V,
    first: V,
    arc: f64,
}

const PER_SPAN: usize = 12;

impl Sweep {
    /// Profile (its second direction starts nearest to `up`), two or more stations. Errors: sizes not above 0, stations on one spot, `up` along the
    /// spine, a bend tighter than the profile.
    pub fn new(profile: Outline, stations: Vec<Station>, up: [f64; 3]) -> Result<Self, ShapeError> {
        if stations.len() < 2 {
            let found = stations.len() as f64;
            return Err(ShapeError::OutOfRange { quantity: "stations of the sweep", found, expected: "2 or more" });
        }
        for s in &stations {
            finite("station of the sweep", s.place)?;
            positive("scale of the profile", s.scale[0])?;
            positive("scale of the profile", s.scale[1])?;
        }
        if stations.windows(2).any(|w| w[0].place == w[1].place) {
            return Err(ShapeError::NoDirection("spine of the sweep"));
        }
        let mut sweep = Self { profile, stations, samples: Vec::new(), bound: Aabb { low: [0.0; 3], high: [0.0; 3] } };
        sweep.lay_frames(up)?;
        sweep.check_bends()?;
        Ok(sweep)
    }

    fn spans(&self) -> usize {
        self.stations.len() - 1
    }

    /// Place, first and second derivative, scale and its derivative at parameter t in 0..spans.
    fn spine(&self, t: f64) -> (V, V, V, [f64; 2], [f64; 2]) {
        let span = (t.max(0.0) as usize).min(self.spans() - 1);
        let s = t - span as f64;
        let w = catmull_rom(s);
        let w1 = catmull_rom_slope(s);
        let w2 = [2.0 - 3.0 * s, 9.0 * s - 5.0, 4.0 - 9.0 * s, 3.0 * s - 1.0];
        let neighbours: [Station; 4] = std::array::from_fn(|k| self.neighbour(span as isize + k as isize - 1));
        let sum = |w: [f64; 4]| (0..4).fold([0.0; 3], |acc, k| add(acc, scale(neighbours[k].place, w[k])));
        let size = |w: [f64; 4]| std::array::from_fn(|c| (0..4).map(|k| w[k] * neighbours[k].scale[c]).sum());
        (sum(w), sum(w1), sum(w2), size(w), size(w1))
    }

    /// A station, mirrored through the end beyond the ends.
    fn neighbour(&self, i: isize) -> Station {
        let last = self.spans() as isize;
        let through = |end: usize, inner: usize| {
            let (e, n) = (self.stations[end], self.stations[inner]);
            let mirrored: [f64; 2] = std::array::from_fn(|c| 2.0 * e.scale[c] - n.scale[c]);
            Station { place: sub(scale(e.place, 2.0), n.place), scale: mirrored }
        };
        if i < 0 {
            through(0, 1)
        } else if i > last {
            through(last as usize, last as usize - 1)
        } else {
            self.stations[i as usize]
        }
    }

    fn lay_frames(&mut self, up: V) -> Result<(), ShapeError> {
        let pieces = self.spans() * PER_SPAN;
        let (start, tangent, ..) = self.spine(0.0);
        let tangent = unit(tangent).ok_or(ShapeError::NoDirection("spine of the sweep"))?;
        let flat = sub(up, scale(tangent, dot(up, tangent)));
        let second = unit(flat).filter(|_| norm(flat) > 1e-9 * norm(up)).ok_or(ShapeError::NoDirection("up"))?;
        let mut last = (start, tangent, cross(second, tangent));
        self.samples = vec![Sample { at: start, first: last.2, arc: 0.0 }];
        for i in 1..=pieces {
            let (at, d, ..) = self.spine(i as f64 / PER_SPAN as f64);
            let tangent = unit(d).ok_or(ShapeError::NoDirection("spine of the sweep"))?;
            let mirror = |x: V, across: V| sub(x, scale(across, 2.0 * dot(across, x) / dot(across, across)));
            let step = sub(at, last.0);
            let (first, turned) = (mirror(last.2, step), mirror(last.1, step));
            let rest = sub(tangent, turned);
            let first = if dot(rest, rest) > 1e-24 { mirror(first, rest) } else { first };
            let arc = self.samples[i - 1].arc + norm(step);
            self.samples.push(Sample { at, first, arc });
            last = (at, tangent, first);
        }
        Ok(())
    }

    fn check_bends(&mut self) -> Result<(), ShapeError> {
        let reach = self.profile.points().iter().map(|p| p[0].hypot(p[1])).fold(0.0, f64::max);
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for i in 0..self.samples.len() {
            let (at, d1, d2, size, _) = self.spine(i as f64 / PER_SPAN as f64);
            let widest = reach * size[0].max(size[1]);
            let curvature = norm(cross(d1, d2)) / norm(d1).powi(3);
            if size[0] <= 0.0 || size[1] <= 0.0 || curvature * widest >= 1.0 {
                let expected = "a bend wider than the profile: give stations that turn more gently";
                return Err(ShapeError::OutOfRange {
                    quantity: "radius of the bend",
                    found: 1.0 / curvature,
                    expected,
                });
            }
            low = std::array::from_fn(|c| low[c].min(at[c] - 1.05 * widest));
            high = std::array::from_fn(|c| high[c].max(at[c] + 1.05 * widest));
        }
        self.bound = Aabb { low, high };
        Ok(())
    }

    /// Parameter of the nearest place of the spine.
    fn nearest(&self, p: V) -> f64 {
        let mut best = (f64::INFINITY, 0.0);
        for (i, pair) in self.samples.windows(2).enumerate() {
            let (e, w) = (sub(pair[1].at, pair[0].at), sub(p, pair[0].at));
            let t = (dot(e, w) / dot(e, e)).clamp(0.0, 1.0);
            let off = sub(w, scale(e, t));
            let square = dot(off, off);
            if square < best.0 {
                best = (square, (i as f64 + t) / PER_SPAN as f64);
            }
        }
        let mut t = best.1;
        for _ in 0..4 {
            let (c, d1, d2, ..) = self.spine(t);
            let off = sub(p, c);
            let slope = dot(d1, d1) - dot(off, d2);
            if slope <= 0.0 {
                break;
            }
            let piece = 1.0 / PER_SPAN as f64;
            t = (t + (dot(off, d1) / slope).clamp(-piece, piece)).clamp(0.0, self.spans() as f64);
        }
        t
    }
}

impl Solid for Sweep {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let t = self.nearest(p);
        let (c, d1, _, size, change) = self.spine(t);
        let speed = norm(d1);
        let tangent = scale(d1, 1.0 / speed);
        let piece = ((t * PER_SPAN as f64) as usize).min(self.samples.len() - 2);
        let share = t * PER_SPAN as f64 - piece as f64;
        let (s0, s1) = (&self.samples[piece], &self.samples[piece + 1]);
        let between = add(scale(s0.first, 1.0 - share), scale(s1.first, share));
        let first = unit(sub(between, scale(tangent, dot(between, tangent)))).unwrap_or(s0.first);
        let second = cross(tangent, first);
        let off = sub(p, c);
        let local = [dot(off, first) / size[0], dot(off, second) / size[1]];
        let lean = local[0].hypot(local[1]) * change[0].abs().max(change[1].abs()) / speed;
        let lean = lean.min(1.0);
        let wall = self.profile.distance(local) * size[0].min(size[1]) / (1.0 + lean * lean).sqrt();
        let along = dot(off, tangent);
        let arc = s0.arc + share * (s1.arc - s0.arc);
        let total = self.samples[self.samples.len() - 1].arc;
        let end = if t <= 0.0 {
            -along
        } else if t >= self.spans() as f64 {
            along
        } else {
            -arc.min(total - arc)
        };
        wall.max(end).min(0.0) + wall.max(0.0).hypot(end.max(0.0))
    }
    fn bound(&self) -> Aabb {
        self.bound
    }
}
