//! Volume and surface area of a solid, each with an error estimate.
//!
//! Cells that the surface may cross are split into six tetrahedra along one diagonal; in each the distance is taken as linear, which gives a
//! flat cut with closed volume and area. A cell is halved until the sum over its eight children changes by less than its share of the wanted
//! accuracy; flat cuts converge with the square of the cell, so the children's sum is extrapolated by a third of the change (sharp edges: area by the whole change). The error
//! given is the sum of the sizes of these last changes (conservative: they mostly cancel).
//!
//! Limits: features thinner than a first cell (a 16th of the longest edge of the bound) are found only where the distance at its corners or centre shows them;
//! sharp edges are met to the finest cell (1/512 of that edge).

use crate::solid::{Aabb, STEEPEST, ShapeError, Solid};
use crate::vector::{V, cross, norm, scale, sub};

/// A value with the size of its numerical error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Estimated numerical error, same unit.
    pub error: f64,
}

/// What [`measure`] gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measures {
    /// Volume, unit cubed.
    pub volume: Measured,
    /// Surface area, unit squared.
    pub area: Measured,
}

const FIRST_CELLS: f64 = 16.0;
/// Change allowed over accuracy: what is left after extrapolation is well under a quarter of the change.
const ALLOWED: f64 = 4.0;
const DEEPEST: u32 = 5;

/// Volume and area to about `accuracy` (relative, 1e-6..0.1; 1e-3 is usual). Errors when no material is found.
///
/// ```
/// let ball = shape::Ball::new([0.0; 3], 2.0).unwrap();
/// let m = shape::measure(&ball, 1e-3).unwrap();
/// assert!((m.volume.value / (4.0 / 3.0 * std::f64::consts::PI * 8.0) - 1.0).abs() < 1e-3);
/// ```
pub fn measure(solid: &dyn Solid, accuracy: f64) -> Result<Measures, ShapeError> {
    if !(1e-6..=0.1).contains(&accuracy) {
        return Err(ShapeError::OutOfRange { quantity: "accuracy", found: accuracy, expected: "1e-6 to 0.1" });
    }
    let bound = solid.bound();
    let size = bound.size();
    let longest = size.iter().copied().fold(0.0, f64::max);
    if !bound.is_finite() {
        return Err(ShapeError::Unbounded);
    }
    if longest <= 0.0 {
        return Err(ShapeError::Empty);
    }
    let cell = longest / FIRST_CELLS;
    // Off the symmetry planes, so that no corner of the grid lies on a face of an aligned body.
    let origin = bound.grown(0.37 * cell).low;
    let counts = size.map(|s| (s / cell + 0.74).ceil() as usize);
    let walker = Walker { solid, cell, share: ALLOWED * accuracy * cell * cell };
    let mut total = Sum::default();
    for i in 0..counts[0] {
        for j in 0..counts[1] {
            for k in 0..counts[2] {
                let low = [origin[0] + cell * i as f64, origin[1] + cell * j as f64, origin[2] + cell * k as f64];
                total.add(&walker.cell(low, cell, 0));
            }
        }
    }
    if total.volume <= 0.0 {
        return Err(ShapeError::Empty);
    }
    Ok(Measures {
        volume: Measured { value: total.volume, error: total.volume_error },
        area: Measured { value: total.area, error: total.area_error },
    })
}

#[derive(Default, Clone, Copy)]
struct Sum {
    volume: f64,
    area: f64,
    volume_error: f64,
    area_error: f64,
}

impl Sum {
    fn add(&mut self, other: &Self) {
        self.volume += other.volume;
        self.area += other.area;
        self.volume_error += other.volume_error;
        self.area_error += other.area_error;
    }
}

struct Walker<'a> {
    solid: &'a dyn Solid,
    /// Edge of a first cell.
    cell: f64,
    /// Allowed change of area of a first cell.
    share: f64,
}

