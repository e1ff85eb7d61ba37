//! Pooling against stored results of general packages (`reference/meta`, versions in each file).
//!
//! Tolerances: closed forms 1e-9; ML, REML, PM and what follows 1e-8 (the peers iterate to 1e-14 at best in tau2); Q-profile 1e-7;
//! exact-likelihood models against high-accuracy quadrature 1e-8.
#![allow(clippy::unwrap_used, clippy::expect_used)] // a helper of tests fails by panicking

use evidence::pool::*;
use serde_json::Value;

fn file(name: &str) -> Value {
    let path = format!("{}/tests/reference/meta/{name}.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    match v {
        Value::Array(a) => a.iter().flat_map(numbers).collect(),
        other => vec![other.as_f64().unwrap_or(f64::NAN)],
    }
}

#[track_caller]
fn close(what: &str, found: f64, expected: &Value, tolerance: f64) {
    let expected = expected.as_f64().expect(what);
    assert!(
        (found - expected).abs() <= tolerance * expected.abs().max(1.0),
        "{what}: {found} for {expected}, off by {:e}",
        (found - expected).abs()
    );
}

const RATES: [&str; 5] =
    ["nielweise2008_arm1", "hart1999_arm1", "synthetic_k3", "synthetic_homogeneous", "nielweise2007_arm1_as_rate"];

/// Blocks of effects: file, block, effects.
fn blocks() -> Vec<(String, Value, Vec<Effect>)> {
    let mut found = Vec::new();
    for name in RATES.iter().chain(&["bcg_control"]) {
        let json = file(name);
        let scale = if *name == "bcg_control" { "logit" } else { "log_rate" };
        for (rule, block) in json[scale].as_object().unwrap() {
            let effects = numbers(&block["yi"]).into_iter().zip(numbers(&block["vi"])).map(|(y, v)| Effect { y, v });
            found.push((format!("{name}/{rule}"), block.clone(), effects.collect()));
        }
    }
    assert!(found.len() > 6);
    found
}

const METHODS: [(&str, Between, f64); 4] = [
    ("DL", Between::DerSimonianLaird, 1e-9),
    ("PM", Between::PauleMandel, 1e-8),
    ("ML", Between::MaximumLikelihood, 1e-8),
    ("REML", Between::Reml, 1e-8),
];

#[test]
fn effects_from_counts() {
    for name in RATES {
        let json = file(name);
        let (x, t) = (numbers(&json["counts"]), numbers(&json["time"]));
        for (rule, zeros) in [
            ("no_zeros", Zeros::Refuse),
            ("zero_add_half_only0", Zeros::AddHalfToThem),
            ("zero_add_half_if0all", Zeros::AddHalfToAllIfAny),
        ] {
            let block = &json["log_rate"][rule];
            if block.is_null() {
                continue;
            }
            let effects = log_rates(&x, &t, zeros).unwrap();
            for (e, (y, v)) in effects.iter().zip(numbers(&block["yi"]).iter().zip(numbers(&block["vi"]))) {
                assert!((e.y - y).abs() < 1e-12 && (e.v - v).abs() < 1e-12, "{name}/{rule}");
            }
        }
        let ft = freeman_tukey_rates(&x, &t).unwrap();
        let reference = &json["freeman_tukey"];
        for (e, (y, v)) in ft.iter().zip(numbers(&reference["yi"]).iter().zip(numbers(&reference["vi"]))) {
            assert!((e.y - y).abs() < 1e-12 && (e.v - v).abs() < 1e-12, "{name} Freeman-Tukey");
        }
        let fit = pool(&ft, Between::Reml, Errors::Wald).unwrap();
        close(&format!("{name} Freeman-Tukey REML"), fit.b[0], &reference["REML"]["b"], 1e-8);
        let back = rate_of_freeman_tukey(fit.b[0], harmonic_mean(&t));
        close(&format!("{name} back"), back, &reference["REML"]["back_est"], 1e-8);
    }
    let json = file("bcg_control");
    let (x, n) = (numbers(&json["counts"]), numbers(&json["n"]));
    let ft = freeman_tukey_proportions(&x, &n).unwrap();
    let reference = &json["freeman_tukey_double_arcsine"];
    let fit = pool(&ft, Between::Reml, Errors::Wald).unwrap();
    close("double arcsine REML", fit.b[0], &reference["REML"]["b"], 1e-8);
    let back = proportion_of_freeman_tukey(fit.b[0], harmonic_mean(&n));
    close("double arcsine back", back, &reference["REML"]["back_est"], 1e-8);
    assert!(logits(&x, &n, Zeros::Refuse).unwrap().len() == x.len());
}

