//! Penalty on the jumps of first and second normal derivatives over a face between two cells of one body.
//!
//! g1 h [du/dn]^2 + g2 h^3 [d2u/dn2]^2 over the face, times lambda + 2 mu: a displacement quadratic over both cells costs nothing, a
//! sliver is tied to its neighbour (Burman 2010, C R Math 348:1217-1220, memory; second derivatives as in Burman, Hansbo 2012, Appl
//! Numer Math 62:328-341, memory).

use super::batch::{Groups, LANES, gather, scatter};
use crate::multigrid::{Real, packed_len};
use simd::Simd;

const FIRST: f64 = 1e-2;
const SECOND: f64 = 1e-3;
const SLOPE: [f64; 5] = [1.0, -4.0, 6.0, -4.0, 1.0];
const BEND: [f64; 5] = [4.0, -8.0, 0.0, 8.0, -4.0];
/// Mass of the three quadratics over an edge, times 30.
const MASS: [[f64; 3]; 3] = [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]];

/// Places among the nodes of a face of those in the middle of its two cells.
pub(crate) const MIDDLES: [usize; 2] = [13, 31];

/// The 45 nodes of two cells beside each other along `axis`: 9 over the face at each of 5 places along it.
pub(crate) fn nodes(a: &[u32; 27], b: &[u32; 27], axis: usize) -> [u32; 45] {
    let stride = [1, 3, 9];
    let (s, t, n) = (stride[(axis + 1) % 3], stride[(axis + 2) % 3], stride[axis]);
    std::array::from_fn(|k| {
        let (i, f) = (k / 9, k % 9);
        let across = (f % 3) * s + (f / 3) * t;
        if i < 3 { a[across + i * n] } else { b[across + (i - 2) * n] }
    })
}

/// Adds the product of all faces, several a vector, each with its factor.
#[inline(always)]
pub(crate) fn add<S: Simd, T: Real>(simd: S, faces: &Groups<45>, factors: &[f64], x: &[T], base: usize, y: &mut [T]) {
    let width = T::count::<S>();
    let zero = T::splat(simd, T::default());
    let (mut u, mut out) = ([zero; 135], [zero; 135]);
    for first in (0..faces.count).step_by(width) {
        let real = (faces.count - first).min(width);
        let mut row = [T::default(); LANES];
        for (to, factor) in row.iter_mut().zip(&factors[first..first + real]) {
            *to = T::of(*factor);
        }
        gather::<S, T, 45>(&faces.nodes[first..first + width], x, &mut u);
        for c in 0..3 {
            product::<S, T>(simd, T::load::<S>(&row), c, &u, &mut out);
        }
        scatter::<S, T, 45>(&faces.nodes[first..first + real], &out, base, y);
    }
}

/// Product of the face matrix with one component of displacements at 5 x 9 nodes: jumps of slope and curvature, their mass over the face, and back.
#[inline(always)]
fn product<S: Simd, T: Real>(
    simd: S,
    factor: T::Vector<S>,
    c: usize,
    u: &[T::Vector<S>; 135],
    y: &mut [T::Vector<S>; 135],
) {
    let zero = T::splat(simd, T::default());
    let (four, six, eight) = (T::splat(simd, T::of(4.0)), T::splat(simd, T::of(6.0)), T::splat(simd, T::of(8.0)));
    let (mut slope, mut bend) = ([zero; 9], [zero; 9]);
    for f in 0..9 {
        let at = 3 * f + c;
        let (outer, inner) = (T::plus(simd, u[at], u[at + 108]), T::plus(simd, u[at + 27], u[at + 81]));
        slope[f] = T::minus(simd, T::times_plus(simd, six, u[at + 54], outer), T::times(simd, four, inner));
        let (outer, inner) = (T::minus(simd, u[at], u[at + 108]), T::minus(simd, u[at + 27], u[at + 81]));
        bend[f] = T::minus(simd, T::times(simd, four, outer), T::times(simd, eight, inner));
    }
    mass::<S, T>(simd, T::times(simd, factor, T::splat(simd, T::of(FIRST / 900.0))), &mut slope);
    mass::<S, T>(simd, T::times(simd, factor, T::splat(simd, T::of(SECOND / 900.0))), &mut bend);
    for f in 0..9 {
        let (at, s, b) = (3 * f + c, slope[f], bend[f]);
        let (outer, inner) = (T::times(simd, four, b), T::times(simd, eight, b));
        let pull = T::times(simd, four, s);
        y[at] = T::plus(simd, s, outer);
        y[at + 27] = T::minus(simd, zero, T::plus(simd, pull, inner));
        y[at + 54] = T::times(simd, six, s);
        y[at + 81] = T::minus(simd, inner, pull);
        y[at + 108] = T::minus(simd, s, outer);
    }
}

/// Values at the nine nodes of a face times a factor and its mass.
#[inline(always)]
fn mass<S: Simd, T: Real>(simd: S, factor: T::Vector<S>, v: &mut [T::Vector<S>; 9]) {
    let (two, four, sixteen) = (T::splat(simd, T::of(2.0)), T::splat(simd, T::of(4.0)), T::splat(simd, T::of(16.0)));
    for step in [1, 3] {
        for k in 0..3 {
            let first = k * (4 - step);
            let (a, b, c) = (v[first], v[first + step], v[first + 2 * step]);
            let middle = T::times(simd, two, b);
            v[first] = T::times_plus(simd, four, a, T::minus(simd, middle, c));
            v[first + step] = T::times_plus(simd, sixteen, b, T::times(simd, two, T::plus(simd, a, c)));
            v[first + 2 * step] = T::times_plus(simd, four, c, T::minus(simd, middle, a));
        }
    }
    for v in v.iter_mut() {
        *v = T::times(simd, factor, *v);
    }
}

/// Entry of the face matrix between two nodes [5][9], the same for every component.
pub(crate) fn entry([i, f]: [usize; 2], [j, g]: [usize; 2]) -> f64 {
    let jump = FIRST * SLOPE[i] * SLOPE[j] + SECOND * BEND[i] * BEND[j];
    jump * MASS[f % 3][g % 3] * MASS[f / 3][g / 3] / 900.0
}

/// The face matrix on trilinear displacements (packed lower triangle of 12 x 12): nodes [3 along the axis][4 over the face].
pub(crate) fn trilinear() -> Vec<f64> {
    // Along the axis: a trilinear field has slopes constant in each cell; second derivatives vanish.
    const KINK: [f64; 3] = [-1.0, 2.0, -1.0];
    let flat = |a: usize, b: usize| if a == b { 1.0 / 3.0 } else { 1.0 / 6.0 };
    let mut out = Vec::with_capacity(packed_len(12));
    for i in 0..12 {
        for j in 0..=i {
            let (f, g) = (i % 4, j % 4);
            out.push(FIRST * KINK[i / 4] * KINK[j / 4] * flat(f & 1, g & 1) * flat(f >> 1, g >> 1));
        }
    }
    out
}
