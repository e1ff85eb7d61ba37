//! What the mathematics promises, on random rows: no censoring gives the empirical distribution, causes add up, time has no unit, rows have no order,
//! counting may be done elsewhere, every row may be its own cluster; and what must be refused is refused by name.

use proptest::prelude::*;
use survival::cox::{Covariate, Cox, CoxError, Ties};
use survival::parametric::{Law, Lifetime, LifetimeError, Span, lifetimes};
use survival::*;

/// Times with ties, causes 0 to 2, clusters.
fn rows() -> impl Strategy<Value = (Vec<f64>, Vec<u32>, Vec<u32>)> {
    prop::collection::vec((1..30u32, 0..3u32, 0..9u32), 2..80).prop_map(|v| {
        let exit = v.iter().map(|r| f64::from(r.0)).collect();
        (exit, v.iter().map(|r| r.1).collect(), v.iter().map(|r| r.2).collect())
    })
}

fn near(a: f64, b: f64) -> bool {
    // Sums of up to 80 terms in another order differ by rounding only.
    (a.is_nan() && b.is_nan()) || (a - b).abs() <= 1e-10 * a.abs().max(1.0)
}

/// Standard errors are compared as variances: the sum that rounds is the variance, and where it is nought its root would show 1e-17 as 1e-8.
fn same_error(a: f64, b: f64) -> bool {
    near(a * a, b * b)
}

