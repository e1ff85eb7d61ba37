//! What holds or joins a body at its surface: given displacement, springs, thin layers and firm bonds by one form.
//!
//! On a surface with outward normal n of body a let [u] = u_a - u_b - g (u_b = 0 at the ground; g a given displacement), t = w_a sigma_a n + w_b sigma_b n
//! the traction, and k = 1/e the stiffness a unit of area, so that the law is [u] + e t = 0. With a stabilising give c = h/(60 * 2 H) the energy gets
//!     1/(e+c) [u].[v] - c/(e+c) (t(u).[v] + t(v).[u]) - e c/(e+c) t(u).t(v),
//! along the normal and across it each with its own e: firm (e = 0), layered and loose (e large) by one stable form (Juntunen, Stenberg 2009,
//! Math Comp 78:1353-1374, doi 10.1090/S0025-5718-08-02183-2, memory; Nitsche 1971, doi 10.1007/BF02995904, memory). Weights w_a M_a = w_b M_b = H, M = lambda + 2 mu:
//! the softer side tells the traction (Dolbow, Harari 2009, doi 10.1002/nme.2567, memory). No stiffness at all in a direction leaves it free.

#![allow(clippy::needless_range_loop, reason = "indices of a tensor read better than iterators")]

use super::basis::{shape, trilinear};
use crate::multigrid::packed_len;

/// Penalty of a firm hold in units of (lambda + 2 mu)/cell: above the inverse constant of quadratics in a quarter of a cell (16) with room to
/// spare; thinner cells lean on the ghost penalty (`slabs::faces`). Iterations grow with it.
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
    pub(super) jump: [f64; 2],
    pub(super) cross: [f64; 2],
    pub(super) pull: [f64; 2],
    pub(super) edge: f64,
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

    /// Whether it resists in every direction.
    pub(crate) fn holds(&self) -> bool {
        self.jump.iter().all(|j| *j > 0.0)
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

/// Jump and traction by one unknown.
pub(crate) type Functional = ([f64; 3], [f64; 3]);

impl Side {
    /// Jump and traction by each unknown at a point: sign of the jump, normal, shape functions and their slopes by cells.
    fn functionals(&self, sign: f64, n: [f64; 3], s: &[f64], g: &[[f64; 3]], edge: f64) -> Vec<Functional> {
        let (lambda, mu) = (self.share * self.lame.0 / edge, self.share * self.lame.1 / edge);
        let mut out = Vec::with_capacity(3 * s.len());
        for (s, g) in s.iter().zip(g) {
            let along = mu * (g[0] * n[0] + g[1] * n[1] + g[2] * n[2]);
            for b in 0..3 {
                let (mut jump, mut t) = ([0.0; 3], [0.0; 3]);
                jump[b] = sign * s;
                for a in 0..3 {
                    t[a] = lambda * g[b] * n[a] + mu * g[a] * n[b];
                }
                t[b] += along;
                out.push((jump, t));
            }
        }
        out
    }
}

impl Law {
    /// By the unknowns of side `k`, on quadratic displacements.
    pub(crate) fn side_at(&self, p: &Point, k: usize) -> Vec<Functional> {
        let Some(side) = &self.sides[k] else { return vec![] };
        let (s, g) = shape(p.local[k]);
        side.functionals(if k == 0 { 1.0 } else { -1.0 }, p.normal, &s, &g, self.edge)
    }

    /// As above, on trilinear displacements.
    fn coarse_side_at(&self, p: &Point, k: usize) -> Vec<Functional> {
        let Some(side) = &self.sides[k] else { return vec![] };
        let (s, g) = trilinear(p.local[k]);
        side.functionals(if k == 0 { 1.0 } else { -1.0 }, p.normal, &s, &g, self.edge)
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
        let all = (0..2).flat_map(|k| self.side_at(p, k));
        for (f, (jump, t)) in f.iter_mut().zip(all) {
            *f += p.area * (0..3).map(|i| on_jump[i] * jump[i] + on_pull[i] * t[i]).sum::<f64>();
        }
    }

    /// Adds the matrix at a point to a packed lower triangle on trilinear displacements.
    pub(crate) fn coarse(&self, p: &Point, packed: &mut [f64]) {
        let u = [self.coarse_side_at(p, 0), self.coarse_side_at(p, 1)].concat();
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
        let sides = [self.side_at(p, 0), self.side_at(p, 1)];
        for (block, three) in blocks.iter_mut().zip(sides.iter().flat_map(|s| s.chunks_exact(3))) {
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
