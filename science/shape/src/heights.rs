//! A body under a surface of heights on a lattice.
//!
//! Heights are joined by bicubic Catmull-Rom patches (continuous slope). The distance to the surface is found by Newton on its foot from
//! the foot of the vertical: true where the surface is no more curved than the distance allows, an upper bound of it elsewhere. Sides and floor
//! are planes; along the rims the size is a lower bound.

use crate::outline::{catmull_rom, catmull_rom_slope};
use crate::solid::{Aabb, ShapeError, Solid, positive};

/// Everything between a floor and a surface z = h(x, y) over a rectangle.
#[derive(Debug, Clone, PartialEq)]
pub struct Heights {
    origin: [f64; 2],
    cell: f64,
    counts: [usize; 2],
    heights: Vec<f64>,
    floor: f64,
    top: f64,
}

impl Heights {
    /// Heights at `origin + cell (i, j)`, i first, all above `floor`; at least 2 x 2.
    pub fn new(
        origin: [f64; 2],
        cell: f64,
        counts: [usize; 2],
        heights: Vec<f64>,
        floor: f64,
    ) -> Result<Self, ShapeError> {
        positive("cell of the heights", cell)?;
        let wanted = counts[0].saturating_mul(counts[1]);
        if counts.iter().any(|c| *c < 2) || heights.len() != wanted {
            let (found, expected) = (heights.len() as f64, "as many heights as the counts say, at least 2 by 2");
            return Err(ShapeError::OutOfRange { quantity: "number of heights", found, expected });
        }
        if let Some(&found) = heights.iter().find(|h| !(h.is_finite() && **h > floor)) {
            return Err(ShapeError::OutOfRange { quantity: "height", found, expected: "finite and above the floor" });
        }
        if !(floor.is_finite() && origin.iter().all(|x| x.is_finite())) {
            return Err(ShapeError::OutOfRange { quantity: "floor", found: floor, expected: "a finite number" });
        }
        let (low, high) = heights.iter().fold((f64::INFINITY, floor), |(l, h), &x| (l.min(x), h.max(x)));
        // A cubic overshoots by at most an eighth of the range in each direction.
        Ok(Self { origin, cell, counts, heights, floor, top: high + 0.27 * (high - low) })
    }

    /// Height and its two slopes over a place of the rectangle (clamped to it).
    pub fn height(&self, x: f64, y: f64) -> (f64, [f64; 2]) {
        let place = |v: f64, a: usize| {
            let along = ((v - self.origin[a]) / self.cell).clamp(0.0, (self.counts[a] - 1) as f64);
            let at = (along as usize).min(self.counts[a] - 2);
            (at, along - at as f64)
        };
        let ((i, s), (j, t)) = (place(x, 0), place(y, 1));
        let (wx, wy, dx, dy) = (catmull_rom(s), catmull_rom(t), catmull_rom_slope(s), catmull_rom_slope(t));
        let (mut h, mut slope) = (0.0, [0.0; 2]);
        for b in 0..4 {
            for a in 0..4 {
                let v = self.lattice(i as isize + a as isize - 1, j as isize + b as isize - 1);
                h += wx[a] * wy[b] * v;
                slope[0] += dx[a] * wy[b] * v;
                slope[1] += wx[a] * dy[b] * v;
            }
        }
        (h, slope.map(|g| g / self.cell))
    }

    /// A height, continued straight beyond the rim.
    fn lattice(&self, i: isize, j: isize) -> f64 {
        let [nx, ny] = self.counts.map(|c| c as isize);
        let at = |i: isize, j: isize| self.heights[(i + nx * j) as usize];
        let row = |j: isize| {
            if i < 0 {
                2.0 * at(0, j) - at(1, j)
            } else if i >= nx {
                2.0 * at(nx - 1, j) - at(nx - 2, j)
            } else {
                at(i, j)
            }
        };
        if j < 0 {
            2.0 * row(0) - row(1)
        } else if j >= ny {
            2.0 * row(ny - 1) - row(ny - 2)
        } else {
            row(j)
        }
    }

    fn to_surface(&self, p: [f64; 3]) -> f64 {
        let (mut x, mut y) = (p[0], p[1]);
        let (mut h, mut g) = self.height(x, y);
        let sign = (p[2] - h).signum();
        let mut least = (p[2] - h).abs();
        for _ in 0..5 {
            // Foot on the tangent plane at the present place.
            let off = p[2] - h - g[0] * (p[0] - x) - g[1] * (p[1] - y);
            let lean = 1.0 + g[0] * g[0] + g[1] * g[1];
            (x, y) = (p[0] + off * g[0] / lean, p[1] + off * g[1] / lean);
            (h, g) = self.height(x, y);
            let found = (p[0] - x).hypot(p[1] - y).hypot(p[2] - h);
            if found >= least * (1.0 - 1e-12) {
                break;
            }
            least = found;
        }
        sign * least
    }
}

impl Solid for Heights {
    fn distance(&self, p: [f64; 3]) -> f64 {
        let far: [f64; 2] = std::array::from_fn(|a| {
            let half = 0.5 * self.cell * (self.counts[a] - 1) as f64;
            (p[a] - self.origin[a] - half).abs() - half
        });
        let below = self.floor - p[2];
        let box_inside = far[0].max(far[1]).max(below);
        let sides = box_inside.min(0.0) + far[0].max(0.0).hypot(far[1].max(0.0)).hypot(below.max(0.0));
        let top = if p[2] > self.top + self.cell { p[2] - self.top } else { self.to_surface(p) };
        sides.max(top)
    }
    fn bound(&self) -> Aabb {
        let high: [f64; 2] = std::array::from_fn(|a| self.origin[a] + self.cell * (self.counts[a] - 1) as f64);
        Aabb { low: [self.origin[0], self.origin[1], self.floor], high: [high[0], high[1], self.top] }
    }
}
