//! y += K u along a row of equal cells, in the Walsh-Hadamard basis: matrix-free, about 60 operations an unknown instead of 192.
//!
//! Three passes over a strip of at most 64 cells, each a plain loop over x that the compiler turns into vector code:
//! (1) the four node rows around the cells become sums and differences in y and z; (2) each cell takes the sum and difference of two
//! neighbours in x, multiplies by the 45 entries (eight values) and splits the result into what its left and its right nodes get;
//! (3) each node adds both, and the sums and differences in y and z are undone. Sums are in a fixed order: the same bytes always.

use super::element::Core;
use super::real::Real;

/// Cells of a strip.
pub(crate) const STRIP: usize = 64;
/// Nodes of a strip, rounded up to whole vectors.
const WIDTH: usize = STRIP + 8;

/// Working rows of a strip: twelve rows (4 modes in y and z, 3 components) of node sums, and of what goes left and right.
pub(crate) struct Strip<T> {
    modes: [[T; WIDTH]; 12],
    left: [[T; WIDTH]; 12],
    right: [[T; WIDTH]; 12],
}

impl<T: Real> Strip<T> {
    pub(crate) fn new() -> Self {
        let zero = [[T::default(); WIDTH]; 12];
        Self { modes: zero, left: zero, right: zero }
    }

    /// Adds K u of `cells` cells: `u[3 q + c]` and `y[3 q + c]` hold the `cells + 1` nodes of component c in row q = y + 2 z.
    #[inline(always)]
    pub(crate) fn add(&mut self, core: &CoreOf<T>, cells: usize, u: [&[T]; 12], y: [&mut [T]; 12]) {
        let nodes = cells + 1;
        for c in 0..3 {
            let rows = [3, 2, 1, 0].map(|q| &u[3 * q + c][..nodes]);
            let [m0, m1, m2, m3] = four(&mut self.modes, c);
            gather(nodes, rows, [m0, m1, m2, m3]);
        }
        cell_products(core, cells.next_multiple_of(8), &self.modes, &mut self.left, &mut self.right);
        for row in 0..12 {
            self.left[row][cells] = T::default();
            self.right[row][0] = T::default();
        }
        let mut y = y;
        for c in 0..3 {
            let [a, b, d, e] = four_rows(&mut y, c);
            let left = std::array::from_fn(|t| &self.left[3 * t + c]);
            let right = std::array::from_fn(|t| &self.right[3 * t + c]);
            scatter(nodes, left, right, [a, b, d, e]);
        }
    }
}

/// The eight values of a material in the number type of a level.
#[derive(Debug, Clone, Copy)]
pub(crate) struct CoreOf<T> {
    /// Diagonal minus off-diagonal, and off-diagonal.
    stretch: [T; 2],
    shear: T,
    bend: [T; 2],
    twist: [T; 2],
    corner: T,
}

impl<T: Real> CoreOf<T> {
    pub(crate) fn new(core: &Core) -> Self {
        let split = |v: [f64; 2]| [T::of(v[0] - v[1]), T::of(v[1])];
        Self {
            stretch: split(core.stretch),
            shear: T::of(core.shear),
            bend: core.bend.map(T::of),
            twist: split(core.twist),
            corner: T::of(core.corner),
        }
    }
}

/// The four mode rows of component `c`.
#[inline(always)]
fn four<T>(rows: &mut [[T; WIDTH]; 12], c: usize) -> [&mut [T; WIDTH]; 4] {
    let (a, rest) = rows.split_at_mut(3);
    let (b, rest) = rest.split_at_mut(3);
    let (d, e) = rest.split_at_mut(3);
    [&mut a[c], &mut b[c], &mut d[c], &mut e[c]]
}

/// The four node rows of component `c`.
#[inline(always)]
fn four_rows<'a, T>(rows: &'a mut [&mut [T]; 12], c: usize) -> [&'a mut [T]; 4] {
    let (a, rest) = rows.split_at_mut(3);
    let (b, rest) = rest.split_at_mut(3);
    let (d, e) = rest.split_at_mut(3);
    [&mut *a[c], &mut *b[c], &mut *d[c], &mut *e[c]]
}

