//! What holds or joins a body at its surface: given displacement, springs, thin layers and firm bonds by one form.
//!
//! On a surface with outward normal n of body a let [u] = u_a - u_b - g (u_b = 0 at the ground; g a given displacement), t = w_a sigma_a n + w_b sigma_b n
//! the traction, and k = 1/e the stiffness a unit of area, so that the law is [u] + e t = 0. With a stabilising give c = h/(60 * 2 H) the energy gets
//!     1/(e+c) [u].[v] - c/(e+c) (t(u).[v] + t(v).[u]) - e c/(e+c) t(u).t(v),
//! along the normal and across it each with its own e: firm (e = 0), layered and loose (e large) by one stable form (Juntunen, Stenberg 2009,
//! Math Comp 78:1353-1374, doi 10.1090/S0025-5718-08-02183-2, memory; Nitsche 1971, doi 10.1007/BF02995904, memory). Weights w_a M_a = w_b M_b = H, M = lambda + 2 mu:
//! the softer side tells the traction (Dolbow, Harari 2009, doi 10.1002/nme.2567, memory). No stiffness at all in a direction leaves it free.

#![allow(clippy::needless_range_loop, reason = "indices of a tensor read better than iterators")]

use super::basis::{shape, slopes, trilinear, values};
use crate::multigrid::{Real, packed_len};
use simd::Simd;

/// Penalty of a firm hold in units of (lambda + 2 mu)/cell: above the inverse constant of quadratics with room to spare.
const PENALTY: f64 = 60.0;

/// One side of a joint.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Side {
    pub lame: (f64, f64),
    /// Weight of its traction.
    pub share: f64,
}

/// Factors of the form, normal and tangential.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Law {
    pub sides: [Option<Side>; 2],
    jump: [f64; 2],
    cross: [f64; 2],
    pull: [f64; 2],
    edge: f64,
}

impl Law {
    /// From the stiffness normal and tangential (infinite: firm) and the Lame constants of both sides.
    pub(crate) fn new(stiffness: [f64; 2], a: (f64, f64), b: Option<(f64, f64)>, edge: f64) -> Self {
        let modulus = |l: (f64, f64)| l.0 + 2.0 * l.1;
        let (sides, least) = match b {
            None => ([Some(Side { lame: a, share: 1.0 }), None], modulus(a)),
            Some(b) => {
                let (ma, mb) = (modulus(a), modulus(b));
                let share = |other: f64| other / (ma + mb);
                let sides = [Side { lame: a, share: share(mb) }, Side { lame: b, share: share(ma) }];
                (sides.map(Some), 2.0 * ma * mb / (ma + mb))
            }
        };
        let give = edge / (PENALTY * least);
        let mut out = Self { sides, jump: [0.0; 2], cross: [0.0; 2], pull: [0.0; 2], edge };
        for (i, k) in stiffness.into_iter().enumerate().filter(|(_, k)| *k > 0.0) {
            let e = 1.0 / k;
            out.jump[i] = 1.0 / (e + give);
            out.cross[i] = give / (e + give);
            out.pull[i] = e * give / (e + give);
        }
        out
    }

    /// Applies factors normal and tangential to a vector.
    fn split(f: [f64; 2], n: [f64; 3], v: [f64; 3]) -> [f64; 3] {
        let along = n[0] * v[0] + n[1] * v[1] + n[2] * v[2];
        std::array::from_fn(|i| f[1] * v[i] + (f[0] - f[1]) * along * n[i])
    }
}

/// A point of a joint: places in the cells of both sides (unit cell), normal out of the first, area; what is given there.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    pub local: [[f64; 3]; 2],
    pub normal: [f64; 3],
    pub area: f64,
    /// Given displacement g.
    pub given: [f64; 3],
    /// Stress-free pull: the weighted 3 K e0 of both sides.
    pub free: f64,
}

/// Points that share their cells.
#[derive(Debug, Clone)]
pub(crate) struct Joint {
    pub cells: [u32; 2],
    pub law: u32,
    pub points: std::ops::Range<usize>,
}

/// Jump and traction by each unknown of a side at a point: n shape functions, their slopes by 1/mm, sign of the jump.
fn unknowns<const N: usize>(
    side: &Side,
    sign: f64,
    n: [f64; 3],
    s: &[f64; N],
    g: &[[f64; 3]; N],
) -> Vec<([f64; 3], [f64; 3])> {
    let (lambda, mu) = side.lame;
    let mut out = Vec::with_capacity(3 * N);
    for i in 0..N {
        let along = g[i][0] * n[0] + g[i][1] * n[1] + g[i][2] * n[2];
        for b in 0..3 {
            let mut jump = [0.0; 3];
            jump[b] = sign * s[i];
            let t = std::array::from_fn(|a| {
                side.share * (lambda * g[i][b] * n[a] + mu * g[i][a] * n[b] + if a == b { mu * along } else { 0.0 })
            });
            out.push((jump, t));
        }
    }
    out
}

