//! y += K u of quadratic cells without matrices: gradients at Gauss points by sum factorisation, stress, and back, several cells a vector.
//!
//! Cost: about 15,000 multiply-adds a cut cell (125 points) and 4,000 a whole one (27 points), against 6,561 of a dense matrix that would
//! have to be held for every cut cell. Orszag 1980, J Comput Phys 37:70-92, doi 10.1016/0021-9991(80)90005-4 (memory).

#![allow(clippy::needless_range_loop, reason = "indices of a tensor read better than iterators")]

use super::basis::{GAUSS3, GAUSS5, slopes, values};
use crate::multigrid::Real;
use simd::Simd;

/// Values and slopes of the three quadratics at Q Gauss points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Table<T, const Q: usize> {
    n: [[T; 3]; Q],
    d: [[T; 3]; Q],
}

/// For whole cells, and for cut ones.
pub(crate) fn whole_table<T: Real>(edge: f64) -> Table<T, 3> {
    let at = |q: usize| GAUSS3[q].0;
    Table {
        n: std::array::from_fn(|q| values(at(q)).map(T::of)),
        d: std::array::from_fn(|q| slopes(at(q)).map(|x| T::of(x / edge))),
    }
}

/// As above.
pub(crate) fn cut_table<T: Real>(edge: f64) -> Table<T, 5> {
    let at = |q: usize| GAUSS5[q].0;
    Table {
        n: std::array::from_fn(|q| values(at(q)).map(T::of)),
        d: std::array::from_fn(|q| slopes(at(q)).map(|x| T::of(x / edge))),
    }
}

/// Weights of a whole cell at 27 points, for one unit of volume.
pub(crate) fn whole_weights() -> [f64; 27] {
    std::array::from_fn(|n| GAUSS3[n % 3].1 * GAUSS3[n / 3 % 3].1 * GAUSS3[n / 9].1)
}

/// Working space: three kinds (slope in x, slope in y, value) at Q x Q points, three layers of nodes, three components.
type Work<V> = [[[[V; 25]; 3]; 3]; 3];

/// y = K u for as many cells as a vector holds; `weight(q)` gives their weights at point q (x fastest).
#[inline(always)]
pub(crate) fn product<S: Simd, T: Real, const Q: usize>(
    simd: S,
    table: &Table<T, Q>,
    lame: [T; 2],
    weight: impl Fn(usize) -> T::Vector<S>,
    u: &[T::Vector<S>; 81],
    y: &mut [T::Vector<S>; 81],
) {
    let zero = T::splat(simd, T::default());
    let splat = |x: T| T::splat(simd, x);
    let three = |k: [T; 3], a: T::Vector<S>, b: T::Vector<S>, c: T::Vector<S>| {
        T::times_plus(simd, splat(k[0]), a, T::times_plus(simd, splat(k[1]), b, T::times(simd, splat(k[2]), c)))
    };
    let mut p: Work<T::Vector<S>> = [[[[zero; 25]; 3]; 3]; 3];
    for c in 0..3 {
        for z in 0..3 {
            let node = |x: usize, y: usize| u[3 * (x + 3 * y + 9 * z) + c];
            let mut v = [[zero; Q]; 3];
            let mut dx = [[zero; Q]; 3];
            for y in 0..3 {
                for q in 0..Q {
                    v[y][q] = three(table.n[q], node(0, y), node(1, y), node(2, y));
                    dx[y][q] = three(table.d[q], node(0, y), node(1, y), node(2, y));
                }
            }
            for r in 0..Q {
                for q in 0..Q {
                    let at = q + Q * r;
                    p[c][z][0][at] = three(table.n[r], dx[0][q], dx[1][q], dx[2][q]);
                    p[c][z][1][at] = three(table.d[r], v[0][q], v[1][q], v[2][q]);
                    p[c][z][2][at] = three(table.n[r], v[0][q], v[1][q], v[2][q]);
                }
            }
        }
    }
    let (lambda, mu) = (splat(lame[0]), splat(lame[1]));
    for at in 0..Q * Q {
        let mut back = [[[zero; 3]; 3]; 3];
        for t in 0..Q {
            let g: [[T::Vector<S>; 3]; 3] = std::array::from_fn(|c| {
                let of = |kind: usize, k: [T; 3]| three(k, p[c][0][kind][at], p[c][1][kind][at], p[c][2][kind][at]);
                [of(0, table.n[t]), of(1, table.n[t]), of(2, table.d[t])]
            });
            let w = weight(at + Q * Q * t);
            let (wl, wm) = (T::times(simd, w, lambda), T::times(simd, w, mu));
            let trace = T::plus(simd, T::plus(simd, g[0][0], g[1][1]), g[2][2]);
            let pressure = T::times(simd, wl, trace);
            let wm2 = T::plus(simd, wm, wm);
            let normal = |i: usize| T::times_plus(simd, wm2, g[i][i], pressure);
            let shear = |i: usize, j: usize| T::times(simd, wm, T::plus(simd, g[i][j], g[j][i]));
            let (xy, yz, zx) = (shear(0, 1), shear(1, 2), shear(2, 0));
            let s = [[normal(0), xy, zx], [xy, normal(1), yz], [zx, yz, normal(2)]];
            for z in 0..3 {
                let (n, d) = (splat(table.n[t][z]), splat(table.d[t][z]));
                for c in 0..3 {
                    back[c][z][0] = T::times_plus(simd, n, s[c][0], back[c][z][0]);
                    back[c][z][1] = T::times_plus(simd, n, s[c][1], back[c][z][1]);
                    back[c][z][2] = T::times_plus(simd, d, s[c][2], back[c][z][2]);
                }
            }
        }
        for c in 0..3 {
            for z in 0..3 {
                for kind in 0..3 {
                    p[c][z][kind][at] = back[c][z][kind];
                }
            }
        }
    }
    for c in 0..3 {
        for z in 0..3 {
            for k in 0..3 {
                let (mut v, mut dx) = ([zero; Q], [zero; Q]);
                for q in 0..Q {
                    for r in 0..Q {
                        let at = q + Q * r;
                        let (n, d) = (splat(table.n[r][k]), splat(table.d[r][k]));
                        dx[q] = T::times_plus(simd, n, p[c][z][0][at], dx[q]);
                        v[q] = T::times_plus(simd, d, p[c][z][1][at], v[q]);
                        v[q] = T::times_plus(simd, n, p[c][z][2][at], v[q]);
                    }
                }
                for x in 0..3 {
                    let mut sum = zero;
                    for q in 0..Q {
                        sum = T::times_plus(simd, splat(table.n[q][x]), v[q], sum);
                        sum = T::times_plus(simd, splat(table.d[q][x]), dx[q], sum);
                    }
                    y[3 * (x + 3 * k + 9 * z) + c] = sum;
                }
            }
        }
    }
}
