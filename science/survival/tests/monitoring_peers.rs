//! Charts, run lengths, funnel limits and exact intervals against stored results (`reference/monitoring`, made by `reference/scripts/monitor.py`).
//!
//! Tolerances: closed forms and exact run lengths 1e-9; run lengths of mixed risks 2e-3 and 4 standard errors of the stored simulation.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking
mod files;

use files::*;
use survival::monitor::{cusum, funnel, run_length};
use survival::{exact, monitor::cusum::weights};

#[test]
fn lattice_run_lengths() {
    for case in results("monitoring/bernoulli_cusum_arl_lattice")["cases"].as_array().unwrap() {
        let (p0, p1) = (case["p0"].as_f64().unwrap(), case["p1"].as_f64().unwrap());
        let (m, h) = (case["m"].as_u64().unwrap() as usize, case["h_steps"].as_u64().unwrap() as usize);
        for (label, p) in [("p0", p0), ("p1", p1), ("2p0", 2.0 * p0), ("4p0", 4.0 * p0)] {
            let chain = run_length::Lattice::new(p, m, h).unwrap();
            close("mean", chain.mean(0), case["arl"][label].as_f64().unwrap(), 1e-9);
            close("sd", chain.sd(0), case["sd"][label].as_f64().unwrap(), 1e-9);
            close("head start", chain.mean(h / 2), case["arl_headstart_half"][label].as_f64().unwrap(), 1e-9);
        }
        let chain = run_length::Lattice::new(p0, m, h).unwrap();
        for n in [50, 100, 500, 1000] {
            let expected = case["prob_signal_within_n_at_p0"][n.to_string()].as_f64().unwrap();
            close("within", chain.signal_within(n, 0), expected, 1e-9);
        }
    }
}

#[test]
fn two_step_run_lengths() {
    for case in results("monitoring/bernoulli_cusum_arl_general")["cases"].as_array().unwrap() {
        let f = |k: &str| case[k].as_f64().unwrap();
        let w = weights(f("p0"), f("odds_ratio"));
        close("failure", w.failure, f("w_failure"), 1e-9);
        close("success", w.success, f("w_success"), 1e-9);
        let found = run_length::two_step(w, f("p"), f("h")).unwrap();
        close("exact", found, f("exact"), 1e-9);
        assert!((found - f("simulated")).abs() < 4.0 * f("simulated_se"));
    }
}

#[test]
fn mixed_run_lengths() {
    let file = results("monitoring/risk_adjusted_cusum_cardiac");
    let (share, risk) = (numbers(&file["patient_mix"]["freq"]), numbers(&file["patient_mix"]["risk"]));
    for case in file["average_run_length"].as_array().unwrap() {
        let f = |k: &str| case[k].as_f64().unwrap();
        let (mut values, mut chances) = (Vec::new(), Vec::new());
        for (&q, &p) in share.iter().zip(&risk) {
            let (w, shifted) = (weights(p, f("RA")), cusum::shifted_risk(p, f("RQ")));
            values.extend([w.failure, w.success]);
            chances.extend([q * shifted, q * (1.0 - shifted)]);
        }
        let found = run_length::mixed(&values, &chances, f("h"), 1000).unwrap();
        close("at 1000", found, case["linear_interpolation"]["1000"].as_f64().unwrap(), 1e-8);
        let fine = case["linear_interpolation"]["4000"].as_f64().unwrap();
        assert!((found / fine - 1.0).abs() < 2e-3, "{found} for {fine}");
        assert!((found - f("simulated")).abs() < 4.0 * f("simulated_se") + 2e-3 * fine);
    }
}

