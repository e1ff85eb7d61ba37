//! Simulation-based calibration of the loss process: libraries drawn from the prior, ranks of the truth among the draws uniform.
//!
//! Talts, Betancourt, Simpson, Vehtari, Gelman 2018, arXiv:1804.06788. Twenty-four libraries in the ordinary run, 240 with `--ignored`.
#![allow(clippy::unwrap_used, clippy::print_stdout)] // a helper of tests fails by panicking; the ranks are worth seeing

use answer::{Basis, NoProgress, World};
use evidence::*;
use numerics::{chi_square, counts};
use std::collections::BTreeMap;

const CELLS: [[&str; 2]; 4] = [["x", "p"], ["x", "q"], ["y", "p"], ["y", "q"]];

struct Truth {
    quantities: BTreeMap<&'static str, f64>,
    arms: Vec<Arm>,
}

/// One library drawn from the prior of the model; numbers of world `k`.
fn library(world: &World, model: &Model, k: usize) -> Truth {
    let normal = |name: &str| numerics::normal::quantile(world.uniform_at(name, k));
    let half_normal = |name: &str| model.spread * normal(name).abs();
    let mu = model.prior_loss_rate.ln() + normal("mu");
    let tau = half_normal("tau");
    let common_shape = model.shape_sd.0 * normal("shape");
    let (depth1, depth2, level1) = (half_normal("d1"), half_normal("d2"), half_normal("l1"));
    let mut arms = Vec::new();
    let mut first_cell = 0.0;
    for i in 0..16 {
        let cell = CELLS[i % 4];
        let effect = depth1 * normal(&format!("cell {}", cell[0]));
        if cell[0] == "x" {
            first_cell = effect;
        }
        let eta = mu
            + effect
            + depth2 * normal(&format!("cell {cell:?}"))
            + level1 * normal(&format!("label {}", cell[1]))
            + tau * normal(&format!("study {i}"));
        let shape = (common_shape + model.shape_sd.1 * normal(&format!("shape {}", cell[0]))).exp();
        let (n, years) = ([40.0, 150.0, 400.0][i % 3], [2.0, 5.0, 9.0, 14.0, 4.0][i % 5]);
        let mean = n * 5.0 * eta.exp() * f64::powf(years / 5.0, shape);
        arms.push(arm(i, cell, n, years, poisson(mean, world.uniform_at(&format!("count {i}"), k))));
    }
    let quantities = [("mu", mu), ("tau", tau), ("ln_shape", common_shape), ("cell x", first_cell)].into();
    Truth { quantities, arms }
}

/// The count whose cumulative probability first reaches `u`.
fn poisson(mean: f64, u: f64) -> u32 {
    let (mut total, mut count) = (0.0, 0);
    loop {
        total += counts::ln_poisson(f64::from(count), mean).exp();
        if total >= u || count > 100_000 {
            return count;
        }
        count += 1;
    }
}

fn arm(i: usize, cell: [&str; 2], n: f64, years: f64, losses: u32) -> Arm {
    Arm {
        id: format!("arm {i:02}"),
        cohort: format!("study {i:02}"),
        year: None,
        cell: Cell::new(cell),
        mixture: vec![],
        moderators: BTreeMap::new(),
        // The prior reaches rates at which more units are lost than there are (counts are then events): no number is given.
        n: None,
        units_per_subject: None,
        follow_up_years: years,
        exposure: Some(Exposure { years: n * years, computed: false }),
        losses: Some(losses),
        counts: vec![],
        survival: vec![],
        basis: Basis::Computed,
        pooled: Ok(()),
    }
}

fn calibrate<const BINS: usize>(libraries: usize) {
    let cause = Cause {
        name: "any".into(),
        prior_share: 1.0,
        prior_rate: 0.01,
        levels: vec![],
        moderators: vec![],
        alone: Default::default(),
    };
    let mut model = Model::new(vec![cause]);
    (model.warm_up, model.kept) = (300, 128);
    let world = World::with_draws(2024, libraries);
    let mut bins: BTreeMap<&str, [f64; BINS]> = BTreeMap::new();
    for k in 0..libraries {
        let truth = library(&world, &model, k);
        model.seed = k as u64;
        let posterior = fit(&truth.arms, &model, &NoProgress).unwrap();
        for (name, value) in truth.quantities {
            // Every eighth draw, so that ranks are of nearly independent draws: 64 of them, 65 possible ranks.
            let draws = posterior.loss_quantity(name).unwrap();
            let below = draws.iter().step_by(8).filter(|d| *d < value).count();
            bins.entry(name).or_insert([0.0; BINS])[below * BINS / 65] += 1.0;
        }
    }
    for (name, bins) in bins {
        let expected = libraries as f64 / BINS as f64;
        let statistic: f64 = bins.iter().map(|b| (b - expected).powi(2) / expected).sum();
        let p = chi_square::sf(statistic, (BINS - 1) as f64);
        println!("{name}: ranks {bins:?}, chi-square {statistic:.1}, p {p:.3}");
        // Four quantities: 0.002 each keeps the chance of a false alarm below 1 %.
        assert!(p > 0.002, "ranks of {name} are not uniform: {bins:?}");
    }
}

#[test]
fn ranks_are_uniform_over_a_few_libraries() {
    calibrate::<4>(24);
}

#[test]
#[ignore = "takes minutes"]
fn ranks_are_uniform_over_many_libraries() {
    calibrate::<8>(240);
}
