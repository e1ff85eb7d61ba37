//! Matrices of one cell: stiffness, initial strain, weak supports, interfaces. Order of rows: 3 * node + component.

use super::basis::{GAUSS5, shape};
use super::model::Given;
use super::quadrature::Facet;

/// Penalty of weak supports in units of (lambda + 2 mu)/cell: above the inverse constant of quadratics with room to spare.
const NITSCHE: f64 = 60.0;

/// Weights of the whole cell.
pub(crate) fn whole(edge: f64) -> [f64; 125] {
    std::array::from_fn(|n| edge.powi(3) * GAUSS5[n % 5].1 * GAUSS5[n / 5 % 5].1 * GAUSS5[n / 25].1)
}

/// Stiffness (81 x 81, row by row) and nodal forces of a unit equal initial strain of isotropic material.
pub(crate) fn stiffness(weights: &[f64; 125], edge: f64, (lambda, mu): (f64, f64)) -> (Vec<f64>, Vec<f64>) {
    let mut moment = vec![[[0.0f64; 9]; 27]; 27];
    let mut force = vec![0.0; 81];
    let bulk = 3.0 * lambda + 2.0 * mu;
    for (n, &w) in weights.iter().enumerate() {
        let (_, mut g) = shape([GAUSS5[n % 5].0, GAUSS5[n / 5 % 5].0, GAUSS5[n / 25].0]);
        g.iter_mut().flatten().for_each(|x| *x /= edge);
        for i in 0..27 {
            for a in 0..3 {
                force[3 * i + a] += w * bulk * g[i][a];
            }
            let wg = g[i].map(|x| x * w);
            for j in 0..27 {
                for ab in 0..9 {
                    moment[i][j][ab] += wg[ab / 3] * g[j][ab % 3];
                }
            }
        }
    }
    let mut k = vec![0.0; 81 * 81];
    for i in 0..27 {
        for j in 0..27 {
            let m = &moment[i][j];
            let trace = m[0] + m[4] + m[8];
            for a in 0..3 {
                for b in 0..3 {
                    let same = if a == b { mu * trace } else { 0.0 };
                    k[(3 * i + a) * 81 + 3 * j + b] = lambda * m[3 * a + b] + mu * m[3 * b + a] + same;
                }
            }
        }
    }
    (k, force)
}

/// Stress (xx, yy, zz, xy, yz, zx) of a displacement gradient less an equal initial strain.
pub(crate) fn stress(grad: [[f64; 3]; 3], initial: f64, (lambda, mu): (f64, f64)) -> [f64; 6] {
    let trace = grad[0][0] + grad[1][1] + grad[2][2] - 3.0 * initial;
    let normal = |i: usize| lambda * trace + 2.0 * mu * (grad[i][i] - initial);
    let shear = |i: usize, j: usize| mu * (grad[i][j] + grad[j][i]);
    [normal(0), normal(1), normal(2), shear(0, 1), shear(1, 2), shear(2, 0)]
}

/// Adds a support at one surface point to the stiffness `k` and force `f` of its cell.
pub(crate) fn support(
    k: &mut [f64],
    f: &mut [f64],
    facet: &Facet,
    edge: f64,
    lame: (f64, f64),
    initial: f64,
    given: &Given,
) {
    let (n, mut g) = shape(facet.local);
    g.iter_mut().flatten().for_each(|x| *x /= edge);
    let m = facet.normal;
    match *given {
        Given::Foundation { normal, tangential } => {
            for i in 0..81 {
                for j in 0..81 {
                    let (a, b) = (i % 3, j % 3);
                    let c = (normal - tangential) * m[a] * m[b] + if a == b { tangential } else { 0.0 };
                    k[i * 81 + j] += facet.area * c * n[i / 3] * n[j / 3];
                }
            }
        }
        Given::Displacement { offset, gradient } => {
            let (lambda, mu) = lame;
            let penalty = NITSCHE * (lambda + 2.0 * mu) / edge;
            let at = facet.at;
            let u: [f64; 3] = std::array::from_fn(|a| offset[a] + (0..3).map(|b| gradient[a][b] * at[b]).sum::<f64>());
            // Traction on the surface by a unit of unknown j: t[j][a].
            let traction: Vec<[f64; 3]> = (0..81)
                .map(|j| {
                    let (g, b) = (g[j / 3], j % 3);
                    let along = g[0] * m[0] + g[1] * m[1] + g[2] * m[2];
                    std::array::from_fn(|a| {
                        lambda * g[b] * m[a] + mu * g[a] * m[b] + if a == b { mu * along } else { 0.0 }
                    })
                })
                .collect();
            let free = (3.0 * lambda + 2.0 * mu) * initial;
            for i in 0..81 {
                let (ni, a) = (n[i / 3], i % 3);
                for j in 0..81 {
                    let (nj, b) = (n[j / 3], j % 3);
                    let both = if a == b { penalty * ni * nj } else { 0.0 };
                    k[i * 81 + j] += facet.area * (both - traction[j][a] * ni - traction[i][b] * nj);
                }
                let pull: f64 = (0..3).map(|b| traction[i][b] * u[b]).sum();
                f[i] += facet.area * (penalty * ni * u[a] - pull - free * m[a] * ni);
            }
        }
    }
}