impl Walker<'_> {
    /// A cell whose flat cut is not yet known.
    fn cell(&self, low: V, edge: f64, depth: u32) -> Sum {
        match self.plain(low, edge) {
            Some(sum) => sum,
            None => self.refine(low, edge, depth, self.flat(low, edge)),
        }
    }

    /// A cell the surface cannot cross.
    fn plain(&self, low: V, edge: f64) -> Option<Sum> {
        let half = 0.5 * edge;
        let at_centre = self.solid.distance(low.map(|x| x + half));
        (at_centre.abs() > STEEPEST * half * 3f64.sqrt())
            .then(|| Sum { volume: if at_centre < 0.0 { edge.powi(3) } else { 0.0 }, ..Sum::default() })
    }

    fn refine(&self, low: V, edge: f64, depth: u32, coarse: Sum) -> Sum {
        let half = 0.5 * edge;
        let mut children = [(low, Sum::default(), false); 8];
        let mut fine = Sum::default();
        for (c, child) in children.iter_mut().enumerate() {
            let corner: V = std::array::from_fn(|i| low[i] + if c >> i & 1 == 1 { half } else { 0.0 });
            let (sum, cut) = match self.plain(corner, half) {
                Some(sum) => (sum, false),
                None => (self.flat(corner, half), true),
            };
            *child = (corner, sum, cut);
            fine.add(&sum);
        }
        let (dv, da) = (fine.volume - coarse.volume, fine.area - coarse.area);
        let share = self.share * 0.25f64.powi(depth as i32);
        let settled = da.abs() < share && dv.abs() < share * self.cell;
        if depth >= 1 && settled || depth + 1 >= DEEPEST {
            // A cell that never settles holds a sharp edge, whose area converges with the first power of the cell only.
            let (for_volume, for_area) = (1.0 / 3.0, if settled { 1.0 / 3.0 } else { 1.0 });
            return Sum {
                volume: fine.volume + for_volume * dv,
                area: fine.area + for_area * da,
                volume_error: for_volume * dv.abs(),
                area_error: for_area * da.abs(),
            };
        }
        let mut total = Sum::default();
        for (corner, sum, cut) in children {
            total.add(&if cut { self.refine(corner, half, depth + 1, sum) } else { sum });
        }
        total
    }

    /// Volume and area of the cell with the distance linear in six tetrahedra.
    fn flat(&self, low: V, edge: f64) -> Sum {
        let cell = Aabb { low, high: low.map(|x| x + edge) };
        let corners = cell.corners();
        let d = corners.map(|c| self.solid.distance(c));
        let mut sum = Sum::default();
        if d.iter().all(|x| *x > 0.0) {
            return sum;
        }
        if d.iter().all(|x| *x < 0.0) {
            sum.volume = edge.powi(3);
            return sum;
        }
        for tet in TETRAHEDRA {
            let (v, a) = tetrahedron(tet.map(|i| corners[i]), tet.map(|i| d[i]));
            sum.volume += v;
            sum.area += a;
        }
        sum
    }
}

/// Kuhn's six tetrahedra around the diagonal from corner 0 to corner 7.
const TETRAHEDRA: [[usize; 4]; 6] =
    [[0, 1, 3, 7], [0, 3, 2, 7], [0, 2, 6, 7], [0, 6, 4, 7], [0, 4, 5, 7], [0, 5, 1, 7]];

/// Volume below zero and area of the zero plane of a linear function in a tetrahedron.
fn tetrahedron(p: [V; 4], d: [f64; 4]) -> (f64, f64) {
    let full = content(p[0], p[1], p[2], p[3]);
    let mut order = [0, 1, 2, 3];
    order.sort_by(|&a, &b| d[a].total_cmp(&d[b]));
    let (p, d) = (order.map(|i| p[i]), order.map(|i| d[i]));
    let cut = |a: usize, b: usize| {
        let t = d[a] / (d[a] - d[b]);
        crate::vector::add(p[a], scale(sub(p[b], p[a]), t))
    };
    match d.iter().filter(|x| **x < 0.0).count() {
        0 => (0.0, 0.0),
        4 => (full, 0.0),
        1 => {
            let (a, b, c) = (cut(0, 1), cut(0, 2), cut(0, 3));
            (content(p[0], a, b, c), triangle(a, b, c))
        }
        3 => {
            let (a, b, c) = (cut(0, 3), cut(1, 3), cut(2, 3));
            (full - content(p[3], a, b, c), triangle(a, b, c))
        }
        _ => {
            let (a, b, c, e) = (cut(0, 2), cut(0, 3), cut(1, 3), cut(1, 2));
            let volume = content(p[0], a, b, c) + content(p[0], a, c, e) + content(p[0], e, c, p[1]);
            (volume, triangle(a, b, c) + triangle(a, c, e))
        }
    }
}

fn content(a: V, b: V, c: V, d: V) -> f64 {
    crate::vector::dot(sub(b, a), cross(sub(c, a), sub(d, a))).abs() / 6.0
}

fn triangle(a: V, b: V, c: V) -> f64 {
    0.5 * norm(cross(sub(b, a), sub(c, a)))
}
