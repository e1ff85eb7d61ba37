//! Quadrature, roots, minima, algebra, sums and interpolation: what the mathematics promises.

use numerics::{counts, dense::Matrix, gauss, interpolate::Curve, minimise, normal, root, sum};
use proptest::prelude::*;

#[test]
fn gauss_rules_are_exact_for_polynomials() {
    for n in [1, 2, 5, 25, 64, 200] {
        let rule = gauss::legendre(n);
        // integral of x^2k over -1..1 = 2/(2k+1) for 2k <= 2n-1.
        for k in 0..n.min(40) {
            let found = rule.apply(|x| x.powi(2 * k as i32));
            assert!((found - 2.0 / (2 * k + 1) as f64).abs() < 3e-15 * n as f64, "n {n}, k {k}: {found}");
        }
        let rule = gauss::hermite(n);
        let mut moment = std::f64::consts::PI.sqrt();
        for k in 0..n.min(20) {
            // integral of x^2k exp(-x^2) = Gamma(k + 1/2).
            let found = rule.apply(|x| x.powi(2 * k as i32));
            assert!((found / moment - 1.0).abs() < 2e-12, "n {n}, k {k}: {found} for {moment}");
            moment *= k as f64 + 0.5;
        }
    }
    // Abramowitz, Stegun 1964, table 25.4 (n = 5) and table 25.10 (n = 5).
    assert!((gauss::legendre(5).nodes[4] - 0.906179845938664).abs() < 1e-15);
    assert!((gauss::legendre(5).weights[4] - 0.236926885056189).abs() < 1e-15);
    assert!((gauss::hermite(5).nodes[4] - 2.020182870456086).abs() < 1e-14);
    assert!((gauss::hermite(5).weights[4] - 1.995324205905e-2).abs() < 1e-14);
}

#[test]
fn counts_sum_to_one() {
    let poisson: f64 = sum::compensated((0..200).map(|k| counts::ln_poisson(f64::from(k), 61.3).exp()));
    assert!((poisson - 1.0).abs() < 1e-14);
    let binomial: f64 = sum::compensated((0..=80).map(|k| counts::ln_binomial(f64::from(k), 80.0, 0.27).exp()));
    assert!((binomial - 1.0).abs() < 1e-14);
    assert!(counts::ln_binomial(3.0, 2.0, 0.5).is_nan() && counts::ln_poisson(-1.0, 2.0).is_nan());
}

#[test]
fn a_bracket_without_a_root_is_refused() {
    let error = root::brent(|x| x * x + 1.0, -1.0, 1.0, 1e-12).unwrap_err();
    assert!(matches!(error, root::RootError::NoBracket { .. }), "{error}");
    assert!(matches!(root::brent(|_| f64::NAN, 0.0, 1.0, 1e-12), Err(root::RootError::NotANumber(_))));
    let (low, high) = root::bracket(|x| x - 100.0, 0.0, 1.0).unwrap();
    assert!(low <= 100.0 && high >= 100.0);
}

#[test]
fn minima_of_known_functions() {
    let m = minimise::brent(|x| (x - 2.5).powi(2) + 1.0, -10.0, 10.0, 1e-9);
    assert!(m.converged && (m.at - 2.5).abs() < 1e-7);
    // Rosenbrock's valley.
    let f = |x: &[f64]| (1.0 - x[0]).powi(2) + 100.0 * (x[1] - x[0] * x[0]).powi(2);
    let m = minimise::nelder_mead(f, &[-1.2, 1.0], &[0.5, 0.5], 1e-20, 5000);
    assert!(m.converged && (m.at[0] - 1.0).abs() < 1e-6 && (m.at[1] - 1.0).abs() < 1e-6);
}

#[test]
fn sums_keep_small_terms() {
    assert_eq!(sum::compensated([1.0, 1e100, 1.0, -1e100]), 2.0);
    assert_eq!(sum::compensated([f64::INFINITY, 1.0]), f64::INFINITY);
    assert!((sum::log_sum_exp(&[-1000.0, -1000.0]) - (-1000.0 + 2.0_f64.ln())).abs() < 1e-12);
    assert_eq!(sum::log_sum_exp(&[]), f64::NEG_INFINITY);
}

#[test]
fn not_positive_definite_is_said() {
    let a = Matrix::from_fn(2, |i, j| if i == j { 1.0 } else { 2.0 });
    assert!(a.cholesky().is_err());
    assert!(Matrix::from_fn(2, |_, _| 1.0).solve(&[1.0, 2.0]).is_err());
}

proptest! {
    #[test]
    fn normal_quantile_undoes_the_cumulative(x in -37.0..5.0_f64) {
        prop_assert!((normal::quantile(normal::cdf(x)) - x).abs() < 1e-9);
    }

    #[test]
    fn brent_finds_cubic_roots(r in -50.0..50.0_f64) {
        let found = root::brent(|x| (x - r).powi(3) + (x - r), -100.0, 100.0, 1e-12).unwrap();
        prop_assert!((found - r).abs() < 1e-10);
    }

    #[test]
    fn factors_and_eigenvalues_rebuild_the_matrix(entries in prop::collection::vec(-1.0..1.0_f64, 25), b in prop::collection::vec(-3.0..3.0_f64, 5)) {
        let g = |i: usize, j: usize| entries[5 * i + j];
        let a = Matrix::from_fn(5, |i, j| (0..5).map(|k| g(i, k) * g(j, k)).sum::<f64>() + if i == j { 0.5 } else { 0.0 });
        let cholesky = a.cholesky().unwrap();
        for x in [cholesky.solve(&b), a.solve(&b).unwrap()] {
            for (found, wanted) in a.times(&x).iter().zip(&b) {
                prop_assert!((found - wanted).abs() < 1e-11);
            }
        }
        let (values, vectors) = a.symmetric_eigen();
        let ln_det: f64 = values.iter().map(|v| v.ln()).sum();
        prop_assert!((ln_det - cholesky.ln_determinant()).abs() < 1e-10);
        for i in 0..5 { for j in 0..5 {
            let rebuilt: f64 = (0..5).map(|k| values[k] * vectors.get(i, k) * vectors.get(j, k)).sum();
            prop_assert!((rebuilt - a.get(i, j)).abs() < 1e-12);
        } }
    }

    #[test]
    fn monotone_tables_stay_monotone(steps in prop::collection::vec((0.01..2.0_f64, 0.0..3.0_f64), 3..12), t in 0.0..1.0_f64) {
        let (mut x, mut y) = (vec![0.0], vec![0.0]);
        for (dx, dy) in steps {
            x.push(x[x.len() - 1] + dx);
            y.push(y[y.len() - 1] + dy);
        }
        let curve = Curve::monotone(&x, &y).unwrap();
        let end = x[x.len() - 1];
        prop_assert!(curve.at(t * end) <= curve.at(t * end + 0.01 * end) + 1e-12);
        for (x, y) in x.iter().zip(&y) {
            prop_assert!((curve.at(*x) - y).abs() < 1e-12);
        }
    }
}
