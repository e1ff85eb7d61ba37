//! Smoothing of a trilinear level: the polynomial over 3x3 block-Jacobi.

use super::element::cube_stiffness;
use super::operator::LevelOperator;
use super::parts;
use super::polynomial::{ON_LATTICE, Step};
use super::spectrum;

/// What the largest eigenvalue is raised by: its estimate comes from below, and the polynomial bears 1.11 times what it is told.
const RESERVE: f64 = 1.05;

/// What the smoother of a level needs besides the operator.
#[derive(Debug, Clone)]
pub(crate) struct Smoother {
    /// Inverse diagonal blocks: xx, yy, zz, xy, xz, yz a node, divided by the largest eigenvalue.
    inverse: [Vec<f32>; 6],
}

impl Smoother {
    /// Inverts the diagonal blocks and bounds the spectrum: by the cells where all are uniform, else by Lanczos' matrix.
    pub(crate) fn new(operator: &LevelOperator, spacing: f64) -> Self {
        let inverse = invert(operator.diagonal(spacing), operator);
        let mut smoother = Self { inverse };
        let largest = if operator.blocks.node.is_empty() {
            operator.materials.iter().map(|(lambda, mu)| largest_of_cube(*lambda, *mu)).fold(0.0, f64::max)
        } else {
            RESERVE * smoother.largest(operator)
        };
        let scale = (1.0 / largest) as f32;
        smoother.inverse.iter_mut().for_each(|v| v.iter_mut().for_each(|e| *e *= scale));
        smoother
    }

    /// Largest eigenvalue of D^-1 A.
    fn largest(&self, operator: &LevelOperator) -> f64 {
        let held = operator.fixed.iter().map(|at| *at as usize);
        let product = |x: &[f32], y: &mut [f32]| operator.apply(x, y);
        spectrum::largest(3 * operator.count, held, product, |r, z| self.precondition(operator, r, z))
    }

    /// z = D^-1 r (divided by the largest eigenvalue once it is known).
    fn precondition(&self, operator: &LevelOperator, r: &[f32], z: &mut [f32]) {
        let n = operator.count;
        let r = parts::components(r, n);
        let pieces = parts::split(z, n, &operator.chunks);
        parts::for_each(operator.chunks.iter().zip(pieces).collect(), n, |(range, [zx, zy, zz])| {
            let [a, b, c, d, e, f] = self.inverse.each_ref().map(|v| &v[range.clone()]);
            let [x, y, w] = r.map(|v| &v[range.clone()]);
            for i in 0..range.len() {
                zx[i] = a[i] * x[i] + d[i] * y[i] + e[i] * w[i];
                zy[i] = d[i] * x[i] + b[i] * y[i] + f[i] * w[i];
                zz[i] = e[i] * x[i] + f[i] * y[i] + c[i] * w[i];
            }
        });
    }

    /// One sweep: adds to `x`, whose residual is `r`. `r` is used up; `z` and `t` are working space.
    pub(crate) fn sweep(&self, operator: &LevelOperator, x: &mut [f32], r: &mut [f32], z: &mut [f32], t: &mut [f32]) {
        for (number, step) in ON_LATTICE.into_iter().enumerate() {
            self.step(operator, step, number == 0, [x, r, z], t);
            if number + 1 < ON_LATTICE.len() {
                operator.apply(z, t);
            }
        }
    }

    /// r -= t (not in the first step), z = keep z + take D^-1 r, x += weight z, in one pass.
    fn step(&self, operator: &LevelOperator, step: Step, first: bool, [x, r, z]: [&mut [f32]; 3], t: &[f32]) {
        let n = operator.count;
        let t = parts::components(t, n);
        let [xs, rs, zs] = [x, r, z].map(|v| parts::split(v, n, &operator.chunks));
        let work: Vec<_> = operator.chunks.iter().zip(xs).zip(rs).zip(zs).collect();
        let arch = simd::Arch::new();
        parts::for_each(work, n, |(((range, x), mut r), z)| {
            arch.dispatch(
                #[inline(always)]
                || {
                    if !first {
                        for (r, t) in r.iter_mut().zip(t) {
                            r.iter_mut().zip(&t[range.clone()]).for_each(|(r, t)| *r -= t);
                        }
                    }
                    let inverse = self.inverse.each_ref().map(|v| &v[range.clone()]);
                    advance(step, first, inverse, x, r, z);
                },
            );
        });
    }

    /// Bytes held.
    pub(crate) fn bytes(&self) -> usize {
        self.inverse.iter().map(|v| 4 * v.len()).sum()
    }
}

