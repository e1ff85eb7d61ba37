//! Small dense algebra on row-major slices.

/// A matrix that is not positive definite.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("matrix is not positive definite at row {0}: the unknowns are not all determined")]
pub struct NotPositiveDefinite(pub usize);

/// Lower Cholesky factor L (row-major, n x n) of a symmetric positive definite matrix, A = L L^T.
///
/// # Errors
/// [`NotPositiveDefinite`] names the row where it fails.
pub fn cholesky(matrix: &[f64], n: usize) -> Result<Vec<f64>, NotPositiveDefinite> {
    let mut l = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let dot: f64 = (0..j).map(|k| l[i * n + k] * l[j * n + k]).sum();
            let rest = matrix[i * n + j] - dot;
            if i == j {
                if rest.is_nan() || rest <= 0.0 {
                    return Err(NotPositiveDefinite(i));
                }
                l[i * n + i] = rest.sqrt();
            } else {
                l[i * n + j] = rest / l[j * n + j];
            }
        }
    }
    Ok(l)
}

/// Solves L L^T x = b for a factor from [`cholesky`].
pub fn cholesky_solve(l: &[f64], n: usize, b: &[f64]) -> Vec<f64> {
    let mut x = b.to_vec();
    for i in 0..n {
        let dot: f64 = (0..i).map(|k| l[i * n + k] * x[k]).sum();
        x[i] = (x[i] - dot) / l[i * n + i];
    }
    for i in (0..n).rev() {
        let dot: f64 = (i + 1..n).map(|k| l[k * n + i] * x[k]).sum();
        x[i] = (x[i] - dot) / l[i * n + i];
    }
    x
}

/// Inverse of a symmetric positive definite matrix from its factor.
pub fn cholesky_inverse(l: &[f64], n: usize) -> Vec<f64> {
    let mut inverse = vec![0.0; n * n];
    for j in 0..n {
        let mut unit = vec![0.0; n];
        unit[j] = 1.0;
        for (i, v) in cholesky_solve(l, n, &unit).into_iter().enumerate() {
            inverse[i * n + j] = v;
        }
    }
    inverse
}

/// Eigenvalues (ascending) and eigenvectors (column j of the row-major result belongs to value j) of a symmetric matrix, by
/// cyclic Jacobi rotations (Golub, Van Loan, Matrix computations, section 8.5).
pub fn symmetric_eigen(matrix: &[f64], n: usize) -> (Vec<f64>, Vec<f64>) {
    let mut a = matrix.to_vec();
    let mut v = vec![0.0; n * n];
    for i in 0..n {
        v[i * n + i] = 1.0;
    }
    for _sweep in 0..60 {
        let off: f64 = (0..n).flat_map(|i| (0..i).map(move |j| (i, j))).map(|(i, j)| a[i * n + j].powi(2)).sum();
        let scale: f64 = (0..n).map(|i| a[i * n + i].powi(2)).sum();
        if off <= 1e-32 * (scale + off) {
            break;
        }
        for p in 0..n {
            for q in p + 1..n {
                rotate(&mut a, &mut v, n, p, q);
            }
        }
    }
    let mut order: Vec<usize> = (0..n).collect();
    order.sort_by(|&i, &j| a[i * n + i].total_cmp(&a[j * n + j]));
    let values = order.iter().map(|&i| a[i * n + i]).collect();
    let mut vectors = vec![0.0; n * n];
    for (column, &i) in order.iter().enumerate() {
        for row in 0..n {
            vectors[row * n + column] = v[row * n + i];
        }
    }
    (values, vectors)
}

/// One Jacobi rotation that zeroes a[p][q].
fn rotate(a: &mut [f64], v: &mut [f64], n: usize, p: usize, q: usize) {
    let apq = a[p * n + q];
    if apq == 0.0 {
        return;
    }
    let theta = (a[q * n + q] - a[p * n + p]) / (2.0 * apq);
    let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let t = if theta == 0.0 { 1.0 } else { t };
    let c = 1.0 / (t * t + 1.0).sqrt();
    let s = t * c;
    for k in 0..n {
        let (kp, kq) = (a[k * n + p], a[k * n + q]);
        (a[k * n + p], a[k * n + q]) = (c * kp - s * kq, s * kp + c * kq);
    }
    for k in 0..n {
        let (pk, qk) = (a[p * n + k], a[q * n + k]);
        (a[p * n + k], a[q * n + k]) = (c * pk - s * qk, s * pk + c * qk);
        let (kp, kq) = (v[k * n + p], v[k * n + q]);
        (v[k * n + p], v[k * n + q]) = (c * kp - s * kq, s * kp + c * kq);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_system_is_solved_and_taken_apart() {
        let a = [4.0, 2.0, 0.6, 2.0, 3.0, 0.4, 0.6, 0.4, 2.0];
        let l = cholesky(&a, 3).unwrap();
        let x = cholesky_solve(&l, 3, &[1.0, 2.0, 3.0]);
        for i in 0..3 {
            let back: f64 = (0..3).map(|j| a[i * 3 + j] * x[j]).sum();
            assert!((back - [1.0, 2.0, 3.0][i]).abs() < 1e-13);
        }
        let (values, vectors) = symmetric_eigen(&a, 3);
        for (j, value) in values.iter().enumerate() {
            for i in 0..3 {
                let av: f64 = (0..3).map(|k| a[i * 3 + k] * vectors[k * 3 + j]).sum();
                assert!((av - value * vectors[i * 3 + j]).abs() < 1e-12);
            }
        }
        assert_eq!(cholesky(&[1.0, 2.0, 2.0, 1.0], 2), Err(NotPositiveDefinite(1)));
    }
}
