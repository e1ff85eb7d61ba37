//! Laws with covariates (right-, left-, interval-censored, left-truncated, clustered), Turnbull's curve and `Fine-Gray` models against stored results of
//! R survival 3.5-3, cmprsk 2.2-11 and direct likelihoods in python (`reference/survival`, scripts in `reference/scripts`).
//!
//! Tolerances as in the README of the references: laws 1e-7; Turnbull 1e-3 (the peer's EM stops early); `Fine-Gray` coefficients 1e-7, its
//! standard errors 1e-6. Limits and survival errors of laws 1e-7.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking
mod files;

use files::*;
use serde_json::Value;
use survival::cox::Covariate;
use survival::parametric::*;
use survival::*;

fn data(name: &str) -> Table {
    table(&format!("data/{name}.csv"))
}

fn right(time: &[f64], event: &[u32]) -> Vec<Lifetime> {
    time.iter().zip(event).map(|(&t, &e)| if e > 0 { Span::At(t) } else { Span::After(t) }.into()).collect()
}

const LAWS: [(&str, Law); 4] = [
    ("weibull", Law::Weibull),
    ("exponential", Law::Exponential),
    ("lognormal", Law::LogNormal),
    ("loglogistic", Law::LogLogistic),
];

/// Fits with an intercept and compares everything the reference holds.
fn check(what: &str, rows: &[Lifetime], columns: &[Vec<f64>], names: &[&str], law: Law, expected: &Value) {
    let ones = vec![1.0; rows.len()];
    let all: Vec<&[f64]> = std::iter::once(ones.as_slice()).chain(columns.iter().map(Vec::as_slice)).collect();
    let fit = lifetimes(rows, &all, law).unwrap();
    all_close(what, &fit.coefficients, &expected["coef"], 1e-7);
    close(&format!("{what} scale"), fit.scale, expected["scale"].as_f64().unwrap(), 1e-7);
    close(&format!("{what} log likelihood"), fit.log_likelihood, numbers(&expected["logLik"])[0], 1e-7);
    if !expected["vcov"].is_null() {
        all_close(&format!("{what} covariance"), &fit.covariance.concat(), &expected["vcov"], 1e-7);
    }
    let at = |row: &Value| -> Vec<f64> {
        std::iter::once(1.0).chain(names.iter().map(|n| row[*n].as_f64().unwrap())).collect()
    };
    if let Some(sets) = expected["quantiles"]["newdata"].as_array() {
        let (est, se) = (&expected["quantiles"]["est"], &expected["quantiles"]["se"]);
        let shares = numbers(&expected["quantiles"]["probs"]);
        for (i, set) in sets.iter().enumerate() {
            let per = shares.len();
            for (k, &share) in shares.iter().enumerate() {
                // With one set R lays the quantiles out as a column.
                let place = i * per + k;
                let found = fit.quantile(&at(set), share);
                close(&format!("{what} quantile"), found.0, numbers(est)[place], 1e-7);
                close(&format!("{what} quantile se"), found.1, numbers(se)[place], 1e-6);
            }
            if let Some(curve) = expected["survival"].as_array().and_then(|c| c.get(i)) {
                for (k, &t) in numbers(&curve["times"]).iter().enumerate() {
                    let (s, error) = fit.survival(&at(set), t);
                    close(&format!("{what} S"), s, numbers(&curve["surv"])[k], 1e-7);
                    close(&format!("{what} S se"), error, numbers(&curve["se_surv"])[k], 1e-7);
                }
            }
        }
    }
}

