//! Small dense matrices (up to a few hundred rows), row-major: Cholesky, solution with pivots, symmetric eigenvalues by Jacobi.
//!
//! Golub, Van Loan 2013, Matrix Computations, 4th ed., algorithms 4.2.1, 3.4.1 and 8.5.2.

use thiserror::Error;

/// Why a matrix could not be worked with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum DenseError {
    /// A pivot was not positive: the matrix is not positive definite.
    #[error("the matrix is not positive definite (pivot {0})")]
    NotPositiveDefinite(usize),
    /// A pivot vanished: the equations have no unique solution.
    #[error("the matrix is singular (pivot {0})")]
    Singular(usize),
}

/// A square matrix of `n` rows.
#[derive(Debug, Clone, PartialEq)]
pub struct Matrix {
    n: usize,
    entries: Vec<f64>,
}

impl Matrix {
    /// From a function of row and column.
    pub fn from_fn(n: usize, f: impl Fn(usize, usize) -> f64) -> Self {
        Self { n, entries: (0..n * n).map(|k| f(k / n, k % n)).collect() }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.n
    }

    /// Entry of row `i`, column `j`.
    pub fn get(&self, i: usize, j: usize) -> f64 {
        self.entries[i * self.n + j]
    }

    /// Sets the entry of row `i`, column `j`.
    pub fn set(&mut self, i: usize, j: usize, value: f64) {
        self.entries[i * self.n + j] = value;
    }

    /// Product with a vector of `n` entries.
    pub fn times(&self, x: &[f64]) -> Vec<f64> {
        (0..self.n).map(|i| (0..self.n).map(|j| self.get(i, j) * x[j]).sum()).collect()
    }

    /// Lower Cholesky factor of a symmetric positive definite matrix (the lower triangle is read).
    pub fn cholesky(&self) -> Result<Cholesky, DenseError> {
        let n = self.n;
        let mut l = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let dot: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
                let rest = self.get(i, j) - dot;
                if i == j {
                    if rest.is_nan() || rest <= 0.0 {
                        return Err(DenseError::NotPositiveDefinite(i));
                    }
                    l[i * n + i] = rest.sqrt();
                } else {
                    l[i * n + j] = rest / l[j * n + j];
                }
            }
        }
        Ok(Cholesky { n, l })
    }

    /// Solution of A x = b by elimination with partial pivots.
    pub fn solve(&self, b: &[f64]) -> Result<Vec<f64>, DenseError> {
        let n = self.n;
        let mut a = self.entries.clone();
        let mut x = b.to_vec();
        for k in 0..n {
            let pivot = (k..n).max_by(|&i, &j| a[i * n + k].abs().total_cmp(&a[j * n + k].abs())).unwrap_or(k);
            if a[pivot * n + k] == 0.0 || a[pivot * n + k].is_nan() {
                return Err(DenseError::Singular(k));
            }
            if pivot != k {
                for j in 0..n {
                    a.swap(pivot * n + j, k * n + j);
                }
                x.swap(pivot, k);
            }
            for i in k + 1..n {
                let factor = a[i * n + k] / a[k * n + k];
                if factor != 0.0 {
                    for j in k..n {
                        a[i * n + j] -= factor * a[k * n + j];
                    }
                    x[i] -= factor * x[k];
                }
            }
        }
        for k in (0..n).rev() {
            let dot: f64 = (k + 1..n).map(|j| a[k * n + j] * x[j]).sum();
            x[k] = (x[k] - dot) / a[k * n + k];
        }
        Ok(x)
    }

    /// Eigenvalues (ascending) and eigenvectors (one a column) of a symmetric matrix, by cyclic Jacobi rotations.
    pub fn symmetric_eigen(&self) -> (Vec<f64>, Self) {
        let n = self.n;
        let mut a = self.clone();
        let mut v = Self::from_fn(n, |i, j| if i == j { 1.0 } else { 0.0 });
        for _ in 0..60 {
            let off: f64 = (0..n).map(|i| (0..i).map(|j| a.get(i, j).powi(2)).sum::<f64>()).sum();
            let diagonal: f64 = (0..n).map(|i| a.get(i, i).powi(2)).sum();
            if off <= 1e-32 * diagonal {
                break;
            }
            for p in 0..n {
                for q in p + 1..n {
                    rotate(&mut a, &mut v, p, q);
                }
            }
        }
        let mut order: Vec<usize> = (0..n).collect();
        order.sort_by(|&i, &j| a.get(i, i).total_cmp(&a.get(j, j)));
        let values = order.iter().map(|&i| a.get(i, i)).collect();
        (values, Self::from_fn(n, |i, j| v.get(i, order[j])))
    }
}

