//! SMAA-2 against an independent Monte-Carlo of 10 million samples (python 3.11, numpy 2.4; definition in the file):
//! Lahdelma, Salminen 2001, Oper Res 49:444-454. Tolerance: 4 sqrt(p(1-p)(1/n + 1/1e7)) with n the number of our draws (not of
//! ways: the eight weight vectors of a draw share its values).

#![allow(clippy::unwrap_used)] // a reference file that cannot be read fails the test

use answer::World;
use plan::{Scale, Valued, Weighing, rank};

fn check(key: &str, weighing: Weighing) {
    let text = include_str!("reference/smaa2_3x3.json");
    let reference: serde_json::Value = serde_json::from_str(text).unwrap();
    let example = &reference["example"];
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let world = World::with_draws(20, 8192);
    let options: Vec<Valued> = (0..3)
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
        .collect();
    let result = rank(&world, &options, &[true; 3], &weighing);
    for i in 0..3 {
        for b in 0..3 {
            let p = number(&reference[key]["rank_acceptability"][i][b]);
            let tolerance = 4.0 * (p * (1.0 - p) * (1.0 / 8192.0 + 1e-7)).sqrt();
            let ours = result.shares[i][b];
            assert!((ours - p).abs() < tolerance, "{key} option {i} rank {b}: {ours} against {p} +- {tolerance}");
        }
    }
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
