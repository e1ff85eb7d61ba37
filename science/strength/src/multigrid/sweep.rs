//! y += K u along a row of equal cells, in the Walsh-Hadamard basis: matrix-free, about 60 operations an unknown instead of 192.
//!
//! Three passes over a strip of at most 64 cells, each a vector of nodes or cells along x at a time:
//! (1) the four node rows around the cells become sums and differences in y and z; (2) each cell takes the sum and difference of two
//! neighbours in x, multiplies by the 45 entries (eight values) and splits the result into what its left and its right nodes get;
//! (3) each node adds both, and the sums and differences in y and z are undone. Sums are in a fixed order: the same bytes always.

use simd::Simd;

use super::element::Core;
use super::real::Real;

/// Cells of a strip.
pub(crate) const STRIP: usize = 64;
/// Numbers of the widest vector.
const WIDEST: usize = 16;
/// Nodes of a strip, rounded up to whole vectors.
const WIDTH: usize = STRIP + WIDEST;

/// Working rows of a strip: twelve rows (4 modes in y and z, 3 components) of node sums, and of what goes left and right. They begin where vectors do.
#[repr(align(64))]
pub(crate) struct Strip<T> {
    modes: [[T; WIDTH]; 12],
    /// What the left node of cell i gets, and nothing beyond the last cell.
    left: [[T; WIDTH]; 12],
    /// Place `WIDEST + i` holds what the right node of cell i gets; nothing before the first cell.
    right: [[T; WIDTH + WIDEST]; 12],
}

impl<T: Real> Strip<T> {
    pub(crate) fn new() -> Self {
        let zero = [[T::default(); WIDTH]; 12];
        Self { modes: zero, left: zero, right: [[T::default(); WIDTH + WIDEST]; 12] }
    }