/// One Jacobi rotation that clears entry (p, q).
fn rotate(a: &mut Matrix, v: &mut Matrix, p: usize, q: usize) {
    let apq = a.get(p, q);
    if apq == 0.0 {
        return;
    }
    let theta = (a.get(q, q) - a.get(p, p)) / (2.0 * apq);
    let t = 1.0_f64.copysign(theta) / (theta.abs() + theta.hypot(1.0));
    let c = 1.0 / t.hypot(1.0);
    let s = t * c;
    for k in 0..a.n {
        let (x, y) = (a.get(k, p), a.get(k, q));
        a.set(k, p, c * x - s * y);
        a.set(k, q, s * x + c * y);
    }
    for k in 0..a.n {
        let (x, y) = (a.get(p, k), a.get(q, k));
        a.set(p, k, c * x - s * y);
        a.set(q, k, s * x + c * y);
    }
    for k in 0..v.n {
        let (x, y) = (v.get(k, p), v.get(k, q));
        v.set(k, p, c * x - s * y);
        v.set(k, q, s * x + c * y);
    }
}

/// The lower factor L of A = L L'.
#[derive(Debug, Clone, PartialEq)]
pub struct Cholesky {
    n: usize,
    l: Vec<f64>,
}

impl Cholesky {
    /// Entry of row `i`, column `j` of L.
    pub fn get(&self, i: usize, j: usize) -> f64 {
        self.l[i * self.n + j]
    }

    /// ln of the determinant of A.
    pub fn ln_determinant(&self) -> f64 {
        (0..self.n).map(|i| 2.0 * self.get(i, i).ln()).sum()
    }

    /// Solution of A x = b.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut x = b.to_vec();
        for i in 0..self.n {
            let dot: f64 = (0..i).map(|k| self.get(i, k) * x[k]).sum();
            x[i] = (x[i] - dot) / self.get(i, i);
        }
        self.solve_transposed(&x)
    }

    /// Solution of L' x = b: turns standard normal values into values of covariance A^-1.
    pub fn solve_transposed(&self, b: &[f64]) -> Vec<f64> {
        let mut x = b.to_vec();
        for i in (0..self.n).rev() {
            let dot: f64 = (i + 1..self.n).map(|k| self.get(k, i) * x[k]).sum();
            x[i] = (x[i] - dot) / self.get(i, i);
        }
        x
    }

    /// L z: turns standard normal values into values of covariance A.
    pub fn times(&self, z: &[f64]) -> Vec<f64> {
        (0..self.n).map(|i| (0..=i).map(|k| self.get(i, k) * z[k]).sum()).collect()
    }

    /// The inverse of A.
    pub fn inverse(&self) -> Matrix {
        let mut inverse = Matrix::from_fn(self.n, |_, _| 0.0);
        for j in 0..self.n {
            let unit: Vec<f64> = (0..self.n).map(|i| if i == j { 1.0 } else { 0.0 }).collect();
            for (i, x) in self.solve(&unit).into_iter().enumerate() {
                inverse.set(i, j, x);
            }
        }
        inverse
    }
}
