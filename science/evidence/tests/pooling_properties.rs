//! What pooling promises whatever the data.

use evidence::pool::*;
use proptest::prelude::*;

const METHODS: [Between; 5] =
    [Between::Common, Between::DerSimonianLaird, Between::PauleMandel, Between::MaximumLikelihood, Between::Reml];

fn studies() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec((0..60u32, 20.0..3000.0_f64), 3..25)
        .prop_map(|v| v.into_iter().map(|(x, t)| (f64::from(x), t)).collect())
}

fn split(studies: &[(f64, f64)]) -> (Vec<f64>, Vec<f64>) {
    studies.iter().copied().unzip()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn order_does_not_matter(mut data in studies()) {
        let fit = |d: &[(f64, f64)]| {
            let (x, t) = split(d);
            let effects = log_rates(&x, &t, Zeros::AddHalfToThem).unwrap();
            METHODS.map(|m| pool(&effects, m, Errors::HartungKnapp).map(|f| (f.b[0], f.tau2)))
        };
        let before = fit(&data);
        data.reverse();
        for (a, b) in before.iter().zip(fit(&data)) {
            let (a, b) = (a.as_ref().unwrap(), b.unwrap());
            prop_assert!((a.0 - b.0).abs() < 1e-7 && (a.1 - b.1).abs() < 1e-7 * (1.0 + a.1));
        }
    }

    #[test]
    fn the_unit_of_exposure_only_shifts_log_rates(data in studies(), scale in 0.001..1000.0_f64) {
        let (x, t) = split(&data);
        let other: Vec<f64> = t.iter().map(|t| t * scale).collect();
        let fit = |t: &[f64]| pool(&log_rates(&x, t, Zeros::AddHalfToThem).unwrap(), Between::Reml, Errors::Wald).unwrap();
        let (a, b) = (fit(&t), fit(&other));
        prop_assert!((a.b[0] - b.b[0] - scale.ln()).abs() < 1e-7);
        prop_assert!((a.tau2 - b.tau2).abs() < 1e-7 * (1.0 + a.tau2));
        if x.iter().sum::<f64>() > 0.0 {
            let ones = vec![1.0; x.len()];
            let exact = |t: &[f64]| glmm(Family::Poisson, &x, t, &ones, 1, 15).unwrap();
            let (a, b) = (exact(&t), exact(&other));
            prop_assert!((a.b[0] - b.b[0] - scale.ln()).abs() < 1e-6, "{} {}", a.b[0], b.b[0]);
            prop_assert!((a.tau - b.tau).abs() < 1e-6);
        }
    }

    #[test]
    fn a_pool_lies_among_its_studies_and_never_narrower_is_never_narrower(data in studies()) {
        let (x, t) = split(&data);
        let effects = log_rates(&x, &t, Zeros::AddHalfToAllIfAny).unwrap();
        let low = effects.iter().map(|e| e.y).fold(f64::INFINITY, f64::min);
        let high = effects.iter().map(|e| e.y).fold(f64::NEG_INFINITY, f64::max);
        for m in METHODS {
            let plain = pool(&effects, m, Errors::Wald).unwrap();
            prop_assert!(plain.b[0] >= low - 1e-12 && plain.b[0] <= high + 1e-12 && plain.tau2 >= 0.0);
            let never = pool(&effects, m, Errors::HartungKnappNeverNarrower).unwrap();
            prop_assert!(never.se(0) >= plain.se(0));
        }
        let (low, high) = q_profile(&effects, &vec![1.0; effects.len()], 1, 0.95).unwrap();
        prop_assert!(low <= high);
    }

    #[test]
    fn freeman_tukey_comes_back(x in 0..50u32, more in 0..500u32) {
        let n = f64::from(x + more + 1);
        let effect = freeman_tukey_proportions(&[f64::from(x)], &[n]).unwrap()[0];
        prop_assert!((proportion_of_freeman_tukey(effect.y, n) - f64::from(x) / n).abs() < 1e-9);
    }
}

#[test]
fn one_study_two_studies_and_bad_figures() {
    let one = log_rates(&[4.0], &[200.0], Zeros::Refuse).unwrap();
    assert!((pool(&one, Between::Reml, Errors::Wald).unwrap().b[0] - 0.02_f64.ln()).abs() < 1e-12);
    assert!(matches!(pool(&one, Between::Reml, Errors::HartungKnapp), Err(PoolError::TooFew { .. })));
    let two = log_rates(&[4.0, 9.0], &[200.0, 150.0], Zeros::Refuse).unwrap();
    assert!(pool(&two, Between::Reml, Errors::HartungKnapp).unwrap().interval(0, 0.95).1 > 0.0_f64.ln_1p());
    assert!(matches!(pool(&[], Between::Reml, Errors::Wald), Err(PoolError::TooFew { .. })));
    assert!(matches!(log_rates(&[-1.0], &[10.0], Zeros::Refuse), Err(PoolError::Count { study: 0, .. })));
    assert!(matches!(log_rates(&[1.0], &[0.0], Zeros::Refuse), Err(PoolError::Count { .. })));
    assert!(matches!(logits(&[11.0], &[10.0], Zeros::Refuse), Err(PoolError::Count { .. })));
    assert!(matches!(log_rates(&[0.0, 1.0], &[9.0, 9.0], Zeros::Refuse), Err(PoolError::NoEvents { study: 0 })));
    assert!(matches!(
        glmm(Family::Poisson, &[0.0, 0.0, 0.0], &[9.0, 9.0, 9.0], &[1.0; 3], 1, 25),
        Err(PoolError::NoInformation)
    ));
    let twice: Vec<f64> = [1.0, 1.0].repeat(3);
    let three = log_rates(&[4.0, 9.0, 5.0], &[200.0, 150.0, 90.0], Zeros::Refuse).unwrap();
    assert!(matches!(regress(&three, &twice, 2, Between::Reml, Errors::Wald), Err(PoolError::Design)));
}

#[test]
fn ten_thousand_studies_and_huge_scatter() {
    let world = answer::World::with_draws(4, 10_000);
    let truth = world.normal("log rate", -4.0, 2.0);
    let t: Vec<f64> = (0..10_000).map(|i| 300.0 + f64::from(i % 700)).collect();
    let u = world.uniform("count");
    let x: Vec<f64> = truth.iter().zip(&t).zip(u.iter()).map(|((r, t), u)| poisson_quantile(r.exp() * t, u)).collect();
    let ones = vec![1.0; x.len()];
    let exact = glmm(Family::Poisson, &x, &t, &ones, 1, 25).unwrap();
    // Four standard errors.
    assert!((exact.b[0] + 4.0).abs() < 4.0 * exact.se(0) && (exact.tau - 2.0).abs() < 4.0 * exact.covariance[3].sqrt());
    assert!(exact.se(0) < 0.03);
    let effects = log_rates(&x, &t, Zeros::AddHalfToThem).unwrap();
    let reml = pool(&effects, Between::Reml, Errors::HartungKnapp).unwrap();
    assert!(reml.tau2 > 1.0 && reml.heterogeneity.i2 > 0.5);
}

/// The count whose cumulative probability first reaches `u`.
fn poisson_quantile(mean: f64, u: f64) -> f64 {
    let (mut total, mut count) = (0.0, 0.0);
    loop {
        total += numerics::counts::ln_poisson(count, mean).exp();
        if total >= u || count > 10.0 * mean + 1000.0 {
            return count;
        }
        count += 1.0;
    }
}
