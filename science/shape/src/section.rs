//! The section of a solid by a plane: area, height, width, second moment, section modulus.
//!
//! In the plane, triangles with the distance taken as linear give polygons with closed moments (Green); squares are halved until area and second
//! moment settle, then extrapolated as in [`crate::measure`]. I = integral (v - v_c)^2 dA about the axis across the height through the
//! centroid; W = I/max |v - v_c|. Height and width are extents along the two axes of the plane.

use crate::solid::{Aabb, STEEPEST, ShapeError, Solid, finite};
use crate::vector::{add, cross, dot, scale, sub, unit};

/// A cutting plane with a direction in it that counts as height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    point: [f64; 3],
    width_axis: [f64; 3],
    height_axis: [f64; 3],
}

impl Plane {
    /// Through `point`, across `normal`; `up` is projected into the plane. Errors when a direction is missing or `up` is along the normal.
    pub fn new(point: [f64; 3], normal: [f64; 3], up: [f64; 3]) -> Result<Self, ShapeError> {
        let n = unit(normal).ok_or(ShapeError::NoDirection("normal of the plane"))?;
        let lean = unit(up).ok_or(ShapeError::NoDirection("height of the section"))?;
        let flat = sub(lean, scale(n, dot(lean, n)));
        if dot(flat, flat) < 1e-16 {
            return Err(ShapeError::NoDirection("height of the section"));
        }
        let height_axis = unit(flat).ok_or(ShapeError::NoDirection("height of the section"))?;
        Ok(Self { point: finite("point of the plane", point)?, width_axis: cross(height_axis, n), height_axis })
    }

    /// Normal, width axis and height axis: a right-handed frame in the order width, height, normal.
    pub fn frame(&self) -> [[f64; 3]; 3] {
        [cross(self.width_axis, self.height_axis), self.width_axis, self.height_axis]
    }

    /// A place of the plane.
    pub fn point(&self) -> [f64; 3] {
        self.point
    }

    /// How far along width and height a place lies from the plane's point.
    pub(crate) fn within(&self, p: [f64; 3]) -> [f64; 2] {
        let d = sub(p, self.point);
        [dot(d, self.width_axis), dot(d, self.height_axis)]
    }

    fn place(&self, u: f64, v: f64) -> [f64; 3] {
        add(self.point, add(scale(self.width_axis, u), scale(self.height_axis, v)))
    }
}

/// Measures of a section.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Area.
    pub area: f64,
    /// Centroid in space.
    pub centroid: [f64; 3],
    /// Extent along the height axis.
    pub height: f64,
    /// Extent across it.
    pub width: f64,
    /// Second moment about the width axis through the centroid.
    pub second_moment: f64,
    /// Second moment about the height axis through the centroid.
    pub second_moment_across: f64,
    /// Product moment of both axes: 0 where they are principal.
    pub product_moment: f64,
    /// Section modulus for bending about the width axis: the smaller of the two sides.
    pub modulus: f64,
    /// Section modulus for bending about the height axis: the smaller of the two sides.
    pub modulus_across: f64,
    /// Estimated relative error of the area.
    pub error: f64,
}

const FIRST: usize = 24;
const DEEPEST: u32 = 6;
const SHARE: f64 = 1e-5;

/// The section of a solid by a plane. Errors when they do not meet.
pub fn section(solid: &dyn Solid, plane: &Plane) -> Result<Section, ShapeError> {
    let (low, high) = window(&solid.bound(), plane);
    let edge = (high[0] - low[0]).max(high[1] - low[1]) / FIRST as f64;
    if !(edge > 0.0 && edge.is_finite()) {
        return Err(ShapeError::NoSection);
    }
    let walker = Walker {
        solid,
        plane,
        share: SHARE * edge * edge,
        middle: [0.5 * (low[0] + high[0]), 0.5 * (low[1] + high[1])],
    };
    // Off the axes of symmetry, so that no corner lies on an edge of an aligned section.
    let corner = |i: usize, j: usize| [low[0] + edge * (i as f64 - 0.37), low[1] + edge * (j as f64 - 0.41)];
    let column = |i: usize| -> Vec<f64> { (0..=FIRST + 1).map(|j| walker.distance(corner(i, j))).collect() };
    let mut total = Moments::default();
    let mut left = column(0);
    for i in 0..=FIRST {
        let right = column(i + 1);
        for j in 0..=FIRST {
            let square = Square { low: corner(i, j), edge, at: [left[j], right[j], right[j + 1], left[j + 1]] };
            total.add(&walker.cell(&square, None, 0));
        }
        left = right;
    }
    if total.area <= 0.0 {
        return Err(ShapeError::NoSection);
    }
    Ok(total.section(plane, walker.middle))
}