#[test]
fn pooled_means_variances_and_intervals() {
    for (name, block, effects) in blocks() {
        let common = pool(&effects, Between::Common, Errors::Wald).unwrap();
        let reference = &block["common_effect_IV"];
        close(&format!("{name} common"), common.b[0], &reference["b"], 1e-9);
        close(&format!("{name} common se"), common.se(0), &reference["se"], 1e-9);
        close(&format!("{name} Q"), common.heterogeneity.q, &reference["Q"], 1e-9);
        close(&format!("{name} Q p"), common.heterogeneity.p, &reference["Q_p"], 1e-9);
        close(&format!("{name} I2"), 100.0 * common.heterogeneity.i2, &reference["I2_pct"], 1e-9);
        for (method, between, tolerance) in METHODS {
            let reference = &block["random_effects"][method];
            let what = format!("{name} {method}");
            let fit = pool(&effects, between, Errors::Wald).unwrap();
            close(&format!("{what} tau2"), fit.tau2, &reference["tau2"], tolerance);
            close(&what, fit.b[0], &reference["b"], tolerance);
            close(&format!("{what} se"), fit.se(0), &reference["se"], tolerance);
            close(&format!("{what} low"), fit.interval(0, 0.95).0, &reference["ci_lb"], tolerance);
            close(&format!("{what} high"), fit.interval(0, 0.95).1, &reference["ci_ub"], tolerance);
            close(&format!("{what} I2"), 100.0 * fit.heterogeneity.i2, &reference["I2_pct"], tolerance);
            close(&format!("{what} H2"), fit.heterogeneity.h2, &reference["H2"], tolerance);
            close(&format!("{what} logLik"), fit.log_likelihood, &reference["logLik"], tolerance);
            let k = effects.len() as f64;
            for (key, quantile) in [
                ("pred_interval_metafor", Reference::Normal),
                ("pred_interval_t_kminus2_Higgins2009", Reference::T(k - 2.0)),
            ] {
                if k < 3.5 && key.contains("kminus2") {
                    continue;
                }
                let (low, high) = fit.prediction_interval(&[1.0], 0.95, quantile);
                close(&format!("{what} {key}"), low, &reference[key][0], tolerance);
                close(&format!("{what} {key}"), high, &reference[key][1], tolerance);
            }
            let reference = &block["knapp_hartung"][method];
            let hk = pool(&effects, between, Errors::HartungKnapp).unwrap();
            close(&format!("{what} HK se"), hk.se(0), &reference["se"], tolerance);
            close(&format!("{what} HK p"), hk.test(0).1, &reference["p"], tolerance);
            close(&format!("{what} HK low"), hk.interval(0, 0.95).0, &reference["ci_lb"], tolerance);
            let never = pool(&effects, between, Errors::HartungKnappNeverNarrower).unwrap();
            close(&format!("{what} HK ad hoc"), never.se(0), &reference["adhoc_se_max"], tolerance);
        }
        let reference = &block["tau2_CI_Q_profile"]["tau2"];
        let (low, high) = q_profile(&effects, &vec![1.0; effects.len()], 1, 0.95).unwrap();
        close(&format!("{name} Q-profile low"), low, &reference[1], 1e-7);
        close(&format!("{name} Q-profile high"), high, &reference[2], 1e-7);
    }
}