/// Sums and differences in y and z of the four node rows (given last first).
#[inline(always)]
fn gather<T: Real>(nodes: usize, u: [&[T]; 4], m: [&mut [T; WIDTH]; 4]) {
    let [u3, u2, u1, u0] = u.map(|row| &row[..nodes]);
    let [m0, m1, m2, m3] = m.map(|row| &mut row[..nodes]);
    for i in 0..nodes {
        let (low, high) = (u0[i] + u1[i], u2[i] + u3[i]);
        let (low_slope, high_slope) = (u1[i] - u0[i], u3[i] - u2[i]);
        m0[i] = low + high;
        m1[i] = low_slope + high_slope;
        m2[i] = high - low;
        m3[i] = high_slope - low_slope;
    }
}

/// The 45 entries for every cell of the strip.
#[inline(always)]
fn cell_products<T: Real>(
    core: &CoreOf<T>,
    cells: usize,
    m: &[[T; WIDTH]; 12],
    left: &mut [[T; WIDTH]; 12],
    right: &mut [[T; WIDTH]; 12],
) {
    let CoreOf { stretch, shear, bend, twist, corner } = *core;
    for i in 0..cells.min(STRIP) {
        let sum = |row: usize| m[row][i + 1] + m[row][i];
        let slope = |row: usize| m[row][i + 1] - m[row][i];
        // Odd in x: modes x (rows 0..3), xy (3..6), xz (6..9), xyz (9..12); even in x: y (3..6), z (6..9), yz (9..12).
        let (xx, yy, zz) = (slope(0), sum(4), sum(8));
        let volume = stretch[1] * (xx + yy + zz);
        let (fxx, fyy, fzz) = (stretch[0] * xx + volume, stretch[0] * yy + volume, stretch[0] * zz + volume);
        let fxy = shear * (slope(1) + sum(3));
        let fxz = shear * (slope(2) + sum(6));
        let fyz = shear * (sum(5) + sum(7));
        let (bx_y, bz_y) = (slope(3), sum(11));
        let (by_x, bz_x) = (slope(4), slope(8));
        let (bx_z, by_z) = (slope(6), sum(10));
        let (gx_y, gz_y) = (bend[0] * bx_y + bend[1] * bz_y, bend[1] * bx_y + bend[0] * bz_y);
        let (gy_x, gz_x) = (bend[0] * by_x + bend[1] * bz_x, bend[1] * by_x + bend[0] * bz_x);
        let (gx_z, gy_z) = (bend[0] * bx_z + bend[1] * by_z, bend[1] * bx_z + bend[0] * by_z);
        let (tz, ty, tx) = (slope(5), slope(7), sum(9));
        let turn = twist[1] * (tx + ty + tz);
        let (hz, hy, hx) = (twist[0] * tz + turn, twist[0] * ty + turn, twist[0] * tx + turn);
        let (cx, cy, cz) = (corner * slope(9), corner * slope(10), corner * slope(11));
        let zero = T::default();
        let mut put = |row: usize, even: T, odd: T| {
            left[row][i] = even - odd;
            right[row][i + 1] = even + odd;
        };
        put(0, zero, fxx);
        put(1, zero, fxy);
        put(2, zero, fxz);
        put(3, fxy, gx_y);
        put(4, fyy, gy_x);
        put(5, fyz, hz);
        put(6, fxz, gx_z);
        put(7, fyz, hy);
        put(8, fzz, gz_x);
        put(9, hx, cx);
        put(10, gy_z, cy);
        put(11, gz_y, cz);
    }
}

/// Undoes the sums and differences in y and z and adds to the four node rows.
#[inline(always)]
fn scatter<T: Real>(nodes: usize, left: [&[T; WIDTH]; 4], right: [&[T; WIDTH]; 4], y: [&mut [T]; 4]) {
    let [l0, l1, l2, l3] = left.map(|row| &row[..nodes]);
    let [r0, r1, r2, r3] = right.map(|row| &row[..nodes]);
    let [y0, y1, y2, y3] = y.map(|row| &mut row[..nodes]);
    for i in 0..nodes {
        let (v0, v1, v2, v3) = (l0[i] + r0[i], l1[i] + r1[i], l2[i] + r2[i], l3[i] + r3[i]);
        let (low, high) = (v0 - v2, v0 + v2);
        let (low_slope, high_slope) = (v1 - v3, v1 + v3);
        y0[i] += low - low_slope;
        y1[i] += low + low_slope;
        y2[i] += high - high_slope;
        y3[i] += high + high_slope;
    }
}