    /// Adds K u of `cells` cells: `u[3 q + c]` and `y[3 q + c]` hold the `cells + 1` nodes of component c in row q = y + 2 z.
    #[inline(always)]
    pub(crate) fn add<S: Simd>(&mut self, simd: S, core: &CoreOf<T>, cells: usize, u: [&[T]; 12], y: [&mut [T]; 12]) {
        let nodes = cells + 1;
        for c in 0..3 {
            let rows = [u[9 + c], u[6 + c], u[3 + c], u[c]];
            let [m0, m1, m2, m3] = four(&mut self.modes, c);
            gather(simd, nodes, rows, [m0, m1, m2, m3]);
        }
        cell_products(simd, core, cells, Rows { modes: &self.modes, left: &mut self.left, right: &mut self.right });
        self.left.iter_mut().for_each(|row| row[cells] = T::default());
        let mut y = y;
        for c in 0..3 {
            let [a, b, d, e] = four_rows(&mut y, c);
            let left = [&self.left[c], &self.left[3 + c], &self.left[6 + c], &self.left[9 + c]];
            let right = [&self.right[c], &self.right[3 + c], &self.right[6 + c], &self.right[9 + c]];
            scatter(simd, nodes, left, right, [a, b, d, e]);
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
fn gather<T: Real, S: Simd>(simd: S, nodes: usize, u: [&[T]; 4], m: [&mut [T; WIDTH]; 4]) {
    let width = T::count::<S>();
    for i in (0..nodes).step_by(width) {
        let (u0, u1) = (some(simd, &u[3][i..nodes]), some(simd, &u[2][i..nodes]));
        let (u2, u3) = (some(simd, &u[1][i..nodes]), some(simd, &u[0][i..nodes]));
        let (low, high) = (T::plus(simd, u0, u1), T::plus(simd, u2, u3));
        let (low_slope, high_slope) = (T::minus(simd, u1, u0), T::minus(simd, u3, u2));
        T::store::<S>(T::plus(simd, low, high), &mut m[0][i..]);
        T::store::<S>(T::plus(simd, low_slope, high_slope), &mut m[1][i..]);
        T::store::<S>(T::minus(simd, high, low), &mut m[2][i..]);
        T::store::<S>(T::minus(simd, high_slope, low_slope), &mut m[3][i..]);
    }
}

/// A vector of the first numbers of a row, filled up with zeros at its end.
#[inline(always)]
fn some<T: Real, S: Simd>(simd: S, row: &[T]) -> T::Vector<S> {
    if row.len() < T::count::<S>() { T::load_few(simd, row) } else { T::load::<S>(row) }
}

/// The 45 entries for the cells of the strip, `cells` of them and up to a vector more. Functions and no closures, which are compiled without the machine's vectors
/// wherever they are not inlined.
#[inline(always)]
fn cell_products<T: Real, S: Simd>(simd: S, core: &CoreOf<T>, cells: usize, mut rows: Rows<'_, T>) {
    let splat = core.splat(simd);
    let width = T::count::<S>();
    for block in 0..cells.min(STRIP).div_ceil(width) {
        rows.product(simd, &splat, (block * width).min(STRIP));
    }
}

/// The values of a material in every lane.
struct Splat<V> {
    stretch: [V; 2],
    shear: V,
    bend: [V; 2],
    twist: [V; 2],
    corner: V,
}

impl<T: Real> CoreOf<T> {
    #[inline(always)]
    fn splat<S: Simd>(&self, simd: S) -> Splat<T::Vector<S>> {
        Splat {
            stretch: [T::splat(simd, self.stretch[0]), T::splat(simd, self.stretch[1])],
            shear: T::splat(simd, self.shear),
            bend: [T::splat(simd, self.bend[0]), T::splat(simd, self.bend[1])],
            twist: [T::splat(simd, self.twist[0]), T::splat(simd, self.twist[1])],
            corner: T::splat(simd, self.corner),
        }
    }
}

/// Working rows as the products take them.
struct Rows<'a, T> {
    modes: &'a [[T; WIDTH]; 12],
    left: &'a mut [[T; WIDTH]; 12],
    right: &'a mut [[T; WIDTH + WIDEST]; 12],
}

impl<T: Real> Rows<'_, T> {
    /// A vector of cells from cell i on. Odd in x: modes x (rows 0..3), xy (3..6), xz (6..9), xyz (9..12); even in x: y (3..6), z (6..9), yz (9..12).
    #[inline(always)]
    fn product<S: Simd>(&mut self, simd: S, k: &Splat<T::Vector<S>>, i: usize) {
        let zero = T::splat(simd, T::default());
        let (xx, yy, zz) = (self.slope(simd, 0, i), self.sum(simd, 4, i), self.sum(simd, 8, i));
        let volume = T::times(simd, k.stretch[1], T::plus(simd, T::plus(simd, xx, yy), zz));
        self.put(simd, 0, i, [zero, T::times_plus(simd, k.stretch[0], xx, volume)]);
        let fxy = T::times(simd, k.shear, T::plus(simd, self.slope(simd, 1, i), self.sum(simd, 3, i)));
        self.put(simd, 1, i, [zero, fxy]);
        let fxz = T::times(simd, k.shear, T::plus(simd, self.slope(simd, 2, i), self.sum(simd, 6, i)));
        self.put(simd, 2, i, [zero, fxz]);
        let [gx_y, gz_y] = pair::<T, S>(simd, k.bend, [self.slope(simd, 3, i), self.sum(simd, 11, i)]);
        self.put(simd, 3, i, [fxy, gx_y]);
        let corner = T::times(simd, k.corner, self.slope(simd, 11, i));
        self.put(simd, 11, i, [gz_y, corner]);
        let [gy_x, gz_x] = pair::<T, S>(simd, k.bend, [self.slope(simd, 4, i), self.slope(simd, 8, i)]);
        self.put(simd, 4, i, [T::times_plus(simd, k.stretch[0], yy, volume), gy_x]);
        self.put(simd, 8, i, [T::times_plus(simd, k.stretch[0], zz, volume), gz_x]);
        let [gx_z, gy_z] = pair::<T, S>(simd, k.bend, [self.slope(simd, 6, i), self.sum(simd, 10, i)]);
        self.put(simd, 6, i, [fxz, gx_z]);
        let corner = T::times(simd, k.corner, self.slope(simd, 10, i));
        self.put(simd, 10, i, [gy_z, corner]);
        let fyz = T::times(simd, k.shear, T::plus(simd, self.sum(simd, 5, i), self.sum(simd, 7, i)));
        let (tz, ty, tx) = (self.slope(simd, 5, i), self.slope(simd, 7, i), self.sum(simd, 9, i));
        let turn = T::times(simd, k.twist[1], T::plus(simd, T::plus(simd, tx, ty), tz));
        self.put(simd, 5, i, [fyz, T::times_plus(simd, k.twist[0], tz, turn)]);
        self.put(simd, 7, i, [fyz, T::times_plus(simd, k.twist[0], ty, turn)]);
        let corner = T::times(simd, k.corner, self.slope(simd, 9, i));
        self.put(simd, 9, i, [T::times_plus(simd, k.twist[0], tx, turn), corner]);
    }

    /// Right and left node of each cell together.
    #[inline(always)]
    fn sum<S: Simd>(&self, simd: S, row: usize, i: usize) -> T::Vector<S> {
        T::plus(simd, T::load::<S>(&self.modes[row][i + 1..]), T::load::<S>(&self.modes[row][i..]))
    }

    /// Right less left node of each cell.
    #[inline(always)]
    fn slope<S: Simd>(&self, simd: S, row: usize, i: usize) -> T::Vector<S> {
        T::minus(simd, T::load::<S>(&self.modes[row][i + 1..]), T::load::<S>(&self.modes[row][i..]))
    }

    /// What is even and odd in x, to left and right nodes.
    #[inline(always)]
    fn put<S: Simd>(&mut self, simd: S, row: usize, i: usize, [even, odd]: [T::Vector<S>; 2]) {
        T::store::<S>(T::minus(simd, even, odd), &mut self.left[row][i..]);
        T::store::<S>(T::plus(simd, even, odd), &mut self.right[row][WIDEST + i..]);
    }
}

/// Two strains of bending to their two forces.
#[inline(always)]
fn pair<T: Real, S: Simd>(simd: S, k: [T::Vector<S>; 2], [a, b]: [T::Vector<S>; 2]) -> [T::Vector<S>; 2] {
    [T::times_plus(simd, k[0], a, T::times(simd, k[1], b)), T::times_plus(simd, k[1], a, T::times(simd, k[0], b))]
}

/// Undoes the sums and differences in y and z and adds to the four node rows.
#[inline(always)]
fn scatter<T: Real, S: Simd>(
    simd: S,
    nodes: usize,
    left: [&[T; WIDTH]; 4],
    right: [&[T; WIDTH + WIDEST]; 4],
    y: [&mut [T]; 4],
) {
    let width = T::count::<S>();
    let [y0, y1, y2, y3] = y;
    for i in (0..nodes).step_by(width) {
        let (v0, v1) = (at_nodes(simd, left[0], right[0], i), at_nodes(simd, left[1], right[1], i));
        let (v2, v3) = (at_nodes(simd, left[2], right[2], i), at_nodes(simd, left[3], right[3], i));
        let (low, high) = (T::minus(simd, v0, v2), T::plus(simd, v0, v2));
        let (low_slope, high_slope) = (T::minus(simd, v1, v3), T::plus(simd, v1, v3));
        add_some(simd, T::minus(simd, low, low_slope), &mut y0[i..nodes]);
        add_some(simd, T::plus(simd, low, low_slope), &mut y1[i..nodes]);
        add_some(simd, T::minus(simd, high, high_slope), &mut y2[i..nodes]);
        add_some(simd, T::plus(simd, high, high_slope), &mut y3[i..nodes]);
    }
}

/// What the cells on both sides of nodes from i on give them.
#[inline(always)]
fn at_nodes<T: Real, S: Simd>(simd: S, left: &[T; WIDTH], right: &[T; WIDTH + WIDEST], i: usize) -> T::Vector<S> {
    T::plus(simd, T::load::<S>(&left[i..]), T::load::<S>(&right[WIDEST + i - 1..]))
}

/// Adds a vector to the first numbers of a row, or to all of a shorter one.
#[inline(always)]
fn add_some<T: Real, S: Simd>(simd: S, value: T::Vector<S>, row: &mut [T]) {
    let sum = T::plus(simd, value, some(simd, row));
    if row.len() < T::count::<S>() { T::store_few(simd, sum, row) } else { T::store::<S>(sum, row) }
}

#[cfg(test)]
mod tests {
    use super::super::element::cube_stiffness;
    use super::*;