#[test]
fn right_censored() {
    let lung = data("lung").complete(&["age", "sex", "ph.ecog", "inst"]);
    let names = ["age", "sex", "ph.ecog"];
    let rows = right(&lung.number("time"), &lung.code("status"));
    let file = results("survival/lung");
    for (key, law) in LAWS {
        check(key, &rows, &lung.columns(&names), &names, law, &file["survreg"][key]);
    }
    let all = data("lung");
    let rows = right(&all.number("time"), &all.code("status"));
    check("lung null", &rows, &[], &[], Law::Weibull, &file["survreg"]["weibull_null"]);
    let sets: [(&str, &str, &str, &str, &[&str]); 4] = [
        ("ovarian", "survreg_weibull", "futime", "fustat", &["age", "rx"]),
        ("veteran", "survreg_weibull", "time", "status", &["trt2", "karno", "smallcell", "adeno", "large"]),
        ("waltons", "weibull", "T", "E", &[]),
        ("rossi", "weibull", "week", "arrest", &["fin", "age", "race", "wexp", "mar", "paro", "prio"]),
    ];
    for (name, block, time, event, covariates) in sets {
        let d = data(name);
        let rows = right(&d.number(time), &d.code(event));
        check(
            name,
            &rows,
            &d.columns(covariates),
            covariates,
            Law::Weibull,
            &results(&format!("survival/{name}"))[block],
        );
    }
}

#[test]
fn over_clusters() {
    let d = data("kidney");
    let expected = &results("survival/kidney")["survreg_weibull_cluster"];
    let mut rows = right(&d.number("time"), &d.code("status"));
    rows.iter_mut().zip(d.code("id")).for_each(|(r, id)| r.cluster = id);
    let (age, female, ones) = (d.number("age"), d.number("female"), vec![1.0; rows.len()]);
    let fit = lifetimes(&rows, &[&ones, &age, &female], Law::Weibull).unwrap();
    all_close("coefficients", &fit.coefficients, &expected["coef"], 1e-7);
    all_close("model se", &fit.se(), &expected["naive_se"], 1e-7);
    all_close("robust se", &fit.robust_se(), &expected["robust_se"], 1e-7);
}

fn cosmesis() -> (Vec<Span>, Vec<f64>) {
    let d = data("bcdeter");
    let high = d.number("upper").into_iter().map(|u| if u.is_nan() { f64::INFINITY } else { u });
    let spans = d.number("lower").into_iter().zip(high).map(|(a, b)| Span::from_looks(a, b)).collect();
    (spans, d.number("treat"))
}

#[test]
fn interval_censored() {
    let (spans, treat) = cosmesis();
    let file = results("survival/bcdeter_interval");
    let rows: Vec<Lifetime> = spans.iter().map(|&s| s.into()).collect();
    let second = vec![treat.iter().map(|t| t - 1.0).collect::<Vec<f64>>()];
    for (key, law) in LAWS {
        check(key, &rows, &second, &["trt2"], law, &file[key]);
    }
    let direct = &results("survival/python_direct")["interval_censored_weibull_bcdeter"];
    let ones = vec![1.0; rows.len()];
    let fit = lifetimes(&rows, &[&ones, &second[0]], Law::Weibull).unwrap();
    let found = [fit.coefficients[0], fit.coefficients[1], fit.scale.ln()];
    all_close("direct", &found, &direct["est"], 1e-7);
    all_close("direct se", &fit.se(), &direct["se"], 1e-7);
    for (i, group) in file["weibull_by_group"].as_array().unwrap().iter().enumerate() {
        let own: Vec<Lifetime> =
            rows.iter().zip(&treat).filter(|(_, t)| **t == i as f64 + 1.0).map(|(r, _)| *r).collect();
        check("by group", &own, &[], &[], Law::Weibull, group);
    }
}

#[test]
fn current_status() {
    let d = data("turbine");
    let mut rows = Vec::new();
    for ((hours, failed), inspected) in d.number("hours").into_iter().zip(d.number("failed")).zip(d.number("inspected"))
    {
        rows.push(Lifetime { weight: failed, ..Span::Before(hours).into() });
        rows.push(Lifetime { weight: inspected - failed, ..Span::After(hours).into() });
    }
    check("turbine", &rows, &[], &[], Law::Weibull, &results("survival/turbine_current_status")["weibull"]);
}