/// The bound seen in the plane.
fn window(bound: &Aabb, plane: &Plane) -> ([f64; 2], [f64; 2]) {
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for corner in bound.corners() {
        let d = sub(corner, plane.point);
        for (i, x) in [dot(d, plane.width_axis), dot(d, plane.height_axis)].into_iter().enumerate() {
            low[i] = low[i].min(x);
            high[i] = high[i].max(x);
        }
    }
    (low, high)
}

/// Area, first moments, second moments (of v, of u, product), extents; relative to a place of the plane.
#[derive(Clone, Copy)]
pub(crate) struct Moments {
    pub(crate) area: f64,
    first: [f64; 2],
    second: f64,
    across: f64,
    product: f64,
    low: [f64; 2],
    high: [f64; 2],
    error: f64,
}

impl Default for Moments {
    fn default() -> Self {
        Self {
            area: 0.0,
            first: [0.0; 2],
            second: 0.0,
            across: 0.0,
            product: 0.0,
            low: [f64::INFINITY; 2],
            high: [f64::NEG_INFINITY; 2],
            error: 0.0,
        }
    }
}

impl Moments {
    pub(crate) fn add(&mut self, o: &Self) {
        self.area += o.area;
        self.second += o.second;
        self.across += o.across;
        self.product += o.product;
        self.error += o.error;
        for i in 0..2 {
            self.first[i] += o.first[i];
            self.low[i] = self.low[i].min(o.low[i]);
            self.high[i] = self.high[i].max(o.high[i]);
        }
    }

    /// The section they describe; `about` is the place they are relative to.
    pub(crate) fn section(&self, plane: &Plane, about: [f64; 2]) -> Section {
        let (cu, cv) = (self.first[0] / self.area, self.first[1] / self.area);
        let reach = |c: f64, axis: usize| (self.high[axis] - c).max(c - self.low[axis]);
        let second = self.second - self.area * cv * cv;
        let across = self.across - self.area * cu * cu;
        Section {
            area: self.area,
            centroid: plane.place(cu + about[0], cv + about[1]),
            height: self.high[1] - self.low[1],
            width: self.high[0] - self.low[0],
            second_moment: second,
            second_moment_across: across,
            product_moment: self.product - self.area * cu * cv,
            modulus: second / reach(cv, 1),
            modulus_across: across / reach(cu, 0),
            error: self.error / self.area,
        }
    }

    /// A polygon by Green's formulas.
    pub(crate) fn polygon(&mut self, points: &[[f64; 2]]) {
        for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
            let turn = a[0] * b[1] - b[0] * a[1];
            self.area += 0.5 * turn;
            self.first[0] += turn * (a[0] + b[0]) / 6.0;
            self.first[1] += turn * (a[1] + b[1]) / 6.0;
            self.second += turn * (a[1] * a[1] + a[1] * b[1] + b[1] * b[1]) / 12.0;
            self.across += turn * (a[0] * a[0] + a[0] * b[0] + b[0] * b[0]) / 12.0;
            self.product += turn * (2.0 * (a[0] * a[1] + b[0] * b[1]) + a[0] * b[1] + b[0] * a[1]) / 24.0;
            self.low = [self.low[0].min(a[0]), self.low[1].min(a[1])];
            self.high = [self.high[0].max(a[0]), self.high[1].max(a[1])];
        }
    }
}

struct Walker<'a> {
    solid: &'a dyn Solid,
    plane: &'a Plane,
    share: f64,
    middle: [f64; 2],
}