/// Case paths: weights, charts both ways, expected less observed, signals with restart.
fn check_path(expected: &serde_json::Value, risk: &[f64], failed: &[bool]) {
    let added = |ratio: f64| -> Vec<f64> {
        risk.iter()
            .zip(failed)
            .map(|(&p, &f)| if f { weights(p, ratio).failure } else { weights(p, ratio).success })
            .collect()
    };
    let (up, down) = (added(2.0), added(0.5));
    all_close("weights up", &up[..10], &expected["weights_up_first_10"], 1e-9);
    all_close("weights down", &down[..10], &expected["weights_down_first_10"], 1e-9);
    let limit = |k: &str| expected[k].as_f64().unwrap();
    let (rises, falls) =
        (cusum::path(up.clone(), limit("h_up"), 0.0, true), cusum::path(down, limit("h_down"), 0.0, true));
    let difference = cusum::expected_minus_observed(risk, failed);
    let cases = |p: &cusum::Path| p.signals.iter().map(|&s| s as f64 + 1.0).collect::<Vec<_>>();
    all_close("signals up", &cases(&rises), &expected["signals_up_at_case_with_restart"], 0.0);
    all_close("signals down", &cases(&falls), &expected["signals_down_at_case_with_restart"], 0.0);
    let on = cusum::path(up, limit("h_up"), 0.0, false);
    let greatest = on.values.iter().copied().fold(0.0, f64::max);
    close("greatest", greatest, expected["max_up_no_restart"].as_f64().unwrap(), 1e-9);
    for step in expected["sampled_steps"].as_array().unwrap() {
        let i = step["case"].as_u64().unwrap() as usize - 1;
        close("up", rises.values[i], step["up"].as_f64().unwrap(), 1e-9);
        close("down", falls.values[i], step["down"].as_f64().unwrap(), 1e-9);
        close("difference", difference[i], step["vlad"].as_f64().unwrap(), 1e-9);
    }
}

#[test]
fn risk_adjusted_paths() {
    let cases = table("data/synthetic_cases.csv");
    let failed: Vec<bool> = cases.code("failure").iter().map(|&f| f == 1).collect();
    check_path(&results("monitoring/risk_adjusted_cusum_synthetic")["synthetic"], &cases.number("risk"), &failed);
    let path = table("monitoring/synthetic_path.csv");
    assert_eq!(path.number("cusum_up").len(), failed.len());

    let file = results("monitoring/risk_adjusted_cusum_cardiac");
    let data = table("data/cardiacsurgery.csv");
    let model = |k: &str| file["risk_model"][k].as_f64().unwrap();
    let risk: Vec<f64> = data
        .number("Parsonnet")
        .iter()
        .map(|s| 1.0 / (1.0 + (-(model("intercept") + model("slope") * s)).exp()))
        .collect();
    let failed: Vec<bool> =
        data.code("status").iter().zip(data.number("time")).map(|(&s, t)| s == 1 && t <= 30.0).collect();
    let surgeon = data.code("surgeon");
    for who in 0..=7u32 {
        let rows: Vec<usize> = (0..risk.len()).filter(|&i| who == 0 || surgeon[i] == who).collect();
        let name = if who == 0 { "all".to_owned() } else { format!("surgeon_{who}") };
        let own: Vec<f64> = rows.iter().map(|&i| risk[i]).collect();
        check_path(&file[&name], &own, &rows.iter().map(|&i| failed[i]).collect::<Vec<_>>());
    }
}

#[test]
fn charts_in_continuous_time() {
    let file = results("monitoring/survival_cusum");
    let steps = file["steps"].as_array().unwrap();
    let events: Vec<(f64, f64)> =
        steps.iter().map(|s| (s["time"].as_f64().unwrap(), s["A"].as_f64().unwrap())).collect();
    let ratio = file["R"].as_f64().unwrap();
    let found = cusum::time_path(&events, ratio);
    for (step, expected) in found.iter().zip(steps) {
        close("before", step.before, expected["cusum_just_before"].as_f64().unwrap(), 1e-9);
        close("after", step.value, expected["cusum"].as_f64().unwrap(), 1e-9);
    }
    let first = found.iter().find(|s| s.value >= file["h"].as_f64().unwrap()).unwrap();
    assert_eq!(first.time, file["first_signal_time"].as_f64().unwrap());
    let (x, t) = (file["observed"].as_f64().unwrap(), file["expected_at_end"].as_f64().unwrap());
    let limits = exact::rate(x, t, 0.95);
    all_close("ratio", &[limits.low, limits.high], &file["smr_exact_ci"], 1e-9);
}

