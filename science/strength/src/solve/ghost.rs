//! Penalty on the jumps of first and second normal derivatives over a face between two cells of one body.
//!
//! g1 h [du/dn]^2 + g2 h^3 [d2u/dn2]^2 over the face, times lambda + 2 mu: a displacement quadratic over both cells costs nothing, a
//! sliver is tied to its neighbour (Burman 2010, C R Math 348:1217-1220, memory; second derivatives as in Burman, Hansbo 2012, Appl
//! Numer Math 62:328-341, memory).

use crate::multigrid::{Real, packed_len};

const FIRST: f64 = 1e-2;
const SECOND: f64 = 1e-3;
const SLOPE: [f64; 5] = [1.0, -4.0, 6.0, -4.0, 1.0];
const BEND: [f64; 5] = [4.0, -8.0, 0.0, 8.0, -4.0];
/// Mass of the three quadratics over an edge, times 30.
const MASS: [[f64; 3]; 3] = [[4.0, 2.0, -1.0], [2.0, 16.0, 2.0], [-1.0, 2.0, 4.0]];

/// The 45 nodes of two cells beside each other along `axis`: [5 along the axis][9 over the face].
pub(crate) fn nodes(a: &[u32; 27], b: &[u32; 27], axis: usize) -> [[u32; 9]; 5] {
    let stride = [1, 3, 9];
    let (s, t, n) = (stride[(axis + 1) % 3], stride[(axis + 2) % 3], stride[axis]);
    std::array::from_fn(|i| {
        std::array::from_fn(|f| {
            let across = (f % 3) * s + (f / 3) * t;
            if i < 3 { a[across + i * n] } else { b[across + (i - 2) * n] }
        })
    })
}

/// Product of the face matrix with values [5][9 nodes x 3 components], per unit of modulus and cell edge.
#[inline(always)]
pub(crate) fn product<T: Real>(u: &[[T; 27]; 5], y: &mut [[T; 27]; 5]) {
    let zero = [T::default(); 27];
    let (mut first, mut second) = (zero, zero);
    for i in 0..5 {
        let (s, b) = (T::of(SLOPE[i]), T::of(BEND[i]));
        for k in 0..27 {
            first[k] += s * u[i][k];
            second[k] += b * u[i][k];
        }
    }
    let first = mass(mass(first, 3, 9), 9, 3);
    let second = mass(mass(second, 3, 9), 9, 3);
    for i in 0..5 {
        let (s, b) = (T::of(FIRST * SLOPE[i] / 900.0), T::of(SECOND * BEND[i] / 900.0));
        for k in 0..27 {
            y[i][k] = s * first[k] + b * second[k];
        }
    }
}

/// The one-dimensional mass along the index with stride `step`; `other` is the stride of the index beside it.
#[inline(always)]
fn mass<T: Real>(v: [T; 27], step: usize, other: usize) -> [T; 27] {
    let mut out = [T::default(); 27];
    let m = MASS.map(|row| row.map(T::of));
    for o in 0..3 {
        for c in 0..3 {
            let base = o * other + c;
            for i in 0..3 {
                out[base + i * step] = m[i][0] * v[base] + m[i][1] * v[base + step] + m[i][2] * v[base + 2 * step];
            }
        }
    }
    out
}

/// Diagonal of the face matrix at [5][9].
pub(crate) fn diagonal() -> [[f64; 9]; 5] {
    std::array::from_fn(|i| {
        let jump = FIRST * SLOPE[i] * SLOPE[i] + SECOND * BEND[i] * BEND[i];
        std::array::from_fn(|f| jump * MASS[f % 3][f % 3] * MASS[f / 3][f / 3] / 900.0)
    })
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
