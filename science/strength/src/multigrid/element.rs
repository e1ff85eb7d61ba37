//! The stiffness of a cube of isotropic material with trilinear displacements, and its 45-entry form in the Walsh-Hadamard basis.
//!
//! K = integral over the cube of lambda div u div v + 2 mu eps(u) : eps(v), 2 x 2 x 2 Gauss points (exact for a cube), order
//! 3 * node + component with node = x + 2 y + 4 z. With H the 8 x 8 matrix of corner signs (mode m = bits of the axes it alternates in),
//! T = H (x) I3 and T^T T = 8 I: K = T^T M T with M = T K T^T / 64. M has 45 non-zero entries and eight distinct values: three stretch modes,
//! three pairs of shear (rotations are their null directions), hourglass modes in blocks of 2 and 3, and three single ones.
//! Checked by computation against the dense product (tests); the transform of element matrices by symmetry is standard group theory.

/// Dense 24 x 24 stiffness, row by row, N/mm, of a cube of edge `h` mm with Lamé constants in MPa.
pub fn cube_stiffness(lambda: f64, mu: f64, h: f64) -> Box<[f64; 576]> {
    let mut k = Box::new([0.0; 576]);
    let gauss = 1.0 / 3.0f64.sqrt();
    for q in 0..8 {
        let mut slope = [[0.0; 3]; 8];
        for (a, slope) in slope.iter_mut().enumerate() {
            let f: [f64; 3] = std::array::from_fn(|d| 1.0 + sign(a, d) * sign(q, d) * gauss);
            *slope = [
                sign(a, 0) * f[1] * f[2] / (4.0 * h),
                sign(a, 1) * f[0] * f[2] / (4.0 * h),
                sign(a, 2) * f[0] * f[1] / (4.0 * h),
            ];
        }
        let weight = h * h * h / 8.0;
        for a in 0..8 {
            for b in 0..8 {
                let dot: f64 = (0..3).map(|d| slope[a][d] * slope[b][d]).sum();
                for i in 0..3 {
                    for j in 0..3 {
                        let mut value = lambda * slope[a][i] * slope[b][j] + mu * slope[b][i] * slope[a][j];
                        if i == j {
                            value += mu * dot;
                        }
                        k[(3 * a + i) * 24 + 3 * b + j] += weight * value;
                    }
                }
            }
        }
    }
    k
}

/// Side of the cube on which corner `corner` lies along axis `axis`: -1 or 1.
fn sign(corner: usize, axis: usize) -> f64 {
    if corner >> axis & 1 == 1 { 1.0 } else { -1.0 }
}

/// Stiffness matrices of the materials met so far, all of one edge length.
#[derive(Debug, Clone)]
pub(crate) struct Cubes {
    spacing: f64,
    materials: Vec<(f64, f64)>,
    matrices: Vec<Box<[f64; 576]>>,
}

impl Cubes {
    pub(crate) fn new(spacing: f64) -> Self {
        Self { spacing, materials: Vec::new(), matrices: Vec::new() }
    }

    /// Number of the matrix of a material, computed at its first call.
    pub(crate) fn number(&mut self, lambda: f64, mu: f64) -> usize {
        self.materials.iter().rposition(|m| *m == (lambda, mu)).unwrap_or_else(|| {
            self.materials.push((lambda, mu));
            self.matrices.push(cube_stiffness(lambda, mu, self.spacing));
            self.materials.len() - 1
        })
    }

    /// Entry (i, j) of matrix `number`.
    #[inline]
    pub(crate) fn entry(&self, number: usize, i: usize, j: usize) -> f64 {
        self.matrices[number][24 * i + j]
    }
}

/// The eight distinct values of M, in N/mm: what a cell of one material needs in the sweep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Core {
    /// Stretch: diagonal and between axes.
    pub stretch: [f64; 2],
    /// Shear: all four entries of a pair.
    pub shear: f64,
    /// Bending hourglass: diagonal and beside it.
    pub bend: [f64; 2],
    /// Twisting hourglass: diagonal and between the three.
    pub twist: [f64; 2],
    /// The mode that alternates in all three axes.
    pub corner: f64,
}

impl Core {
    /// Of a cube.
    pub(crate) fn new(lambda: f64, mu: f64, h: f64) -> Self {
        let k = cube_stiffness(lambda, mu, h);
        let entry = |r: usize, c: usize| {
            let mut total = 0.0;
            for a in 0..8 {
                for b in 0..8 {
                    total += walsh(r / 3, a) * walsh(c / 3, b) * k[(3 * a + r % 3) * 24 + 3 * b + c % 3];
                }
            }
            total / 64.0
        };
        Self {
            stretch: [entry(3, 3), entry(3, 7)],
            shear: entry(4, 4),
            bend: [entry(9, 9), entry(9, 20)],
            twist: [entry(11, 11), entry(11, 16)],
            corner: entry(21, 21),
        }
    }
}

/// Value of mode `mode` at corner `corner`.
fn walsh(mode: usize, corner: usize) -> f64 {
    (0..3).filter(|d| mode >> d & 1 == 1).map(|d| sign(corner, d)).product()
}
