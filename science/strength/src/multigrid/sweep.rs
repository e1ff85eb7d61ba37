//! y += K u along a row of equal cells, in the Walsh-Hadamard basis: matrix-free, about 60 operations an unknown instead of 192.
//!
//! Three passes over a strip of at most 64 cells, each a plain loop over x that the compiler turns into vector code:
//! (1) the four node rows around the cells become sums and differences in y and z; (2) each cell takes the sum and difference of two
//! neighbours in x, multiplies by the 45 entries (eight values) and splits the result into what its left and its right nodes get;
//! (3) each node adds both, and the sums and differences in y and z are undone. Sums are in a fixed order: the same bytes always.

use simd::Simd;

use super::element::Core;
use super::real::Real;

/// Cells of a strip.
pub(crate) const STRIP: usize = 64;
/// Nodes of a strip, rounded up to whole vectors.
const WIDTH: usize = STRIP + 16;

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
    pub(crate) fn add<S: Simd>(&mut self, simd: S, core: &CoreOf<T>, cells: usize, u: [&[T]; 12], y: [&mut [T]; 12]) {
        let nodes = cells + 1;
        for c in 0..3 {
            let rows = [3, 2, 1, 0].map(|q| &u[3 * q + c][..nodes]);
            let [m0, m1, m2, m3] = four(&mut self.modes, c);
            gather(nodes, rows, [m0, m1, m2, m3]);
        }
        cell_products(simd, core, cells, Rows { modes: &self.modes, left: &mut self.left, right: &mut self.right });
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

/// The 45 entries for the cells of the strip, `cells` of them and up to a vector more.
#[inline(always)]
fn cell_products<T: Real, S: Simd>(simd: S, core: &CoreOf<T>, cells: usize, rows: Rows<'_, T>) {
    let Rows { modes, left, right } = rows;
    let add = |a, b| T::plus(simd, a, b);
    let sub = |a, b| T::minus(simd, a, b);
    let mul = |a, b| T::times(simd, a, b);
    let mul_add = |a, b, c| T::times_plus(simd, a, b, c);
    let [stretch0, stretch1] = core.stretch.map(|v| T::splat(simd, v));
    let shear = T::splat(simd, core.shear);
    let [bend0, bend1] = core.bend.map(|v| T::splat(simd, v));
    let [twist0, twist1] = core.twist.map(|v| T::splat(simd, v));
    let corner = T::splat(simd, core.corner);
    let zero = T::splat(simd, T::default());
    let width = T::count::<S>();
    for block in 0..cells.min(STRIP).div_ceil(width) {
        let i = (block * width).min(STRIP);
        let here = |row: usize| T::load::<S>(&modes[row][i..]);
        let next = |row: usize| T::load::<S>(&modes[row][i + 1..]);
        let sum = |row: usize| add(next(row), here(row));
        let slope = |row: usize| sub(next(row), here(row));
        let mut put = |row: usize, even, odd| {
            T::store::<S>(sub(even, odd), &mut left[row][i..]);
            T::store::<S>(add(even, odd), &mut right[row][i..]);
        };
        // Odd in x: modes x (rows 0..3), xy (3..6), xz (6..9), xyz (9..12); even in x: y (3..6), z (6..9), yz (9..12).
        let (xx, yy, zz) = (slope(0), sum(4), sum(8));
        let volume = mul(stretch1, add(add(xx, yy), zz));
        put(0, zero, mul_add(stretch0, xx, volume));
        let fxy = mul(shear, add(slope(1), sum(3)));
        put(1, zero, fxy);
        let fxz = mul(shear, add(slope(2), sum(6)));
        put(2, zero, fxz);
        let pair = |a, b| (mul_add(bend0, a, mul(bend1, b)), mul_add(bend1, a, mul(bend0, b)));
        let (gx_y, gz_y) = pair(slope(3), sum(11));
        put(3, fxy, gx_y);
        put(11, gz_y, mul(corner, slope(11)));
        let (gy_x, gz_x) = pair(slope(4), slope(8));
        put(4, mul_add(stretch0, yy, volume), gy_x);
        put(8, mul_add(stretch0, zz, volume), gz_x);
        let (gx_z, gy_z) = pair(slope(6), sum(10));
        put(6, fxz, gx_z);
        put(10, gy_z, mul(corner, slope(10)));
        let fyz = mul(shear, add(sum(5), sum(7)));
        let (tz, ty, tx) = (slope(5), slope(7), sum(9));
        let turn = mul(twist1, add(add(tx, ty), tz));
        put(5, fyz, mul_add(twist0, tz, turn));
        put(7, fyz, mul_add(twist0, ty, turn));
        put(9, mul_add(twist0, tx, turn), mul(corner, slope(9)));
    }
}

/// Working rows as the products take them.
struct Rows<'a, T> {
    modes: &'a [[T; WIDTH]; 12],
    left: &'a mut [[T; WIDTH]; 12],
    /// Place i holds what the right node of cell i gets.
    right: &'a mut [[T; WIDTH]; 12],
}

/// Undoes the sums and differences in y and z and adds to the four node rows.
#[inline(always)]
fn scatter<T: Real>(nodes: usize, left: [&[T; WIDTH]; 4], right: [&[T; WIDTH]; 4], y: [&mut [T]; 4]) {
    let cells = nodes - 1;
    let back = |v0: T, v1: T, v2: T, v3: T| {
        let (low, high) = (v0 - v2, v0 + v2);
        let (low_slope, high_slope) = (v1 - v3, v1 + v3);
        [low - low_slope, low + low_slope, high - high_slope, high + high_slope]
    };
    let [y0, y1, y2, y3] = y.map(|row| &mut row[..nodes]);
    let first = back(left[0][0], left[1][0], left[2][0], left[3][0]);
    let last = cells - 1;
    let end = back(right[0][last], right[1][last], right[2][last], right[3][last]);
    for (row, (first, end)) in [&mut *y0, &mut *y1, &mut *y2, &mut *y3].into_iter().zip(first.into_iter().zip(end)) {
        row[0] += first;
        row[cells] += end;
    }
    let [l0, l1, l2, l3] = left.map(|row| &row[1..cells]);
    let [r0, r1, r2, r3] = right.map(|row| &row[..last]);
    let [y0, y1, y2, y3] = [y0, y1, y2, y3].map(|row| &mut row[1..cells]);
    for i in 0..last {
        let [a, b, c, d] = back(l0[i] + r0[i], l1[i] + r1[i], l2[i] + r2[i], l3[i] + r3[i]);
        y0[i] += a;
        y1[i] += b;
        y2[i] += c;
        y3[i] += d;
    }
}
