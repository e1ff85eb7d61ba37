//! Eigenvalues and vectors of small symmetric matrices by Jacobi rotations (Golub and Van Loan 2013, Matrix computations, section 8.5, memory).

/// Eigenvalues and unit eigenvectors (as rows), greatest value first.
pub(crate) fn symmetric<const N: usize>(matrix: [[f64; N]; N]) -> ([f64; N], [[f64; N]; N]) {
    let mut a = matrix;
    let mut v: [[f64; N]; N] = std::array::from_fn(|i| std::array::from_fn(|j| if i == j { 1.0 } else { 0.0 }));
    for _ in 0..50 {
        let off: f64 = (0..N).flat_map(|i| (i + 1..N).map(move |j| (i, j))).map(|(i, j)| a[i][j] * a[i][j]).sum();
        let on: f64 = (0..N).map(|i| a[i][i] * a[i][i]).sum();
        if off <= 1e-30 * on || off == 0.0 {
            break;
        }
        for p in 0..N {
            for q in p + 1..N {
                if a[p][q] == 0.0 {
                    continue;
                }
                let theta = (a[q][q] - a[p][p]) / (2.0 * a[p][q]);
                let t = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
                let c = 1.0 / (t * t + 1.0).sqrt();
                let s = t * c;
                for row in &mut a {
                    (row[p], row[q]) = (c * row[p] - s * row[q], s * row[p] + c * row[q]);
                }
                turn_rows(&mut a, p, q, c, s);
                turn_rows(&mut v, p, q, c, s);
            }
        }
    }
    let mut order: [usize; N] = std::array::from_fn(|i| i);
    order.sort_by(|&i, &j| a[j][j].total_cmp(&a[i][i]));
    (order.map(|i| a[i][i]), order.map(|i| v[i]))
}

fn turn_rows<const N: usize>(m: &mut [[f64; N]; N], p: usize, q: usize, c: f64, s: f64) {
    let (x, y) = (m[p], m[q]);
    m[p] = std::array::from_fn(|k| c * x[k] - s * y[k]);
    m[q] = std::array::from_fn(|k| s * x[k] + c * y[k]);
}

#[cfg(test)]
mod tests {
    use super::symmetric;

    #[test]
    fn values_and_vectors_rebuild_the_matrix() {
        let m = [[4.0, 1.0, -2.0], [1.0, 3.0, 0.5], [-2.0, 0.5, 1.0]];
        let (values, vectors) = symmetric(m);
        for i in 0..3 {
            for j in 0..3 {
                let back: f64 = (0..3).map(|k| values[k] * vectors[k][i] * vectors[k][j]).sum();
                assert!((back - m[i][j]).abs() < 1e-12);
            }
        }
        assert!(values[0] >= values[1] && values[1] >= values[2]);
    }
}
