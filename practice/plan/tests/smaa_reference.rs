//! SMAA-2 against an independent Monte-Carlo of 10 million samples (python 3.11, numpy 2.4; definition in the file):
//! Lahdelma, Salminen 2001, Oper Res 49:444-454. Tolerance: 4 sqrt(p(1-p)(1/n + 1/1e7)) with n the number of our draws (not of
//! ways: the eight weight vectors of a draw share its values).

#![allow(clippy::unwrap_used)] // a reference file that cannot be read fails the test

use answer::World;
use plan::{Scale, Valued, Weighing, rank};

/// Draws of every run.
const DRAWS: usize = 8192;

fn reference() -> serde_json::Value {
    serde_json::from_str(include_str!("reference/smaa2_3x3.json")).unwrap()
}

fn number(v: &serde_json::Value) -> f64 {
    v.as_f64().unwrap()
}

/// The three options of the example, drawn in this world.
fn options(world: &World) -> Vec<Valued> {
    let reference = reference();
    let example = &reference["example"];
    (0..3)
        .map(|i| Valued {
            id: format!("{i}"),
            values: (0..3)
                .map(|j| {
                    let (low, high) = (number(&example["scale_lo"][j]), number(&example["scale_hi"][j]));
                    let scale = if example["maximise"][j].as_bool().unwrap() {
                        Scale { worst: low, best: high }
                    } else {
                        Scale { worst: high, best: low }
                    };
                    world
                        .normal(&format!("v{i}{j}"), number(&example["mean"][i][j]), number(&example["sd"][i][j]))
                        .map(|x| scale.value(x))
                })
                .collect(),
        })
        .collect()
}

fn near(what: &str, ours: f64, p: f64) {
    let tolerance = 4.0 * (p * (1.0 - p) * (1.0 / DRAWS as f64 + 1e-7)).sqrt();
    assert!((ours - p).abs() < tolerance, "{what}: {ours} against {p} +- {tolerance}");
}

/// Rank acceptabilities, and what follows from them: expected ranks and holistic acceptabilities with linear weights of ranks (1, 1/2, 0).
fn check_options(key: &str, world: &World, options: &[Valued], weighing: &Weighing) {
    let reference = &reference()[key];
    let result = rank(world, options, &[true; 3], weighing);
    for i in 0..3 {
        for b in 0..3 {
            near(
                &format!("{key} option {i} rank {b}"),
                result.shares[i][b],
                number(&reference["rank_acceptability"][i][b]),
            );
        }
        let row = &result.shares[i];
        let expected = row[0] + 2.0 * row[1] + 3.0 * row[2];
        // A rank lies in 1..3, so its spread is at most 1.
        let tolerance = 4.0 / (DRAWS as f64).sqrt();
        assert!((expected - number(&reference["expected_rank"][i])).abs() < tolerance, "{key} expected rank {i}");
        let holistic = row[0] + 0.5 * row[1];
        assert!(
            (holistic - number(&reference["holistic_acceptability_linear"][i])).abs() < tolerance / 2.0,
            "{key} {i}"
        );
    }
}

fn check(key: &str, weighing: Weighing) {
    let world = World::with_draws(20, DRAWS);
    check_options(key, &world, &options(&world), &weighing);
}

/// How often one beats another: the two ranked alone, since a third cannot reverse them.
fn pairs(key: &str, weighing: &Weighing) {
    let reference = reference();
    let world = World::with_draws(22, DRAWS);
    let options = options(&world);
    for i in 0..3 {
        for j in (0..3).filter(|j| *j != i) {
            let pair = [options[i].clone(), options[j].clone()];
            let ours = rank(&world, &pair, &[true; 3], weighing).shares[0][0];
            near(&format!("{key}: {i} beats {j}"), ours, number(&reference[key]["pairwise_winning"][i][j]));
        }
    }
}

#[test]
fn pairwise_winning_shares() {
    pairs("stochastic_uniform_weights", &Weighing::Ordered(vec![None; 3]));
    pairs("stochastic_order_w1_w2_w3", &Weighing::Ordered(vec![Some(0), Some(1), Some(2)]));
}