#[test]
fn an_error_of_nought_is_nought_in_stretches_too() {
    // Everything that was watched to the end failed of one cause: its incidence is one, whichever unit is left out.
    let (exit, cause, cluster) = ([20.0, 1.0, 1.0], [2, 2, 0], [0, 0, 1]);
    let seen = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
    let last = *aalen_johansen(&seen)[1].steps.last().unwrap();
    assert!(near(last.incidence, 1.0) && same_error(last.se, 0.0), "{} {}", last.incidence, last.se);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn without_censoring_the_curve_is_empirical((exit, _, _) in rows()) {
        let failed = vec![1; exit.len()];
        let curve = kaplan_meier(&Observations::new(&exit, &failed).unwrap());
        for t in 0..31 {
            let t = f64::from(t);
            let standing = exit.iter().filter(|x| **x > t).count() as f64 / exit.len() as f64;
            prop_assert!(near(curve.at(t).survival, standing));
            // Greenwood without censoring is the binomial variance.
            if standing > 0.0 {
                let binomial = (standing * (1.0 - standing) / exit.len() as f64).sqrt();
                prop_assert!(same_error(curve.at(t).se(), binomial));
            }
        }
    }

    #[test]
    fn incidences_add_up_to_one_less_survival((exit, cause, cluster) in rows()) {
        let seen = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
        let (curve, causes) = (kaplan_meier(&seen), aalen_johansen(&seen));
        for step in &curve.steps {
            let sum: f64 = causes.iter().map(|c| c.at(step.time).incidence).sum();
            prop_assert!(near(sum, 1.0 - step.survival));
        }
        // With one cause alone its error is that of the curve.
        let one: Vec<u32> = cause.iter().map(|&c| u32::from(c > 0)).collect();
        let seen = Observations::new(&exit, &one).unwrap().with_clusters(&cluster).unwrap();
        for (a, b) in aalen_johansen(&seen).first().map_or(&[][..], |c| &c.steps).iter().zip(kaplan_meier(&seen).steps) {
            prop_assert!(b.survival == 0.0 || same_error(a.se, b.se()), "{} {}", a.se, b.se());
        }
    }

    #[test]
    fn time_has_no_unit_and_rows_no_order((exit, cause, cluster) in rows(), scale in 0.01f64..100.0) {
        let seen = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
        let back = |v: &[u32]| v.iter().rev().copied().collect::<Vec<_>>();
        // Broken times are sorted, whole ones counted: the two ways must agree.
        let other: Vec<f64> = exit.iter().rev().map(|t| t * scale).collect();
        let (cause_back, cluster_back) = (back(&cause), back(&cluster));
        let turned = Observations::new(&other, &cause_back).unwrap().with_clusters(&cluster_back).unwrap();
        let (a, b) = (kaplan_meier(&seen), kaplan_meier(&turned));
        prop_assert_eq!(a.steps.len(), b.steps.len());
        for (a, b) in a.steps.iter().zip(&b.steps) {
            prop_assert!(near(a.survival, b.survival) && same_error(a.log_se, b.log_se) && same_error(a.hazard_se, b.hazard_se));
            prop_assert!(near(a.time * scale, b.time));
        }
        for (a, b) in aalen_johansen(&seen).iter().zip(aalen_johansen(&turned)) {
            for (a, b) in a.steps.iter().zip(b.steps) {
                prop_assert!(near(a.incidence, b.incidence) && same_error(a.se, b.se));
            }
        }
    }

    #[test]
    fn counting_may_be_done_elsewhere((exit, cause, _) in rows(), cut in 0..80usize) {
        let seen = Observations::new(&exit, &cause).unwrap();
        let whole = RiskTable::count(&seen);
        let events = (1..=whole.causes()).map(|c| whole.events(c).to_vec()).collect();
        let parts = (whole.time().to_vec(), whole.at_risk().to_vec(), events, whole.censored().to_vec());
        let given = RiskTable::from_counts(parts.0, parts.1, parts.2, parts.3).unwrap();
        for (a, b) in kaplan_meier_of(&given).steps.iter().zip(&kaplan_meier_of(&whole).steps) {
            prop_assert!(near(a.survival, b.survival) && same_error(a.log_se, b.log_se) && near(a.at_risk, b.at_risk));
        }
        // Tables of two sites add up to the table of all.
        let cut = 1 + cut % (exit.len() - 1).max(1);
        if cut < exit.len() {
            let part = |r: std::ops::Range<usize>| RiskTable::count(&Observations::new(&exit[r.clone()], &cause[r]).unwrap());
            let sum = RiskTable::sum(&[part(0..cut), part(cut..exit.len())]).unwrap();
            let (a, b) = (kaplan_meier_of(&sum), kaplan_meier_of(&whole));
            for (a, b) in a.steps.iter().zip(&b.steps) {
                prop_assert!(near(a.survival, b.survival) && near(a.at_risk, b.at_risk));
            }
        }
    }

    #[test]
    fn a_count_is_as_many_rows((exit, cause, _) in rows(), twice in 0..80usize) {
        let mut weight = vec![1.0; exit.len()];
        let twice = twice % exit.len();
        weight[twice] = 2.0;
        let (mut longer, mut causes) = (exit.clone(), cause.clone());
        longer.push(exit[twice]);
        causes.push(cause[twice]);
        let a = kaplan_meier(&Observations::new(&exit, &cause).unwrap().with_weights(&weight).unwrap());
        let b = kaplan_meier(&Observations::new(&longer, &causes).unwrap());
        for (a, b) in a.steps.iter().zip(&b.steps) {
            prop_assert!(near(a.survival, b.survival) && same_error(a.log_se, b.log_se));
        }
    }

    #[test]
    fn a_late_start_before_everything_changes_nothing((exit, cause, cluster) in rows()) {
        let start = vec![-1.0; exit.len()];
        let a = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
        let b = Observations::with_entry(&start, &exit, &cause).unwrap().with_clusters(&cluster).unwrap();
        for (a, b) in aalen_johansen(&a).iter().zip(aalen_johansen(&b)) {
            let last = a.steps.last().unwrap().time;
            prop_assert!(same_error(a.at(last).se, b.at(last).se) && near(a.at(last).incidence, b.at(last).incidence));
        }
    }

    #[test]
    fn one_unit_in_stretches_is_one_unit((exit, cause, cluster) in rows()) {
        // Each row cut in two at half its time, both parts in its cluster: the same estimate and the same errors.
        let (mut entry, mut end, mut why, mut who) = (vec![], vec![], vec![], vec![]);
        for i in 0..exit.len() {
            let half = exit[i] / 2.0;
            entry.extend([-1.0, half]);
            end.extend([half, exit[i]]);
            why.extend([0, cause[i]]);
            who.extend([cluster[i]; 2]);
        }
        let a = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
        let b = Observations::with_entry(&entry, &end, &why).unwrap().with_clusters(&who).unwrap();
        let (x, y) = (kaplan_meier(&a), kaplan_meier(&b));
        for step in x.steps.iter().filter(|s| s.survival > 0.0) {
            let other = y.at(step.time);
            prop_assert!(near(step.survival, other.survival) && same_error(step.log_se, other.log_se));
        }
        for (x, y) in aalen_johansen(&a).iter().zip(aalen_johansen(&b)) {
            for step in &x.steps {
                prop_assert!(same_error(step.se, y.at(step.time).se), "{} {}", step.se, y.at(step.time).se);
            }
        }
        let mean = |o: &Observations<'_>| restricted_mean(o, 20.0);
        prop_assert!(near(mean(&a).mean, mean(&b).mean) && same_error(mean(&a).se, mean(&b).se));
    }

    #[test]
    fn a_single_covariate_of_two_levels_is_the_log_rank_test((exit, cause, group) in rows()) {
        // Without ties among events the score test of Breslow's likelihood is the log-rank test.
        let exit: Vec<f64> = exit.iter().enumerate().map(|(i, t)| t + i as f64 / 1000.0).collect();
        let two: Vec<u32> = group.iter().map(|g| g % 2).collect();
        let x: Vec<f64> = two.iter().map(|&g| f64::from(g)).collect();
        let seen = Observations::new(&exit, &cause).unwrap();
        let covariates = [Covariate { name: "group", values: &x }];
        if let (Ok(test), Ok(fit)) = (log_rank(&seen, &two, None, 0.0), Cox::new(seen, &covariates).unwrap().fit()) {
            prop_assert!((test.chi_square - fit.score_test.chi_square).abs() < 1e-8 * test.chi_square.max(1.0));
        }
    }

    #[test]
    fn regression_survives_anything((exit, cause, cluster) in rows(), x in prop::collection::vec(-5.0f64..5.0, 80)) {
        // An answer with finite figures, or a refusal that names the covariate: never a panic, never silent infinity.
        let steep: Vec<f64> = exit.iter().map(|t| if *t > 15.0 { 1.0 } else { 0.0 }).collect();
        for values in [&x[..exit.len()], &steep] {
            let covariates = [Covariate { name: "x", values }];
            let seen = Observations::new(&exit, &cause).unwrap().with_clusters(&cluster).unwrap();
            match Cox::new(seen, &covariates).unwrap().fit() {
                Ok(fit) => prop_assert!(fit.coefficients[0].is_finite() && fit.model_se[0].is_finite()),
                Err(CoxError::NoEvents) => prop_assert!(cause.iter().all(|c| *c == 0)),
                Err(CoxError::NoInformation { covariate } | CoxError::Separated { covariate }) => prop_assert_eq!(covariate, "x"),
                Err(other) => prop_assert!(false, "{other}"),
            }
        }
    }
}