impl Law {
    fn at_point(&self, p: &Point, coarse: bool) -> Vec<([f64; 3], [f64; 3])> {
        let mut out = vec![];
        for (k, side) in self.sides.iter().enumerate() {
            let Some(side) = side else { continue };
            let sign = if k == 0 { 1.0 } else { -1.0 };
            if coarse {
                let (s, mut g) = trilinear(p.local[k]);
                g.iter_mut().flatten().for_each(|x| *x /= self.edge);
                out.extend(unknowns(side, sign, p.normal, &s, &g));
            } else {
                let (s, mut g) = shape(p.local[k]);
                g.iter_mut().flatten().for_each(|x| *x /= self.edge);
                out.extend(unknowns(side, sign, p.normal, &s, &g));
            }
        }
        out
    }

    /// Adds the nodal forces of what is given at a point (27 or 54 nodes, three components each).
    pub(crate) fn right_side(&self, p: &Point, f: &mut [f64]) {
        // Law: t counts from the stress-free pull, and the jump from what is given.
        let free = p.normal.map(|n| p.free * n);
        let on_jump: [f64; 3] = {
            let (a, b) = (Self::split(self.jump, p.normal, p.given), Self::split(self.cross, p.normal, free));
            std::array::from_fn(|i| a[i] - b[i])
        };
        let on_pull: [f64; 3] = {
            let (a, b) = (Self::split(self.cross, p.normal, p.given), Self::split(self.pull, p.normal, free));
            std::array::from_fn(|i| -a[i] - b[i])
        };
        for (f, (jump, t)) in f.iter_mut().zip(self.at_point(p, false)) {
            *f += p.area * (0..3).map(|i| on_jump[i] * jump[i] + on_pull[i] * t[i]).sum::<f64>();
        }
    }

    /// Adds the matrix at a point to a packed lower triangle on trilinear displacements.
    pub(crate) fn coarse(&self, p: &Point, packed: &mut [f64]) {
        let u = self.at_point(p, true);
        let mut k = 0;
        for (i, (ji, ti)) in u.iter().enumerate() {
            let (jump, pull) = self.dual(p.normal, *ji, *ti);
            for (jj, tj) in &u[..=i] {
                packed[k] += p.area * (0..3).map(|c| jump[c] * jj[c] + pull[c] * tj[c]).sum::<f64>();
                k += 1;
            }
        }
        debug_assert_eq!(k, packed_len(u.len()));
    }

    /// Adds the 3 x 3 blocks of the diagonal at a point.
    pub(crate) fn diagonal(&self, p: &Point, blocks: &mut [[f64; 9]]) {
        for (block, three) in blocks.iter_mut().zip(self.at_point(p, false).chunks_exact(3)) {
            for a in 0..3 {
                let (jump, pull) = self.dual(p.normal, three[a].0, three[a].1);
                for b in 0..3 {
                    block[3 * a + b] +=
                        p.area * (0..3).map(|c| jump[c] * three[b].0[c] + pull[c] * three[b].1[c]).sum::<f64>();
                }
            }
        }
    }

    /// What the test jump and the test traction are multiplied with.
    pub(crate) fn dual(&self, n: [f64; 3], jump: [f64; 3], t: [f64; 3]) -> ([f64; 3], [f64; 3]) {
        let (a, b) = (Self::split(self.jump, n, jump), Self::split(self.cross, n, t));
        let (c, d) = (Self::split(self.cross, n, jump), Self::split(self.pull, n, t));
        (std::array::from_fn(|i| a[i] - b[i]), std::array::from_fn(|i| -c[i] - d[i]))
    }
}