impl Walker<'_> {
    fn distance(&self, p: [f64; 2]) -> f64 {
        self.solid.distance(self.plane.place(p[0], p[1]))
    }

    /// Moments in a square; `coarse` are those of its flat pieces where they are known.
    fn cell(&self, square: &Square, coarse: Option<Moments>, depth: u32) -> Moments {
        let half = 0.5 * square.edge;
        let middle = self.distance(square.place([1.0, 1.0]));
        if middle.abs() > STEEPEST * half * std::f64::consts::SQRT_2 {
            let mut whole = Moments::default();
            if middle < 0.0 {
                whole.polygon(&square.corners().map(|p| self.centred(p)));
            }
            return whole;
        }
        let coarse = coarse.unwrap_or_else(|| self.flat(square));
        let sides = [[1.0, 0.0], [2.0, 1.0], [1.0, 2.0], [0.0, 1.0]].map(|p| self.distance(square.place(p)));
        let quarters = square.quarters(middle, sides);
        let parts = quarters.each_ref().map(|q| self.flat(q));
        let mut fine = Moments::default();
        parts.iter().for_each(|part| fine.add(part));
        let (da, ds) = (fine.area - coarse.area, fine.second - coarse.second);
        let share = self.share * 0.5f64.powi(depth as i32);
        if depth >= 2 && da.abs() < share || depth + 1 >= DEEPEST {
            fine.area += da / 3.0;
            fine.second += ds / 3.0;
            for i in 0..2 {
                fine.first[i] += (fine.first[i] - coarse.first[i]) / 3.0;
            }
            fine.error = da.abs() / 3.0;
            return fine;
        }
        let mut total = Moments::default();
        for (quarter, part) in quarters.iter().zip(parts) {
            total.add(&self.cell(quarter, Some(part), depth + 1));
        }
        total
    }

    fn centred(&self, p: [f64; 2]) -> [f64; 2] {
        [p[0] - self.middle[0], p[1] - self.middle[1]]
    }

    /// Moments of both triangles of a square, the distance linear in each.
    fn flat(&self, square: &Square) -> Moments {
        let (p, d) = (square.corners(), square.at);
        let mut out = Moments::default();
        for t in [[0, 1, 2], [0, 2, 3]] {
            let (mut polygon, mut count) = ([[0.0; 2]; 4], 0);
            let mut push = |at: [f64; 2]| {
                polygon[count] = self.centred(at);
                count += 1;
            };
            for i in 0..3 {
                let (a, b) = (t[i], t[(i + 1) % 3]);
                if d[a] < 0.0 {
                    push(p[a]);
                }
                if (d[a] < 0.0) != (d[b] < 0.0) {
                    let s = d[a] / (d[a] - d[b]);
                    push([p[a][0] + s * (p[b][0] - p[a][0]), p[a][1] + s * (p[b][1] - p[a][1])]);
                }
            }
            out.polygon(&polygon[..count]);
        }
        out
    }
}

/// A square of the plane with the distances at its corners, anticlockwise from the low one.
struct Square {
    low: [f64; 2],
    edge: f64,
    at: [f64; 4],
}

impl Square {
    /// A place that many half edges from the low corner.
    fn place(&self, halves: [f64; 2]) -> [f64; 2] {
        std::array::from_fn(|i| self.low[i] + 0.5 * self.edge * halves[i])
    }

    fn corners(&self) -> [[f64; 2]; 4] {
        [[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]].map(|p| self.place(p))
    }

    /// Its quarters, from the distances in its middle and halfway along its sides.
    fn quarters(&self, middle: f64, sides: [f64; 4]) -> [Self; 4] {
        let [a, b, c, d] = self.at;
        let [low, right, high, left] = sides;
        let corners =
            [[a, low, middle, left], [low, b, right, middle], [middle, right, c, high], [left, middle, high, d]];
        let lows = [[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]].map(|p| self.place(p));
        std::array::from_fn(|k| Self { low: lows[k], edge: 0.5 * self.edge, at: corners[k] })
    }
}