#[test]
fn all_censored_and_single_events() {
    let exit = [1.0, 2.0, 3.0, 4.0];
    let none = Observations::new(&exit, &[0; 4]).unwrap();
    let curve = kaplan_meier(&none);
    assert_eq!((curve.at(4.0).survival, curve.at(4.0).se()), (1.0, 0.0));
    // No event is not certainty: no interval is claimed.
    assert_eq!(curve.at(4.0).limits(0.95, Scale::LogLog), None);
    assert_eq!(curve.quantile(0.5, 0.95, Scale::LogLog).time, None);
    assert!(aalen_johansen(&none).is_empty());
    assert_eq!(log_rank(&none, &[0, 0, 1, 1], None, 0.0), Err(CompareError::NoEvents));
    let x = [0.0, 1.0, 0.0, 1.0];
    let covariates = [Covariate { name: "x", values: &x }];
    assert_eq!(Cox::new(none, &covariates).unwrap().fit(), Err(CoxError::NoEvents));
    let censored: Vec<Lifetime> = exit.iter().map(|&t| Span::After(t).into()).collect();
    assert_eq!(lifetimes(&censored, &[&[1.0; 4]], Law::Weibull), Err(LifetimeError::NoEvents));

    // One event among four: S = 3/4 (2 at risk of 4, then 1 of 3).
    let one = Observations::new(&exit, &[0, 1, 0, 0]).unwrap();
    assert!((kaplan_meier(&one).at(2.0).survival - 2.0 / 3.0).abs() < 1e-15);
    // A single unit that fails: the curve falls to 0 and has no interval there.
    let single = kaplan_meier(&Observations::new(&[5.0], &[1]).unwrap());
    assert_eq!(single.at(5.0).survival, 0.0);
    assert_eq!(single.at(5.0).limits(0.95, Scale::LogLog), None);
}