/// Largest eigenvalue of D^-1 K of one uniform cell. A is the sum of such K and D of such D, so it bounds that of any assembly of them.
fn largest_of_cube(lambda: f64, mu: f64) -> f64 {
    let k = cube_stiffness(lambda, mu, 1.0);
    let block =
        |a: usize| [(0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)].map(|(i, j)| k[(3 * a + i) * 24 + 3 * a + j]);
    let inverse: [[f64; 6]; 8] = std::array::from_fn(|a| invert_block(block(a), [true; 3]));
    let mut x: [f64; 24] = std::array::from_fn(|i| ((i * 7 % 11) as f64 - 5.0) * (1.0 + i as f64));
    let mut largest = 1.0;
    for _ in 0..60 {
        let y: [f64; 24] = std::array::from_fn(|i| (0..24).map(|j| k[24 * i + j] * x[j]).sum());
        for (a, d) in inverse.iter().enumerate() {
            let r = [y[3 * a], y[3 * a + 1], y[3 * a + 2]];
            x[3 * a] = d[0] * r[0] + d[3] * r[1] + d[4] * r[2];
            x[3 * a + 1] = d[3] * r[0] + d[1] * r[1] + d[5] * r[2];
            x[3 * a + 2] = d[4] * r[0] + d[5] * r[1] + d[2] * r[2];
        }
        largest = x.iter().map(|v| v * v).sum::<f64>().sqrt();
        x.iter_mut().for_each(|v| *v /= largest);
    }
    1.01 * largest
}

#[inline(always)]
fn advance(
    Step { keep, take, weight }: Step,
    first: bool,
    inverse: [&[f32]; 6],
    x: [&mut [f32]; 3],
    r: [&mut [f32]; 3],
    z: [&mut [f32]; 3],
) {
    let n = inverse[0].len();
    let [a, b, c, d, e, f] = inverse.map(|v| &v[..n]);
    let [x0, x1, x2] = x.map(|v| &mut v[..n]);
    let [r0, r1, r2] = r.map(|v| &v[..n]);
    let [z0, z1, z2] = z.map(|v| &mut v[..n]);
    for i in 0..n {
        let g = [
            a[i] * r0[i] + d[i] * r1[i] + e[i] * r2[i],
            d[i] * r0[i] + b[i] * r1[i] + f[i] * r2[i],
            e[i] * r0[i] + f[i] * r1[i] + c[i] * r2[i],
        ];
        let old = if first { [0.0; 3] } else { [z0[i], z1[i], z2[i]] };
        let new = [keep * old[0] + take * g[0], keep * old[1] + take * g[1], keep * old[2] + take * g[2]];
        z0[i] = new[0];
        z1[i] = new[1];
        z2[i] = new[2];
        x0[i] += weight * new[0];
        x1[i] += weight * new[1];
        x2[i] += weight * new[2];
    }
}

/// Inverse of each 3 x 3 block; held or empty unknowns get zero rows. A block that is singular to rounding keeps its diagonal only.
fn invert(diagonal: [Vec<f64>; 6], operator: &LevelOperator) -> [Vec<f32>; 6] {
    let n = operator.count;
    let mut held = vec![0u8; n];
    for &at in &operator.fixed {
        held[at as usize % n] |= 1 << (at as usize / n);
    }
    let mut inverse: [Vec<f32>; 6] = std::array::from_fn(|_| vec![0.0; n]);
    for i in 0..n {
        let d: [f64; 6] = std::array::from_fn(|k| diagonal[k][i]);
        let free: [bool; 3] = std::array::from_fn(|k| held[i] >> k & 1 == 0 && d[k] > 0.0);
        for (k, value) in invert_block(d, free).into_iter().enumerate() {
            inverse[k][i] = value as f32;
        }
    }
    inverse
}

/// Inverse of the block of the free components: xx, yy, zz, xy, xz, yz.
fn invert_block(d: [f64; 6], free: [bool; 3]) -> [f64; 6] {
    let diagonal: [f64; 3] = std::array::from_fn(|k| if free[k] { d[k] } else { 1.0 });
    let pair = |k: usize, i: usize, j: usize| if free[i] && free[j] { d[k] } else { 0.0 };
    let [a, b, c] = diagonal;
    let (xy, xz, yz) = (pair(3, 0, 1), pair(4, 0, 2), pair(5, 1, 2));
    let (m0, m1, m2) = (b * c - yz * yz, xz * yz - xy * c, xy * yz - b * xz);
    let determinant = a * m0 + xy * m1 + xz * m2;
    let mut inverse = if determinant > 1e-6 * a * b * c {
        [m0, a * c - xz * xz, a * b - xy * xy, m1, m2, xy * xz - a * yz].map(|v| v / determinant)
    } else {
        [1.0 / a, 1.0 / b, 1.0 / c, 0.0, 0.0, 0.0]
    };
    for k in 0..3 {
        if !free[k] {
            inverse[k] = 0.0;
        }
    }
    inverse
}