#[test]
fn left_truncated() {
    let d = data("mgus2_age60_lefttrunc");
    let mut rows = right(&d.number("a1"), &d.code("death"));
    rows.iter_mut().zip(d.number("a0")).for_each(|(r, entry)| r.entry = entry);
    let (male, ones) = (d.number("male"), vec![1.0; rows.len()]);
    let direct = results("survival/python_direct");
    let fit = lifetimes(&rows, &[&ones, &male], Law::Weibull).unwrap();
    let expected = &direct["left_truncated_weibull_mgus2_age60"];
    // The reference gives the log shape, which is -log s.
    let found = [fit.coefficients[0], fit.coefficients[1], -fit.scale.ln()];
    all_close("with sex", &found, &expected["est"], 1e-7);
    all_close("with sex se", &fit.se(), &expected["se"], 1e-7);
    close("log likelihood", fit.log_likelihood, expected["logLik"].as_f64().unwrap(), 1e-7);
    let fit = lifetimes(&rows, &[&ones], Law::Weibull).unwrap();
    let expected = &direct["left_truncated_weibull_mgus2_age60_no_covariate"];
    all_close("alone", &[fit.coefficients[0], -fit.scale.ln()], &expected["est"], 1e-7);
    let rate = &direct["occurrence_exposure_rate_mgus2_age60"];
    let exact = exact::rate(rate["events"].as_f64().unwrap(), rate["person_years"].as_f64().unwrap(), 0.95);
    all_close("rate", &[exact.low, exact.high], &rate["exact_ci"], 1e-9);
}

#[test]
fn curve_between_looks() {
    let (spans, treat) = cosmesis();
    for expected in results("survival/bcdeter_interval")["turnbull_npmle"].as_array().unwrap() {
        let group = expected["treat"].as_f64().unwrap();
        let own: Vec<Span> = spans.iter().zip(&treat).filter(|(_, t)| **t == group).map(|(s, _)| *s).collect();
        let found = turnbull(&own, None);
        assert!(found.settled);
        for (&t, &s) in numbers(&expected["times"]).iter().zip(&numbers(&expected["surv"])) {
            close(&format!("group {group} at {t}"), found.survival(t), s, 1e-3);
        }
    }
}

#[test]
fn subdistribution_hazards() {
    let d = data("mgus2").complete(&["age", "male", "hgb"]);
    let (time, event) = (d.number("etime"), d.code("event"));
    let columns = d.columns(&["age", "male", "hgb"]);
    let covariates: Vec<Covariate<'_>> =
        ["age", "male", "hgb"].iter().zip(&columns).map(|(name, values)| Covariate { name, values }).collect();
    let seen = Observations::new(&time, &event).unwrap();
    let (file, direct) = (results("survival/mgus2"), results("survival/python_direct"));
    for (cause, key) in [(1, "fine_gray_pcm"), (2, "fine_gray_death")] {
        let expected = &file[key]["crr"];
        let fit = subdistribution(&seen, &covariates, cause, CensoringTies::FailuresStay).unwrap();
        all_close(key, &fit.coefficients, &expected["coef"], 1e-7);
        let logs = [fit.log_likelihood.0, fit.log_likelihood.1];
        close("null", logs[0], expected["logLik_null"].as_f64().unwrap(), 1e-7);
        close("fit", logs[1], expected["logLik"].as_f64().unwrap(), 1e-7);
        all_close("se", &fit.se, &expected["se"], 1e-6);
        let predicted = &expected["predicted_cif"];
        let sets = predicted["newdata"].as_array().unwrap();
        for (i, &t) in numbers(&predicted["times"]).iter().enumerate() {
            for (j, set) in sets.iter().enumerate() {
                let stated = numbers(&predicted["cif"])[i * sets.len() + j];
                close("incidence", fit.incidence(&numbers(set), t), stated, 1e-7);
            }
        }
        let left = subdistribution(&seen, &covariates, cause, CensoringTies::FailuresLeave).unwrap();
        all_close("failures leave", &left.coefficients, &file[key]["survival_finegray_breslow"]["coef"], 1e-7);
        all_close("model se", &left.model_se, &file[key]["survival_finegray_breslow"]["se_model"], 1e-7);
        if cause == 1 {
            let direct = &direct["fine_gray_direct_mgus2_pcm"];
            let stay = &direct["censoring_risk_set_keeps_tied_failures"];
            all_close("direct", &fit.coefficients, &stay["coef"], 1e-7);
            all_close("direct se", &fit.model_se, &stay["se_model"], 1e-7);
            all_close("direct left", &left.coefficients, &direct["tied_failures_leave_before_censoring"]["coef"], 1e-7);
        }
    }
}