#[test]
fn what_cannot_be_fitted_is_refused_by_name() {
    let exit: Vec<f64> = (1..=20).map(f64::from).collect();
    let cause: Vec<u32> = (0..20).map(|i| u32::from(i % 2 == 0)).collect();
    let seen = Observations::new(&exit, &cause).unwrap();
    let fit = |columns: &[(&str, Vec<f64>)], ties| {
        let covariates: Vec<Covariate<'_>> = columns.iter().map(|(name, values)| Covariate { name, values }).collect();
        Cox::new(seen, &covariates).unwrap().with_ties(ties).fit()
    };
    let noise: Vec<f64> = (0..20).map(|i| f64::from((i * 7) % 5)).collect();
    let failed: Vec<f64> = cause.iter().map(|&c| f64::from(c)).collect();
    for ties in [Ties::Efron, Ties::Breslow] {
        // Every event has 1, no censored row has: the effect is infinite.
        let parted = fit(&[("noise", noise.clone()), ("failed", failed.clone())], ties);
        assert_eq!(parted, Err(CoxError::Separated { covariate: "failed".into() }));
        let constant = fit(&[("noise", noise.clone()), ("same", vec![3.0; 20])], ties);
        assert_eq!(constant, Err(CoxError::NoInformation { covariate: "same".into() }));
        let twice: Vec<f64> = noise.iter().map(|v| 2.0 * v + 1.0).collect();
        let copied = fit(&[("noise", noise.clone()), ("twice", twice)], ties);
        assert_eq!(copied, Err(CoxError::NoInformation { covariate: "twice".into() }));
    }
    let bad = [f64::NAN; 20];
    let covariates = [Covariate { name: "bad", values: &bad }];
    assert!(matches!(Cox::new(seen, &covariates), Err(CoxError::NotFinite { row: 0, .. })));
}

#[test]
fn wrong_columns_are_told_with_their_row() {
    assert_eq!(Observations::new(&[], &[]).unwrap_err(), DataError::Empty);
    assert_eq!(Observations::new(&[1.0, f64::NAN], &[0, 1]).unwrap_err().row(), Some(1));
    assert_eq!(Observations::new(&[1.0, -1.0], &[0, 1]).unwrap_err(), DataError::Negative { row: 1 });
    assert_eq!(
        Observations::with_entry(&[0.0, 2.0], &[1.0, 2.0], &[0, 1]).unwrap_err(),
        DataError::Backwards { row: 1 }
    );
    let table = |time: &[f64], n: &[f64], d: &[f64], c: &[f64]| {
        RiskTable::from_counts(time.to_vec(), n.to_vec(), vec![d.to_vec()], c.to_vec()).map(|_| ())
    };
    assert_eq!(table(&[], &[], &[], &[]), Err(TableError::Empty));
    assert_eq!(table(&[2.0, 2.0], &[3.0, 2.0], &[1.0, 1.0], &[0.0, 0.0]), Err(TableError::Order { row: 1 }));
    assert_eq!(table(&[1.0], &[3.0], &[2.0], &[2.0]), Err(TableError::TooMany { row: 0 }));
    assert_eq!(table(&[1.0], &[3.0], &[-1.0], &[0.0]), Err(TableError::Count { row: 0 }));
}