/// y += K u of one joint: `u`, `y` hold the 27 nodes of each side, 3 components each; lanes run over points.
#[inline(always)]
pub(crate) fn product<S: Simd, T: Real>(simd: S, law: &Law, points: &[Point], u: [&[T; 81]; 2], y: [&mut [T; 81]; 2]) {
    let width = T::count::<S>();
    let zero = T::splat(simd, T::default());
    let splat = |x: f64| T::splat(simd, T::of(x));
    let add = |a, b| T::plus(simd, a, b);
    let mul = |a, b| T::times(simd, a, b);
    let fma = |a, b, c| T::times_plus(simd, a, b, c);
    let mut sums = [[zero; 81]; 2];
    let two = law.sides[1].is_some();
    for chunk in points.chunks(width) {
        let mut lanes = [[T::default(); 16]; 4];
        for (l, p) in chunk.iter().enumerate() {
            (0..3).for_each(|i| lanes[i][l] = T::of(p.normal[i]));
            lanes[3][l] = T::of(p.area);
        }
        let n: [T::Vector<S>; 3] = std::array::from_fn(|i| T::load::<S>(&lanes[i]));
        let area = T::load::<S>(&lanes[3]);
        let mut one_d = [[[[zero; 3]; 2]; 3]; 2];
        for k in 0..if two { 2 } else { 1 } {
            for i in 0..3 {
                let mut rows = [[T::default(); 16]; 6];
                for (l, p) in chunk.iter().enumerate() {
                    let (v, s) = (values(p.local[k][i]), slopes(p.local[k][i]));
                    for j in 0..3 {
                        rows[j][l] = T::of(v[j]);
                        rows[3 + j][l] = T::of(s[j] / law.edge);
                    }
                }
                for j in 0..3 {
                    one_d[k][i][0][j] = T::load::<S>(&rows[j]);
                    one_d[k][i][1][j] = T::load::<S>(&rows[3 + j]);
                }
            }
        }
        let (mut jump, mut pull) = ([zero; 3], [zero; 3]);
        for (k, side) in law.sides.iter().enumerate() {
            let Some(side) = side else { continue };
            let (mut v, mut g) = ([zero; 3], [[zero; 3]; 3]);
            for_nodes::<S, T>(simd, &one_d[k], |i, s, d: [T::Vector<S>; 3]| {
                for c in 0..3 {
                    let x = T::splat(simd, u[k][3 * i + c]);
                    v[c] = fma(x, s, v[c]);
                    for a in 0..3 {
                        g[c][a] = fma(x, d[a], g[c][a]);
                    }
                }
            });
            let (lambda, mu) = (splat(side.share * side.lame.0), splat(side.share * side.lame.1));
            let trace = mul(lambda, add(add(g[0][0], g[1][1]), g[2][2]));
            for c in 0..3 {
                let twist = |a: usize| mul(add(g[c][a], g[a][c]), n[a]);
                pull[c] = add(pull[c], fma(mu, add(add(twist(0), twist(1)), twist(2)), mul(trace, n[c])));
                jump[c] = if k == 0 { add(jump[c], v[c]) } else { T::minus(simd, jump[c], v[c]) };
            }
        }
        // Factors normal and tangential.
        let dot = |v: [T::Vector<S>; 3]| fma(v[0], n[0], fma(v[1], n[1], mul(v[2], n[2])));
        let (jn, tn) = (dot(jump), dot(pull));
        let factor = |f: [f64; 2], v: T::Vector<S>, vn: T::Vector<S>, c: usize| {
            fma(splat(f[1]), v, mul(mul(splat(f[0] - f[1]), vn), n[c]))
        };
        let on_jump: [T::Vector<S>; 3] = std::array::from_fn(|c| {
            mul(area, T::minus(simd, factor(law.jump, jump[c], jn, c), factor(law.cross, pull[c], tn, c)))
        });
        let on_pull: [T::Vector<S>; 3] = std::array::from_fn(|c| {
            let sum = add(factor(law.cross, jump[c], jn, c), factor(law.pull, pull[c], tn, c));
            T::minus(simd, zero, mul(area, sum))
        });
        let along = dot(on_pull);
        for (k, side) in law.sides.iter().enumerate() {
            let Some(side) = side else { continue };
            let (lambda, mu) = (splat(side.share * side.lame.0), splat(side.share * side.lame.1));
            let spread = mul(lambda, along);
            let stress: [[T::Vector<S>; 3]; 3] = std::array::from_fn(|a| {
                std::array::from_fn(|b| {
                    let twist = mul(mu, fma(on_pull[a], n[b], mul(on_pull[b], n[a])));
                    if a == b { add(twist, spread) } else { twist }
                })
            });
            let force = if k == 0 { on_jump } else { on_jump.map(|f| T::minus(simd, zero, f)) };
            let sums = &mut sums[k];
            for_nodes::<S, T>(simd, &one_d[k], |i, s, d: [T::Vector<S>; 3]| {
                for c in 0..3 {
                    let bent = fma(stress[c][0], d[0], fma(stress[c][1], d[1], mul(stress[c][2], d[2])));
                    sums[3 * i + c] = add(sums[3 * i + c], fma(force[c], s, bent));
                }
            });
        }
    }
    let mut row = [T::default(); 16];
    for (y, sums) in y.into_iter().zip(&sums) {
        for (y, v) in y.iter_mut().zip(sums) {
            T::store::<S>(*v, &mut row);
            row[..width].iter().for_each(|x| *y += *x);
        }
    }
}

/// Shape functions and slopes of the 27 nodes from their values and slopes by axis.
#[inline(always)]
fn for_nodes<S: Simd, T: Real>(
    simd: S,
    d: &[[[T::Vector<S>; 3]; 2]; 3],
    mut then: impl FnMut(usize, T::Vector<S>, [T::Vector<S>; 3]),
) {
    let mul = |a, b| T::times(simd, a, b);
    for z in 0..3 {
        for y in 0..3 {
            let (nn, dn, nd) = (mul(d[1][0][y], d[2][0][z]), mul(d[1][1][y], d[2][0][z]), mul(d[1][0][y], d[2][1][z]));
            for x in 0..3 {
                let (v, s) = (d[0][0][x], d[0][1][x]);
                then(x + 3 * y + 9 * z, mul(v, nn), [mul(s, nn), mul(v, dn), mul(v, nd)]);
            }
        }
    }
}
