//! The stiffness as small dense pieces, and its preconditioner: quadratic level by Chebyshev over block-Jacobi, below it the trilinear
//! hierarchy on the same cells (Galerkin).

use crate::multigrid::{Hierarchy, LinearOperator, Preconditioner};
use std::sync::Arc;

/// A dense matrix on some nodes: full (3n x 3n) or the same for each component (n x n).
#[derive(Clone)]
pub(crate) struct Piece {
    pub nodes: Vec<u32>,
    pub scalar: bool,
    pub factor: f64,
    pub matrix: Arc<Vec<f64>>,
}

/// Sum of pieces.
pub(crate) struct Pieces {
    pub nodes: usize,
    pub pieces: Vec<Piece>,
}

impl LinearOperator for Pieces {
    fn unknowns(&self) -> usize {
        3 * self.nodes
    }

    fn apply(&self, x: &[f64], y: &mut [f64]) {
        y.fill(0.0);
        let mut local = vec![0.0; 3 * 54];
        for p in &self.pieces {
            let n = p.nodes.len();
            for (k, node) in p.nodes.iter().enumerate() {
                local[3 * k..3 * k + 3].copy_from_slice(&x[3 * *node as usize..][..3]);
            }
            if p.scalar {
                for (row, node) in p.matrix.chunks_exact(n).zip(&p.nodes) {
                    let mut sum = [0.0; 3];
                    for (m, v) in row.iter().zip(local.chunks_exact(3)) {
                        (0..3).for_each(|c| sum[c] += m * v[c]);
                    }
                    (0..3).for_each(|c| y[3 * *node as usize + c] += p.factor * sum[c]);
                }
            } else {
                for (i, row) in p.matrix.chunks_exact(3 * n).enumerate() {
                    let sum: f64 = row.iter().zip(&local).map(|(m, v)| m * v).sum();
                    y[3 * p.nodes[i / 3] as usize + i % 3] += p.factor * sum;
                }
            }
        }
    }
}

impl Pieces {
    /// Inverses of the 3 x 3 diagonal blocks.
    fn inverses(&self) -> Vec<[f64; 9]> {
        let mut d = vec![[0.0; 9]; self.nodes];
        for p in &self.pieces {
            let n = p.nodes.len();
            for (k, node) in p.nodes.iter().enumerate() {
                for (ab, entry) in d[*node as usize].iter_mut().enumerate() {
                    let (a, b) = (ab / 3, ab % 3);
                    *entry += p.factor
                        * match (p.scalar, a == b) {
                            (true, true) => p.matrix[k * n + k],
                            (true, false) => 0.0,
                            (false, _) => p.matrix[(3 * k + a) * 3 * n + 3 * k + b],
                        };
                }
            }
        }
        d.iter().map(inverse).collect()
    }
}

fn inverse(m: &[f64; 9]) -> [f64; 9] {
    let c = |a: usize, b: usize, c: usize, d: usize| m[a] * m[d] - m[b] * m[c];
    let cof = [
        c(4, 5, 7, 8),
        c(2, 1, 8, 7),
        c(1, 2, 4, 5),
        c(5, 3, 8, 6),
        c(0, 2, 6, 8),
        c(2, 0, 5, 3),
        c(3, 4, 6, 7),
        c(1, 0, 7, 6),
        c(0, 1, 3, 4),
    ];
    let det = m[0] * cof[0] + m[1] * cof[3] + m[2] * cof[6];
    cof.map(|x| x / det)
}

/// Preconditioner of the quadratic system.
pub(crate) struct TwoLevel<'a> {
    pub fine: &'a Pieces,
    pub coarse: Hierarchy,
    /// For each quadratic node the trilinear nodes it lies between, and their share.
    pub between: Vec<Vec<(u32, f64)>>,
    diagonal: Vec<[f64; 9]>,
    greatest: f64,
}

const SWEEPS: usize = 4;

impl<'a> TwoLevel<'a> {
    pub(crate) fn new(fine: &'a Pieces, coarse: Hierarchy, between: Vec<Vec<(u32, f64)>>) -> Self {
        let diagonal = fine.inverses();
        let mut out = Self { fine, coarse, between, diagonal, greatest: 1.0 };
        let n = fine.unknowns();
        let mut v: Vec<f64> = (0..n).map(|i| ((i * 7919 + 13) % 1009) as f64 / 1009.0 - 0.5).collect();
        let mut w = vec![0.0; n];
        for _ in 0..15 {
            let norm = v.iter().map(|x| x * x).sum::<f64>().sqrt();
            v.iter_mut().for_each(|x| *x /= norm);
            fine.apply(&v, &mut w);
            out.scale(&w, &mut v);
            out.greatest = v.iter().map(|x| x * x).sum::<f64>().sqrt();
        }
        out.greatest *= 1.15;
        out
    }

    fn scale(&self, r: &[f64], z: &mut [f64]) {
        for ((z, r), d) in z.chunks_exact_mut(3).zip(r.chunks_exact(3)).zip(&self.diagonal) {
            for a in 0..3 {
                z[a] = d[3 * a] * r[0] + d[3 * a + 1] * r[1] + d[3 * a + 2] * r[2];
            }
        }
    }

    /// Chebyshev sweeps on A x = b; `r` holds the residual on entry and on leaving.
    fn smooth(&self, x: &mut [f64], r: &mut [f64]) {
        let (high, low) = (self.greatest, self.greatest / 12.0);
        let (middle, half) = (0.5 * (high + low), 0.5 * (high - low));
        let n = x.len();
        let (mut z, mut p, mut q) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
        let mut rho = half / middle;
        for sweep in 0..SWEEPS {
            self.scale(r, &mut z);
            if sweep == 0 {
                p.iter_mut().zip(&z).for_each(|(p, z)| *p = z / middle);
            } else {
                let next = 1.0 / (2.0 * middle / half - rho);
                p.iter_mut().zip(&z).for_each(|(p, z)| *p = next * rho * *p + 2.0 * next / half * z);
                rho = next;
            }
            x.iter_mut().zip(&p).for_each(|(x, p)| *x += p);
            self.fine.apply(&p, &mut q);
            r.iter_mut().zip(&q).for_each(|(r, q)| *r -= q);
        }
    }
}

impl Preconditioner for TwoLevel<'_> {
    fn apply(&mut self, b: &[f64], z: &mut [f64]) {
        z.fill(0.0);
        let mut r = b.to_vec();
        self.smooth(z, &mut r);
        let n = self.coarse.unknowns();
        let (mut right, mut correction) = (vec![0.0f64; n], vec![0.0f32; n]);
        for (node, shares) in self.between.iter().enumerate() {
            for (to, share) in shares {
                (0..3).for_each(|c| right[3 * *to as usize + c] += share * r[3 * node + c]);
            }
        }
        let right: Vec<f32> = right.iter().map(|x| *x as f32).collect();
        self.coarse.cycle(&right, &mut correction);
        let mut added = vec![0.0; z.len()];
        for (node, shares) in self.between.iter().enumerate() {
            for (from, share) in shares {
                (0..3).for_each(|c| added[3 * node + c] += share * f64::from(correction[3 * *from as usize + c]));
            }
        }
        let mut product = vec![0.0; z.len()];
        self.fine.apply(&added, &mut product);
        z.iter_mut().zip(&added).for_each(|(z, a)| *z += a);
        r.iter_mut().zip(&product).for_each(|(r, p)| *r -= p);
        self.smooth(z, &mut r);
    }
}
