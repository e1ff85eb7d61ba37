//! Rank test and trim-and-fill against metafor 3.8.1 (`reference/meta/small_studies.json`, made by the script beside it).
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking

use evidence::pool::*;
use serde_json::Value;

fn file(name: &str) -> Value {
    let path = format!("{}/tests/reference/meta/{name}.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn effects(block: &Value) -> Vec<Effect> {
    let list = |key: &str| -> Vec<f64> { block[key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect() };
    list("yi").into_iter().zip(list("vi")).map(|(y, v)| Effect { y, v }).collect()
}

#[test]
fn rank_test_and_trim_and_fill_are_those_of_the_peer() {
    let stored = file("small_studies");
    let mut seen = 0;
    for (key, expected) in stored.as_object().unwrap().iter().filter(|(k, _)| k.contains('/')) {
        let (set, rule) = key.split_once('/').unwrap();
        let scale = if set == "bcg_control" { "logit" } else { "log_rate" };
        let effects = effects(&file(set)[scale][rule]);
        let found = rank_test(&effects).unwrap();
        let close = |what: &str, a: f64, b: &Value, tolerance: f64| {
            let b = b.as_f64().unwrap();
            assert!((a - b).abs() < tolerance * b.abs().max(1.0), "{key} {what}: {a} for {b}");
        };
        // Closed forms agree to rounding.
        close("tau", found.tau, &expected["tau"], 1e-12);
        close("p", found.p, &expected["p"], 1e-10);
        for (name, missing) in [("L0", Missing::L0), ("R0", Missing::R0)] {
            let peer = &expected[name];
            if peer.is_null() {
                continue;
            }
            seen += 1;
            let filled = trim_and_fill(&effects, Between::Reml, missing).unwrap();
            assert_eq!(filled.missing as f64, peer["k0"].as_f64().unwrap(), "{key} {name}");
            assert_eq!(filled.on_the_right, peer["side"] == "right", "{key} {name}");
            // The peer fits the filled set with its default stop, a step of 1e-5 in tau2.
            close(name, filled.fit.b[0], &peer["b"], 1e-5);
            close(name, filled.fit.se(0), &peer["se"], 1e-5);
            close(name, filled.fit.tau2, &peer["tau2"], 1e-5);
        }
    }
    assert!(seen >= 8, "{seen}");
}

#[test]
fn a_symmetric_set_misses_nothing() {
    let effects: Vec<Effect> =
        [-0.4, -0.2, 0.0, 0.2, 0.4].iter().map(|&y| Effect { y, v: 0.04 + f64::abs(y) }).collect();
    assert_eq!(trim_and_fill(&effects, Between::Common, Missing::L0).unwrap().missing, 0);
    assert!(rank_test(&effects).unwrap().tau.abs() < 0.35);
    assert!(rank_test(&effects[..2]).is_err());
}
