//! y += K u of cut cells without matrices: gradients at Gauss points by sum factorisation, stress, and back, several cells a vector.
//!
//! Cost: about 15,000 multiply-adds a cell (125 points), against 6,561 of a dense matrix that would have to be held for every cut cell. Planes of points across x are
//! taken one after the other, so that working space stays in the nearest cache. Orszag 1980, J Comput Phys 37:70-92, doi 10.1016/0021-9991(80)90005-4 (memory).

#![allow(clippy::needless_range_loop, reason = "indices of a tensor read better than iterators")]

use super::basis::{GAUSS3, GAUSS5, slopes, values};
use super::batch::{Groups, LANES, gather, scatter};
use crate::multigrid::Real;
use simd::Simd;

/// Gauss points along an edge.
const Q: usize = 5;

/// Values and slopes of the three quadratics at the Gauss points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Table<T> {
    n: [[T; 3]; Q],
    d: [[T; 3]; Q],
}

impl<T: Real> Table<T> {
    pub(crate) fn new(edge: f64) -> Self {
        let at = |q: usize| GAUSS5[q].0;
        Self {
            n: std::array::from_fn(|q| values(at(q)).map(T::of)),
            d: std::array::from_fn(|q| slopes(at(q)).map(|x| T::of(x / edge))),
        }
    }
}

/// Weights of a whole cell at 27 points, for one unit of volume.
pub(crate) fn whole_weights() -> [f64; 27] {
    std::array::from_fn(|n| GAUSS3[n % 3].1 * GAUSS3[n / 3 % 3].1 * GAUSS3[n / 9].1)
}

/// Adds the product of all cells of a batch, whose weights stand by block and point.
#[inline(always)]
#[allow(clippy::too_many_arguments, reason = "one step of one loop; a struct would be built for it alone")]
pub(crate) fn add<S: Simd, T: Real>(
    simd: S,
    table: &Table<T>,
    lame: [T; 2],
    cells: &Groups<27>,
    weights: &[[T; LANES]],
    x: &[T],
    base: usize,
    y: &mut [T],
) {
    let width = T::count::<S>();
    let zero = T::splat(simd, T::default());
    let (mut u, mut out) = ([zero; 81], [zero; 81]);
    for first in (0..cells.count).step_by(width) {
        gather::<S, T, 27>(&cells.nodes[first..first + width], x, &mut u);
        product::<S, T>(simd, table, lame, &weights[125 * (first / LANES)..][..125], first % LANES, &u, &mut out);
        let real = (cells.count - first).min(width);
        scatter::<S, T, 27>(&cells.nodes[first..first + real], &out, base, y);
    }
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

/// What goes along z at one point of x and y: component, layer of nodes, kind (slope in x, slope in y, value).
type Column<V> = [[[V; 3]; 3]; 3];

/// Through the points of a column: gradient, stress and back.
#[inline(always)]
fn column<S: Simd, T: Real>(
    simd: S,
    table: &Table<T>,
    lame: [T::Vector<S>; 2],
    weights: [T::Vector<S>; Q],
    p: &Column<T::Vector<S>>,
) -> Column<T::Vector<S>> {
    let zero = T::splat(simd, T::default());
    let mut back = [[[zero; 3]; 3]; 3];
    for t in 0..Q {
        let mut g = [[zero; 3]; 3];
        for c in 0..3 {
            g[c][0] = three::<S, T>(simd, table.n[t], p[c][0][0], p[c][1][0], p[c][2][0]);
            g[c][1] = three::<S, T>(simd, table.n[t], p[c][0][1], p[c][1][1], p[c][2][1]);
            g[c][2] = three::<S, T>(simd, table.d[t], p[c][0][2], p[c][1][2], p[c][2][2]);
        }
        let [xx, yy, zz, xy, yz, zx] = weighed_stress::<S, T>(simd, weights[t], lame, &g);
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
    back
}

/// y = K u for as many cells as a vector holds; their weights begin at `lane` of the rows.
#[inline(always)]
fn product<S: Simd, T: Real>(
    simd: S,
    table: &Table<T>,
    lame: [T; 2],
    weights: &[[T; LANES]],
    lane: usize,
    u: &[T::Vector<S>; 81],
    y: &mut [T::Vector<S>; 81],
) {
    let zero = T::splat(simd, T::default());
    let lame = [T::splat(simd, lame[0]), T::splat(simd, lame[1])];
    *y = [zero; 81];
    for q in 0..Q {
        // Value and slope along x of the nine lines, by component; and what comes back.
        let (mut v, mut dx) = ([[zero; 9]; 3], [[zero; 9]; 3]);
        let (mut on_v, mut on_dx) = ([[zero; 9]; 3], [[zero; 9]; 3]);
        for line in 0..9 {
            for c in 0..3 {
                let (a, b, d) = (u[9 * line + c], u[9 * line + c + 3], u[9 * line + c + 6]);
                v[c][line] = three::<S, T>(simd, table.n[q], a, b, d);
                dx[c][line] = three::<S, T>(simd, table.d[q], a, b, d);
            }
        }
        for r in 0..Q {
            let mut p = [[[zero; 3]; 3]; 3];
            for c in 0..3 {
                for z in 0..3 {
                    let (a, b, d) = (3 * z, 3 * z + 1, 3 * z + 2);
                    p[c][z][0] = three::<S, T>(simd, table.n[r], dx[c][a], dx[c][b], dx[c][d]);
                    p[c][z][1] = three::<S, T>(simd, table.d[r], v[c][a], v[c][b], v[c][d]);
                    p[c][z][2] = three::<S, T>(simd, table.n[r], v[c][a], v[c][b], v[c][d]);
                }
            }
            let mut w = [zero; Q];
            for t in 0..Q {
                w[t] = T::load::<S>(&weights[q + Q * (r + Q * t)][lane..]);
            }
            let back = column::<S, T>(simd, table, lame, w, &p);
            for k in 0..3 {
                let (n, d) = (T::splat(simd, table.n[r][k]), T::splat(simd, table.d[r][k]));
                for c in 0..3 {
                    for z in 0..3 {
                        let (at, [on_x, on_y, on]) = (k + 3 * z, back[c][z]);
                        on_dx[c][at] = T::times_plus(simd, n, on_x, on_dx[c][at]);
                        on_v[c][at] = T::times_plus(simd, d, on_y, on_v[c][at]);
                        on_v[c][at] = T::times_plus(simd, n, on, on_v[c][at]);
                    }
                }
            }
        }
        for x in 0..3 {
            let (n, d) = (T::splat(simd, table.n[q][x]), T::splat(simd, table.d[q][x]));
            for line in 0..9 {
                for c in 0..3 {
                    let sum = &mut y[9 * line + 3 * x + c];
                    *sum = T::times_plus(simd, n, on_v[c][line], *sum);
                    *sum = T::times_plus(simd, d, on_dx[c][line], *sum);
                }
            }
        }
    }
}