/// Central weights, and the share in which an option comes first at its own.
fn centres(key: &str, weighing: &Weighing) {
    let reference = &reference()[key];
    let world = World::with_draws(23, DRAWS);
    let options = options(&world);
    let result = rank(&world, &options, &[true; 3], weighing);
    for i in 0..3 {
        let central = result.central_weights[i].as_ref().unwrap();
        // A weight that is uniform on the simplex of three has a standard deviation of sqrt(1/18); cut by an order it has less.
        let counted = DRAWS as f64 * number(&reference["rank_acceptability"][i][0]);
        let tolerance = 4.0 * (1.0 / 18.0_f64).sqrt() / counted.sqrt();
        for (j, ours) in central.iter().enumerate() {
            let theirs = number(&reference["central_weights"][i][j]);
            assert!((ours - theirs).abs() < tolerance, "{key} option {i}: {ours} against {theirs} +- {tolerance}");
        }
        let theirs: Vec<f64> = (0..3).map(|j| number(&reference["central_weights"][i][j])).collect();
        let confident = rank(&world, &options, &[true; 3], &Weighing::Fixed(theirs)).shares[i][0];
        near(&format!("{key} confidence {i}"), confident, number(&reference["confidence_factor"][i]));
    }
}

#[test]
fn central_weights_and_confidence_factors() {
    centres("stochastic_uniform_weights", &Weighing::Ordered(vec![None; 3]));
    centres("stochastic_order_w1_w2_w3", &Weighing::Ordered(vec![Some(0), Some(1), Some(2)]));
}

/// No weight below 0.2: w = 0.2 + 0.4 d with d uniform on the simplex, so that sum w v = sum d (0.4 v + 0.2 (v1 + v2 + v3)).
#[test]
fn weights_with_lower_bounds() {
    let world = World::with_draws(24, DRAWS);
    let bounded: Vec<Valued> = options(&world)
        .into_iter()
        .map(|option| {
            let sum = |k: usize| option.values.iter().map(|v| v.get(k)).sum::<f64>();
            let raised = |v: &answer::Draws| answer::Draws::from_fn(DRAWS, |k| 0.4 * v.get(k) + 0.2 * sum(k));
            let values = option.values.iter().map(raised);
            Valued { id: option.id.clone(), values: values.collect() }
        })
        .collect();
    check_options("stochastic_lower_bounds_0_2", &world, &bounded, &Weighing::Ordered(vec![None; 3]));
}

#[test]
fn free_weights() {
    check("stochastic_uniform_weights", Weighing::Ordered(vec![None; 3]));
}

#[test]
fn ordered_weights() {
    check("stochastic_order_w1_w2_w3", Weighing::Ordered(vec![Some(0), Some(1), Some(2)]));
}

/// Values without spread: exact figures of the reference by the areas of the simplex. Tolerance: 4 sqrt(p(1-p)/n), n our ways, which
/// are then independent.
fn fixed(key: &str, weighing: &Weighing) {
    let reference: serde_json::Value = serde_json::from_str(include_str!("reference/smaa2_3x3.json")).unwrap();
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let world = World::with_draws(21, 8192);
    let value = |i: usize, j: usize| number(&reference["partial_values_at_means"][i][j]);
    let options: Vec<Valued> = (0..3)
        .map(|i| Valued {
            id: format!("{i}"),
            values: (0..3).map(|j| answer::Draws::constant(world.draws(), value(i, j))).collect(),
        })
        .collect();
    let result = rank(&world, &options, &[true; 3], weighing);
    for i in 0..3 {
        for b in 0..3 {
            let p = number(&reference[key]["exact"]["rank_acceptability"][i][b]);
            let tolerance = 4.0 * (p * (1.0 - p) / result.ways as f64).sqrt();
            let ours = result.shares[i][b];
            assert!((ours - p).abs() < tolerance, "{key} option {i} rank {b}: {ours} against {p} +- {tolerance}");
        }
    }
}

#[test]
fn fixed_values_free_weights_exact() {
    fixed("fixed_values_uniform_weights", &Weighing::Ordered(vec![None; 3]));
}

#[test]
fn fixed_values_ordered_weights_exact() {
    fixed("fixed_values_order_w1_w2_w3", &Weighing::Ordered(vec![Some(0), Some(1), Some(2)]));
}
