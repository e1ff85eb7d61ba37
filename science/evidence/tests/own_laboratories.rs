//! Own results by laboratory: the clinic's common part and each laboratory's own, and a clinic found again in a fit that holds its arms.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use answer::{Basis, NoProgress, World};
use evidence::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;

fn arm(id: &str, n: u32, losses: u32) -> Arm {
    Arm {
        id: id.into(),
        cohort: id.into(),
        year: None,
        cell: Cell::new(["x"]),
        mixture: vec![],
        moderators: BTreeMap::new(),
        n: Some(n),
        units_per_subject: None,
        follow_up_years: 5.0,
        exposure: Some(Exposure { years: f64::from(n) * 5.0, computed: false }),
        losses: Some(losses),
        counts: vec![],
        survival: vec![],
        basis: Basis::Read,
        pooled: Ok(()),
    }
}

/// Fitted once for all tests.
fn fitted() -> Posterior {
    static FITTED: OnceLock<Posterior> = OnceLock::new();
    FITTED.get_or_init(fit_once).clone()
}

fn fit_once() -> Posterior {
    let cause = Cause {
        name: "any".into(),
        prior_share: 1.0,
        prior_rate: 0.01,
        levels: vec![0],
        moderators: vec![],
        alone: Default::default(),
    };
    let mut model = Model::new(vec![cause]);
    model.warm_up = 300;
    model.kept = 256;
    // Rates from 0.6 to 3 % a year about 1.5 %.
    let arms: Vec<Arm> = (0..12).map(|i| arm(&format!("a{i}"), 400, 12 + 4 * i)).collect();
    fit(&arms, &model, &NoProgress).unwrap()
}

#[test]
fn a_clinic_with_much_data_is_located_sharply_whatever_the_scatter_between_clinics() {
    let posterior = fitted();
    let world = World::with_draws(3, posterior.draws());
    // 600 losses in 20,000 unit-years: 3 % a year, known within 1/sqrt(600) = 4 %.
    let (clinic, _) =
        posterior.locate(&world, &[OwnGroup { laboratory: String::new(), arms: vec![arm("own", 4000, 600)] }]);
    let here = posterior.clone().at_clinic(&clinic);
    let rate = here.predict(&world, &Setting::of(Cell::new(["x"]))).total_loss.rate();
    let ln = rate.map(f64::ln).interval();
    assert!((ln.median.exp() / 0.03 - 1.0).abs() < 0.02, "{}", ln.median.exp());
    // 90 % of a normal with SD 0.041 spans 3.29 SD = 0.134.
    assert!((ln.width() / 0.134 - 1.0).abs() < 0.15, "{}", ln.width());
}

#[test]
fn two_laboratories_are_told_apart_and_share_the_clinic() {
    let posterior = fitted();
    let world = World::with_draws(3, posterior.draws());
    let groups = [
        OwnGroup { laboratory: "good".into(), arms: vec![arm("g", 400, 12)] },
        OwnGroup { laboratory: "poor".into(), arms: vec![arm("p", 400, 60)] },
    ];
    let seen = posterior.reweight_with(&world, &groups, &[]).unwrap();
    let of = |name: &str| seen.laboratories.iter().find(|l| l.0 == name).unwrap().1.clone();
    let (good, poor) = (of("good").interval(), of("poor").interval());
    assert!(good.high < poor.low, "{good:?} {poor:?}");
    // A laboratory not seen yet lies between and is the least certain.
    let next = seen.clinic.interval();
    assert!(next.median > good.median && next.median < poor.median);
    assert!(next.width() > good.width() && next.width() > poor.width());
}

#[test]
fn an_arm_without_losses_pulls_down_and_other_studies_move_the_pool_but_not_the_clinic() {
    let posterior = fitted();
    let world = World::with_draws(3, posterior.draws());
    let none = OwnGroup { laboratory: String::new(), arms: vec![arm("own", 200, 0)] };
    let seen = posterior.reweight_with(&world, std::slice::from_ref(&none), &[]).unwrap();
    assert!(seen.clinic.mean() < -0.2, "{}", seen.clinic.mean());
    let others: Vec<Arm> = (0..4).map(|i| arm(&format!("n{i}"), 400, 4)).collect();
    let alone = posterior.reweight_with(&world, &[], &others).unwrap();
    let rate = |p: &Posterior| p.predict(&world, &Setting::of(Cell::new(["x"]))).average_loss.rate().interval().median;
    assert!(rate(&alone.posterior) < rate(&posterior), "four good studies lower the pool");
    assert!(alone.laboratories.is_empty());
    let mut same = arm("new", 400, 4);
    same.cohort = "a3".into();
    assert!(posterior.reweight_with(&world, &[], &[same]).is_err(), "a cohort already fitted is refused");
}

#[test]
fn the_pooled_rate_is_that_of_all_clinics_and_mixes_follow_the_arms() {
    let posterior = fitted();
    let world = World::with_draws(3, posterior.draws());
    let p = posterior.predict(&world, &posterior.as_studied(Cell::new(["x"])));
    let tau = posterior.loss_quantity("tau").unwrap();
    let ratio = p.pooled_loss.rate().zip(&p.average_loss.rate(), |a, b| (a / b).ln());
    for k in 0..posterior.draws() {
        assert!((ratio.get(k) - 0.5 * tau.get(k).powi(2)).abs() < 1e-12);
    }
    let ends = p.ends_in_loss("any").unwrap().interval();
    assert!(ends.low > 0.0 && ends.high < 1.0);
}