#[test]
fn funnel_limits() {
    let file = results("monitoring/funnel_limits");
    let probabilities = numbers(&file["probs"]);
    for row in file["binomial"].as_array().unwrap() {
        let (target, n) = (row["theta"].as_f64().unwrap(), row["n"].as_u64().unwrap() as usize);
        let found: Vec<f64> = probabilities.iter().map(|&p| funnel::binomial_limit(target, n, p)).collect();
        all_close("binomial", &found, &row["limits"], 1e-9);
    }
    for row in file["poisson"].as_array().unwrap() {
        let found: Vec<f64> =
            probabilities.iter().map(|&p| funnel::poisson_limit(row["expected"].as_f64().unwrap(), p)).collect();
        all_close("poisson", &found, &row["limits_count"], 1e-9);
    }
    let over = &file["overdispersion"];
    let (x, n, target) = (numbers(&over["x"]), numbers(&over["n"]), over["theta"].as_f64().unwrap());
    let found = funnel::overdispersion(&x, &n, target);
    all_close("z", &found.z, &over["z"], 1e-9);
    close("phi", found.phi, over["phi"].as_f64().unwrap(), 1e-9);
    close("phi raw", found.phi_raw, over["phi_unwinsorised"].as_f64().unwrap(), 1e-9);
    close("tau2", found.tau2, over["tau2_additive"].as_f64().unwrap(), 1e-9);
    all_close("additive", &found.additive_z(&x, &n, target), &over["z_additive"], 1e-9);
    let limits: Vec<f64> = n
        .iter()
        .flat_map(|&n| {
            let l = found.multiplicative_limits(target, n, 0.95);
            [l.0, l.1]
        })
        .collect();
    all_close("multiplicative", &limits, &over["multiplicative_limits_95"], 1e-9);
}

#[test]
fn exact_intervals() {
    let file = results("monitoring/exact_intervals_and_rates");
    for row in file["poisson"].as_array().unwrap() {
        let (x, t) = (row["x"].as_f64().unwrap(), row["t"].as_f64().unwrap());
        let (own, jeffreys) = (exact::rate(x, t, 0.95), exact::rate_jeffreys(x, t, 0.95));
        all_close("exact", &[own.low, own.high], &row["exact95"], 1e-9);
        all_close("jeffreys", &[jeffreys.low, jeffreys.high], &row["jeffreys95"], 1e-9);
        close("mid-p", exact::rate_mid_p_upper(x, t, 0.95), row["midp_upper"].as_f64().unwrap(), 1e-9);
        close("upper", exact::rate_upper(x, t, 0.95), row["one_sided95_upper"].as_f64().unwrap(), 1e-9);
    }
    for row in file["binomial"].as_array().unwrap() {
        let (x, n) = (row["x"].as_f64().unwrap(), row["n"].as_f64().unwrap());
        let each = [
            ("clopper_pearson", exact::proportion(x, n, 0.95)),
            ("wilson", exact::proportion_wilson(x, n, 0.95)),
            ("jeffreys", exact::proportion_jeffreys(x, n, 0.95)),
        ];
        for (name, limits) in each {
            all_close(name, &[limits.low, limits.high], &row[name], 1e-9);
        }
    }
    let r = &file["rate_ratio"];
    let f = |k: &str| r[k].as_f64().unwrap();
    let found = exact::rate_ratio((f("x1"), f("t1")), (f("x2"), f("t2")), 0.95);
    close("ratio", found.ratio, f("ratio"), 1e-9);
    close("p", found.p, f("exact_p_two_sided_minlike"), 1e-9);
    all_close("limits", &[found.limits.low, found.limits.high], &r["exact_ci"], 1e-9);
    let (limits, s) = (cusum::sequential_limits(0.05, 0.1), &file["sprt"]);
    close("upper", limits.upper, s["upper"].as_f64().unwrap(), 1e-9);
    close("lower", limits.lower, s["lower"].as_f64().unwrap(), 1e-9);
}

/// The design meets its promise, and a doubling of the odds is seen far sooner than a false alarm comes.
#[test]
fn a_design_keeps_its_promise() {
    for risk in [0.005, 0.02, 0.1] {
        let chart = run_length::design(risk, 2.0, 2000.0).unwrap();
        assert!(chart.false_alarm >= 2000.0 && chart.delay < chart.false_alarm);
        let lower = run_length::two_step(chart.weights, risk, chart.limit * (1.0 - 1e-6)).unwrap();
        assert!(lower < 2000.0 + 1e-6, "a lower limit would have done: {lower}");
    }
}
