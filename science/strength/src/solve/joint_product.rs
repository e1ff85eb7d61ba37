//! The product of what holds and joins (`joint`): points of one joint side by side in a vector, displacement and slopes at them by sum factorisation.

#![allow(clippy::needless_range_loop, reason = "indices of a tensor read better than iterators")]

use super::batch::LANES;
use super::joint::{Law, Point};
use crate::multigrid::Real;
use simd::Simd;

/// Values and slopes along the three axes of the three quadratics, by point.
type Axes<V> = [[[V; 3]; 2]; 3];

/// y = K u of one joint: `u`, `y` hold the 27 nodes of each side, 3 components each.
#[inline(always)]
pub(crate) fn product<S: Simd, T: Real>(simd: S, law: &Law, points: &[Point], u: &[[T; 81]; 2], y: &mut [[T; 81]; 2]) {
    let zero = T::splat(simd, T::default());
    let mut sums = [[zero; 81]; 2];
    let sides = law.sides.iter().flatten().count();
    for chunk in points.chunks(T::count::<S>()) {
        let (n, area, local) = rows::<S, T>(chunk);
        let mut axes = [[[[zero; 3]; 2]; 3]; 2];
        let (mut jump, mut pull) = ([zero; 3], [zero; 3]);
        for k in 0..sides {
            let Some(side) = &law.sides[k] else { continue };
            axes[k] = quadratics::<S, T>(simd, law.edge, &local[k]);
            let (v, g) = at_points::<S, T>(simd, &u[k], &axes[k]);
            let lambda = T::splat(simd, T::of(side.share * side.lame.0));
            let mu = T::splat(simd, T::of(side.share * side.lame.1));
            let trace = T::times(simd, lambda, T::plus(simd, T::plus(simd, g[0][0], g[1][1]), g[2][2]));
            for c in 0..3 {
                let mut twice = g[c];
                for a in 0..3 {
                    twice[a] = T::plus(simd, g[c][a], g[a][c]);
                }
                let twist = dot::<S, T>(simd, &twice, &n);
                pull[c] = T::plus(simd, pull[c], T::times_plus(simd, mu, twist, T::times(simd, trace, n[c])));
                jump[c] = if k == 0 { T::plus(simd, jump[c], v[c]) } else { T::minus(simd, jump[c], v[c]) };
            }
        }
        let (jumped, crossed) = (split::<S, T>(simd, law.jump, &n, &jump), split::<S, T>(simd, law.cross, &n, &pull));
        let (back, pulled) = (split::<S, T>(simd, law.cross, &n, &jump), split::<S, T>(simd, law.pull, &n, &pull));
        let (mut on_jump, mut on_pull) = ([zero; 3], [zero; 3]);
        for c in 0..3 {
            on_jump[c] = T::times(simd, area, T::minus(simd, jumped[c], crossed[c]));
            on_pull[c] = T::minus(simd, zero, T::times(simd, area, T::plus(simd, back[c], pulled[c])));
        }
        let along = dot::<S, T>(simd, &on_pull, &n);
        for k in 0..sides {
            let Some(side) = &law.sides[k] else { continue };
            let spread = T::times(simd, T::splat(simd, T::of(side.share * side.lame.0)), along);
            let mu = T::splat(simd, T::of(side.share * side.lame.1));
            let mut stress = [[zero; 3]; 3];
            let mut force = on_jump;
            for a in 0..3 {
                for b in 0..3 {
                    let both = T::times_plus(simd, on_pull[a], n[b], T::times(simd, on_pull[b], n[a]));
                    stress[a][b] = T::times(simd, mu, both);
                }
                stress[a][a] = T::plus(simd, stress[a][a], spread);
                if k == 1 {
                    force[a] = T::minus(simd, zero, on_jump[a]);
                }
            }
            from_points::<S, T>(simd, &force, &stress, &axes[k], &mut sums[k]);
        }
    }
    for k in 0..sides {
        for i in 0..81 {
            y[k][i] = T::sum(simd, sums[k][i]);
        }
    }
}

/// Normals, areas and places (of both sides) of points; lanes without a point have no area.
#[inline(always)]
#[allow(clippy::type_complexity, reason = "used once, named at once")]
fn rows<S: Simd, T: Real>(points: &[Point]) -> ([T::Vector<S>; 3], T::Vector<S>, [[T::Vector<S>; 3]; 2]) {
    let mut rows = [[T::default(); LANES]; 10];
    for (l, p) in points.iter().enumerate().take(LANES) {
        for i in 0..3 {
            rows[i][l] = T::of(p.normal[i]);
            rows[3 + i][l] = T::of(p.local[0][i]);
            rows[6 + i][l] = T::of(p.local[1][i]);
        }
        rows[9][l] = T::of(p.area);
    }
    let area = T::load::<S>(&rows[9]);
    let mut all = [[area; 3]; 3];
    for k in 0..9 {
        all[k / 3][k % 3] = T::load::<S>(&rows[k]);
    }
    let [normal, first, second] = all;
    (normal, area, [first, second])
}