#[test]
fn influence_and_small_studies() {
    for (name, block, effects) in blocks() {
        if effects.len() < 4 {
            continue;
        }
        let reference = &block["leave_one_out_REML"];
        for (i, fit) in leave_one_out(&effects, Between::Reml, Errors::Wald).unwrap().iter().enumerate() {
            close(&format!("{name} without {i}"), fit.b[0], &reference[i]["b"], 1e-8);
            close(&format!("{name} tau2 without {i}"), fit.tau2, &reference[i]["tau2"], 1e-8);
        }
        let reference = &block["influence_REML"];
        for (i, found) in influence(&effects, Between::Reml).unwrap().iter().enumerate() {
            close(&format!("{name} rstudent {i}"), found.rstudent, &reference["rstudent"][i], 1e-7);
            close(&format!("{name} Cook {i}"), found.cook, &reference["cook_d"][i], 1e-7);
            close(&format!("{name} dffits {i}"), found.dffits, &reference["dffits"][i], 1e-7);
            close(&format!("{name} weight {i}"), found.weight, &reference["hat"][i], 1e-7);
        }
        let reference = &block["egger"];
        let mixed = small_studies(&effects, Between::Reml).unwrap();
        close(&format!("{name} small studies z"), mixed.statistic, &reference["mixed_effects_REML"]["z"], 1e-7);
        close(&format!("{name} limit"), mixed.limit, &reference["mixed_effects_REML"]["intercept_limit"], 1e-7);
        let classical = small_studies_classical(&effects).unwrap();
        close(&format!("{name} classical t"), classical.statistic, &reference["classical_lm"]["t"], 1e-8);
        close(&format!("{name} classical p"), classical.p, &reference["classical_lm"]["p"], 1e-8);
        let in_order: Vec<f64> = (0..effects.len()).map(|i| i as f64).collect();
        let steps = cumulative(&effects, &in_order, Between::Reml, Errors::Wald).unwrap();
        let last = pool(&effects, Between::Reml, Errors::Wald).unwrap();
        assert_eq!(steps.last().unwrap().1.b, last.b);
    }
}

#[test]
fn meta_regression() {
    let mut seen = 0;
    for (name, block, effects) in blocks() {
        let reference = &block["meta_regression"];
        if reference["REML_z"].is_null() {
            continue;
        }
        seen += 1;
        let design = numbers(&reference["design"]);
        let p = design.len() / effects.len();
        for (key, errors) in [("REML_z", Errors::Wald), ("REML_knha", Errors::HartungKnapp)] {
            let fit = regress(&effects, &design, p, Between::Reml, errors).unwrap();
            let expected = &reference[key];
            close(&format!("{name} {key} tau2"), fit.tau2, &expected["tau2"], 1e-8);
            for j in 0..p {
                close(&format!("{name} {key} b{j}"), fit.b[j], &expected["b"][j], 1e-8);
                close(&format!("{name} {key} se{j}"), fit.se(j), &expected["se"][j], 1e-8);
            }
            close(&format!("{name} {key} Q"), fit.heterogeneity.q, &expected["Q"], 1e-8);
            close(&format!("{name} {key} I2"), 100.0 * fit.heterogeneity.i2, &expected["I2_pct"], 1e-7);
            close(&format!("{name} {key} logLik"), fit.log_likelihood, &expected["logLik"], 1e-8);
        }
    }
    assert!(seen >= 3);
}

#[test]
fn exact_likelihood_models() {
    let mut seen = 0;
    for name in RATES.iter().chain(&["bcg_control"]) {
        let json = file(name);
        let events = numbers(&json["counts"]);
        let (family, sizes, scale) = if *name == "bcg_control" {
            (Family::Binomial, numbers(&json["n"]), "logit")
        } else {
            (Family::Poisson, numbers(&json["time"]), "log_rate")
        };
        for (model, design) in [
            ("intercept_only", vec![1.0; events.len()]),
            ("meta_regression", design_of(&json, scale).unwrap_or_default()),
        ] {
            let reference = &json["glmm_high_accuracy_python"][model]["exact"];
            if reference.is_null() || design.len() < events.len() {
                continue;
            }
            seen += 1;
            let p = design.len() / events.len();
            let fit = glmm(family, &events, &sizes, &design, p, 25).unwrap();
            let what = format!("{name} {model}");
            // 25 nodes against the exact integral: the peers' table shows up to 4e-10 in tau.
            close(&format!("{what} tau"), fit.tau, &reference["tau"], 1e-8);
            close(&format!("{what} logLik"), fit.log_likelihood, &reference["logLik"], 1e-8);
            for j in 0..p {
                let b = if p == 1 { numbers(&reference["b"])[0].into() } else { reference["b"][j].clone() };
                close(&format!("{what} b{j}"), fit.b[j], &b, 1e-8);
                if reference["boundary"] == false {
                    close(&format!("{what} se{j}"), fit.se(j), &numbers(&reference["se_b"])[j].into(), 1e-7);
                }
            }
        }
    }
    assert!(seen >= 7, "{seen}");
}

fn design_of(json: &Value, scale: &str) -> Option<Vec<f64>> {
    json[scale]
        .as_object()?
        .values()
        .find_map(|b| b["meta_regression"]["design"].is_array().then(|| numbers(&b["meta_regression"]["design"])))
}
