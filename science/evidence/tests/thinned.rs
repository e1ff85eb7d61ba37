//! A thinned posterior answers as the whole one does, within the error of its fewer draws.
#![allow(clippy::unwrap_used)]

use answer::{Basis, NoProgress, World};
use evidence::{Arm, Cause, Cell, Exposure, Model, Setting, fit};
use std::collections::{BTreeMap, BTreeSet};

#[test]
fn fewer_draws_keep_the_answer() {
    let arm = |i: usize| Arm {
        id: format!("a{i}"),
        cohort: format!("s{i}"),
        year: None,
        cell: Cell::new(["x", "y"]),
        mixture: Vec::new(),
        moderators: BTreeMap::new(),
        n: Some(100),
        units_per_subject: None,
        follow_up_years: 5.0,
        exposure: Some(Exposure { years: 500.0, computed: false }),
        losses: Some(5 + i as u32 % 4),
        counts: Vec::new(),
        survival: Vec::new(),
        basis: Basis::Read,
        pooled: Ok(()),
    };
    let cause = Cause {
        name: "any".into(),
        prior_share: 1.0,
        prior_rate: 0.01,
        levels: vec![0],
        moderators: Vec::new(),
        alone: BTreeSet::new(),
    };
    let arms: Vec<Arm> = (0..8).map(arm).collect();
    let whole = fit(&arms, &Model::new(vec![cause]), &NoProgress).unwrap();
    let part = whole.thinned(256);
    assert_eq!(part.draws(), 256);
    assert!(part.is_sound());
    let risk = |posterior: &evidence::Posterior, draws: usize| {
        let world = World::with_draws(1, draws);
        posterior.predict(&world, &Setting::of(Cell::new(["x", "y"]))).total_loss.cumulative(5.0).mean()
    };
    let (all, some) = (risk(&whole, 2048), risk(&part, 256));
    // 256 draws of a spread of half the mean leave a standard error near 3 %; 15 % is five of them.
    assert!((some / all - 1.0).abs() < 0.15, "{some} against {all}");
}
