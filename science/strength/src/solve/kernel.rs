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

/// Weights of as many cells as a vector holds, by Gauss point (x fastest).
pub(crate) trait Weights<S: Simd, T: Real> {
    /// At one point.
    fn at(&self, simd: S, point: usize) -> T::Vector<S>;
}

/// k0 a + k1 b + k2 c. A function of its own, always inlined, as are all steps here: a closure would be compiled without the machine's vectors.
#[inline(always)]
fn three<S: Simd, T: Real>(simd: S, k: [T; 3], a: T::Vector<S>, b: T::Vector<S>, c: T::Vector<S>) -> T::Vector<S> {
    let [k0, k1, k2] = k;
    let last = T::times(simd, T::splat(simd, k2), c);
    T::times_plus(simd, T::splat(simd, k0), a, T::times_plus(simd, T::splat(simd, k1), b, last))
}

/// Stress times weight (xx, yy, zz, xy, yz, zx) of a gradient.
#[inline(always)]
fn weighed_stress<S: Simd, T: Real>(
    simd: S,
    w: T::Vector<S>,
    [lambda, mu]: [T::Vector<S>; 2],
    g: &[[T::Vector<S>; 3]; 3],
) -> [T::Vector<S>; 6] {
    let (wl, wm) = (T::times(simd, w, lambda), T::times(simd, w, mu));
    let pressure = T::times(simd, wl, T::plus(simd, T::plus(simd, g[0][0], g[1][1]), g[2][2]));
    let twice = T::plus(simd, wm, wm);
    [
        T::times_plus(simd, twice, g[0][0], pressure),
        T::times_plus(simd, twice, g[1][1], pressure),
        T::times_plus(simd, twice, g[2][2], pressure),
        T::times(simd, wm, T::plus(simd, g[0][1], g[1][0])),
        T::times(simd, wm, T::plus(simd, g[1][2], g[2][1])),
        T::times(simd, wm, T::plus(simd, g[2][0], g[0][2])),
    ]
}

/// y = K u for as many cells as a vector holds.
#[inline(always)]
pub(crate) fn product<S: Simd, T: Real, const Q: usize>(
    simd: S,
    table: &Table<T, Q>,
    lame: [T; 2],
    weights: &impl Weights<S, T>,
    u: &[T::Vector<S>; 81],
    y: &mut [T::Vector<S>; 81],
) {
    let zero = T::splat(simd, T::default());
    let mut p: Work<T::Vector<S>> = [[[[zero; 25]; 3]; 3]; 3];
    for c in 0..3 {
        for z in 0..3 {
            let mut v = [[zero; Q]; 3];
            let mut dx = [[zero; Q]; 3];
            for y in 0..3 {
                let from = 9 * y + 27 * z + c;
                let (a, b, d) = (u[from], u[from + 3], u[from + 6]);
                for q in 0..Q {
                    v[y][q] = three::<S, T>(simd, table.n[q], a, b, d);
                    dx[y][q] = three::<S, T>(simd, table.d[q], a, b, d);
                }
            }
            let [slope_x, slope_y, value] = &mut p[c][z];
            for r in 0..Q {
                for q in 0..Q {
                    let at = q + Q * r;
                    slope_x[at] = three::<S, T>(simd, table.n[r], dx[0][q], dx[1][q], dx[2][q]);
                    slope_y[at] = three::<S, T>(simd, table.d[r], v[0][q], v[1][q], v[2][q]);
                    value[at] = three::<S, T>(simd, table.n[r], v[0][q], v[1][q], v[2][q]);
                }
            }
        }
    }
    let lame = [T::splat(simd, lame[0]), T::splat(simd, lame[1])];
    for at in 0..Q * Q {
        let mut back = [[[zero; 3]; 3]; 3];
        for t in 0..Q {
            let mut g = [[zero; 3]; 3];
            for c in 0..3 {
                g[c][0] = three::<S, T>(simd, table.n[t], p[c][0][0][at], p[c][1][0][at], p[c][2][0][at]);
                g[c][1] = three::<S, T>(simd, table.n[t], p[c][0][1][at], p[c][1][1][at], p[c][2][1][at]);
                g[c][2] = three::<S, T>(simd, table.d[t], p[c][0][2][at], p[c][1][2][at], p[c][2][2][at]);
            }
            let [xx, yy, zz, xy, yz, zx] = weighed_stress::<S, T>(simd, weights.at(simd, at + Q * Q * t), lame, &g);
            let s = [[xx, xy, zx], [xy, yy, yz], [zx, yz, zz]];
            for z in 0..3 {
                let (n, d) = (T::splat(simd, table.n[t][z]), T::splat(simd, table.d[t][z]));
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
                        let (n, d) = (T::splat(simd, table.n[r][k]), T::splat(simd, table.d[r][k]));
                        dx[q] = T::times_plus(simd, n, p[c][z][0][at], dx[q]);
                        v[q] = T::times_plus(simd, d, p[c][z][1][at], v[q]);
                        v[q] = T::times_plus(simd, n, p[c][z][2][at], v[q]);
                    }
                }
                for x in 0..3 {
                    let mut sum = zero;
                    for q in 0..Q {
                        sum = T::times_plus(simd, T::splat(simd, table.n[q][x]), v[q], sum);
                        sum = T::times_plus(simd, T::splat(simd, table.d[q][x]), dx[q], sum);
                    }
                    y[3 * (x + 3 * k + 9 * z) + c] = sum;
                }
            }
        }
    }
}