/// The quadratics at places of the unit cell, and their slopes by 1/mm.
#[inline(always)]
fn quadratics<S: Simd, T: Real>(simd: S, edge: f64, local: &[T::Vector<S>; 3]) -> Axes<T::Vector<S>> {
    let zero = T::splat(simd, T::default());
    let (one, two, three, four) = (
        T::splat(simd, T::of(1.0)),
        T::splat(simd, T::of(2.0)),
        T::splat(simd, T::of(3.0)),
        T::splat(simd, T::of(4.0)),
    );
    let by_edge = T::splat(simd, T::of(1.0 / edge));
    let mut out = [[[zero; 3]; 2]; 3];
    for i in 0..3 {
        let x = local[i];
        let (twice, back) = (T::times(simd, two, x), T::minus(simd, one, x));
        let (half, four_x) = (T::minus(simd, one, twice), T::times(simd, four, x));
        out[i][0] =
            [T::times(simd, half, back), T::times(simd, four_x, back), T::minus(simd, zero, T::times(simd, x, half))];
        let slopes = [T::minus(simd, four_x, three), T::times(simd, four, half), T::minus(simd, four_x, one)];
        for k in 0..3 {
            out[i][1][k] = T::times(simd, by_edge, slopes[k]);
        }
    }
    out
}

/// Displacement and its slopes at points.
#[inline(always)]
#[allow(clippy::type_complexity, reason = "used once, named at once")]
fn at_points<S: Simd, T: Real>(
    simd: S,
    u: &[T; 81],
    axes: &Axes<T::Vector<S>>,
) -> ([T::Vector<S>; 3], [[T::Vector<S>; 3]; 3]) {
    let zero = T::splat(simd, T::default());
    let (mut v, mut g) = ([zero; 3], [[zero; 3]; 3]);
    let [[nx, dx], [ny, dy], [nz, dz]] = axes;
    for c in 0..3 {
        for z in 0..3 {
            let (mut value, mut slope_x, mut slope_y) = (zero, zero, zero);
            for y in 0..3 {
                let (mut on, mut along) = (zero, zero);
                for x in 0..3 {
                    let u = T::splat(simd, u[27 * z + 9 * y + 3 * x + c]);
                    on = T::times_plus(simd, u, nx[x], on);
                    along = T::times_plus(simd, u, dx[x], along);
                }
                value = T::times_plus(simd, on, ny[y], value);
                slope_y = T::times_plus(simd, on, dy[y], slope_y);
                slope_x = T::times_plus(simd, along, ny[y], slope_x);
            }
            v[c] = T::times_plus(simd, value, nz[z], v[c]);
            g[c][0] = T::times_plus(simd, slope_x, nz[z], g[c][0]);
            g[c][1] = T::times_plus(simd, slope_y, nz[z], g[c][1]);
            g[c][2] = T::times_plus(simd, value, dz[z], g[c][2]);
        }
    }
    (v, g)
}

/// The way back: forces on displacement and on slopes at points, added to those of the nodes.
#[inline(always)]
fn from_points<S: Simd, T: Real>(
    simd: S,
    force: &[T::Vector<S>; 3],
    stress: &[[T::Vector<S>; 3]; 3],
    axes: &Axes<T::Vector<S>>,
    sums: &mut [T::Vector<S>; 81],
) {
    let [[nx, dx], [ny, dy], [nz, dz]] = axes;
    for c in 0..3 {
        for z in 0..3 {
            let value = T::times_plus(simd, force[c], nz[z], T::times(simd, stress[c][2], dz[z]));
            let (slope_x, slope_y) = (T::times(simd, stress[c][0], nz[z]), T::times(simd, stress[c][1], nz[z]));
            for y in 0..3 {
                let on = T::times_plus(simd, value, ny[y], T::times(simd, slope_y, dy[y]));
                let along = T::times(simd, slope_x, ny[y]);
                for x in 0..3 {
                    let sum = &mut sums[27 * z + 9 * y + 3 * x + c];
                    *sum = T::times_plus(simd, on, nx[x], T::times_plus(simd, along, dx[x], *sum));
                }
            }
        }
    }
}

/// a . b.
#[inline(always)]
fn dot<S: Simd, T: Real>(simd: S, a: &[T::Vector<S>; 3], b: &[T::Vector<S>; 3]) -> T::Vector<S> {
    T::times_plus(simd, a[0], b[0], T::times_plus(simd, a[1], b[1], T::times(simd, a[2], b[2])))
}

/// Factors normal and tangential on a vector.
#[inline(always)]
fn split<S: Simd, T: Real>(simd: S, f: [f64; 2], n: &[T::Vector<S>; 3], v: &[T::Vector<S>; 3]) -> [T::Vector<S>; 3] {
    let along = T::times(simd, T::splat(simd, T::of(f[0] - f[1])), dot::<S, T>(simd, v, n));
    let across = T::splat(simd, T::of(f[1]));
    let mut out = *v;
    for c in 0..3 {
        out[c] = T::times_plus(simd, across, v[c], T::times(simd, along, n[c]));
    }
    out
}