    /// Greatest difference from the cube's matrix, in parts of the largest force, over strips of every length.
    fn worst<S: Simd>(simd: S) -> f64 {
        let (lambda, mu, h) = (0.7, 0.4, 0.5);
        let (core, k) = (CoreOf::new(&Core::new(lambda, mu, h)), cube_stiffness(lambda, mu, h));
        let mut strip = Strip::new();
        let mut worst = 0.0f64;
        // From the longest down, so that what is left from before lies beyond the end.
        for cells in (1..=STRIP).rev() {
            let nodes = cells + 1;
            let u: Vec<Vec<f64>> =
                (0..12).map(|r| (0..nodes).map(|i| ((r * 97 + i * 31) as f64).sin()).collect()).collect();
            let mut y = vec![vec![0.25f64; nodes]; 12];
            let mut expected = y.clone();
            for cell in 0..cells {
                for a in 0..24 {
                    let node = |a: usize| (3 * (a / 6) + a % 3, cell + a / 3 % 2);
                    let force: f64 = (0..24).map(|b| k[24 * a + b] * u[node(b).0][node(b).1]).sum();
                    expected[node(a).0][node(a).1] += force;
                }
            }
            let mut rows = y.iter_mut();
            let to: [&mut [f64]; 12] = std::array::from_fn(|_| rows.next().map_or(&mut [][..], |row| &mut row[..]));
            strip.add(simd, &core, cells, std::array::from_fn(|r| &u[r][..]), to);
            let size = expected.iter().flatten().fold(0.0f64, |a, b| a.max(b.abs()));
            let apart = y.iter().flatten().zip(expected.iter().flatten()).map(|(a, b)| (a - b).abs());
            worst = apart.fold(worst, |a, b| a.max(b / size));
        }
        worst
    }

    #[test]
    fn strips_of_every_length_equal_the_matrix_on_vectors_of_every_width() {
        assert!(worst(simd::Scalar) < 1e-13);
        assert!(worst(simd::Scalar128b) < 1e-13);
        assert!(worst(simd::Scalar256b) < 1e-13);
        assert!(worst(simd::Scalar512b) < 1e-13);
    }
}
