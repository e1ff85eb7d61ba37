//! Cox models against stored results of R survival 3.5-3 (`reference/survival`, made by `reference/scripts/surv_reference.R`).
//!
//! Tolerances: coefficients, standard errors (model and robust), log likelihoods and tests 1e-8 (both sides iterate to rounding); tests of
//! proportionality 1e-6 (the README of the references); Wald statistics are stored with two decimals: 0.0051.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking
mod files;

use files::*;
use serde_json::Value;
use survival::cox::*;
use survival::*;

fn data(name: &str) -> Table {
    table(&format!("data/{name}.csv"))
}

/// A block of the references with the model it was made from.
struct Case {
    block: String,
    table: Table,
    columns: (&'static str, &'static str, Option<&'static str>),
    cause: Option<u32>,
    covariates: Vec<&'static str>,
    strata: Option<&'static str>,
    cluster: Option<&'static str>,
    ties: Ties,
}

fn both(
    name: &str,
    suffix: &str,
    make: impl Fn() -> Table,
    columns: (&'static str, &'static str, Option<&'static str>),
    covariates: &[&'static str],
    cluster: Option<&'static str>,
) -> Vec<Case> {
    [("efron", Ties::Efron), ("breslow", Ties::Breslow)]
        .into_iter()
        .map(|(label, ties)| Case {
            block: format!("{name}/cox_{label}{suffix}"),
            table: make(),
            columns,
            cause: None,
            covariates: covariates.to_vec(),
            strata: None,
            cluster,
            ties,
        })
        .collect()
}

fn cases() -> Vec<Case> {
    let lung = || data("lung").complete(&["age", "sex", "ph.ecog", "inst"]);
    let right = ("time", "status", None);
    let three = ["age", "sex", "ph.ecog"];
    let mut all = both("lung", "", lung, right, &three, None);
    all.extend(both("lung", "_cluster_inst", lung, right, &three, Some("inst")));
    let mut strata = both("lung", "_strata_sex", lung, right, &["age", "ph.ecog"], None);
    strata.truncate(1);
    strata[0].strata = Some("sex");
    all.extend(strata);
    all.extend(both("ovarian", "", || data("ovarian"), ("futime", "fustat", None), &["age", "rx"], None));
    let cells = ["trt2", "karno", "smallcell", "adeno", "large"];
    all.extend(both("veteran", "", || data("veteran"), right, &cells, None));
    all.extend(both("kidney", "_cluster", || data("kidney"), right, &["age", "female"], Some("id")));
    let female = || data("rats").only("sex", |s| s == "f");
    all.extend(both("rats", "_cluster", female, right, &["rx"], Some("litter")));
    for cause in [1, 2] {
        all.push(Case {
            block: format!("mgus2/cause_specific_cox_efron_cause{cause}"),
            table: data("mgus2").complete(&["age", "male", "hgb"]),
            columns: ("etime", "event", None),
            cause: Some(cause),
            covariates: vec!["age", "male", "hgb"],
            strata: None,
            cluster: None,
            ties: Ties::Efron,
        });
    }
    let late = || data("mgus2_age60_lefttrunc").complete(&["hgb"]);
    all.extend(both("mgus2/left_truncated_age_scale", "", late, ("a1", "death", Some("a0")), &["male", "hgb"], None));
    let stretches = ("stop", "event", Some("start"));
    let four = ["age", "year", "surgery", "tx"];
    all.extend(both("heart", "", || data("heart"), stretches, &four, None));
    let mut clustered = both("heart", "_cluster_id", || data("heart"), stretches, &four, Some("id"));
    clustered.truncate(1);
    all.extend(clustered);
    let colon = || data("colon").complete(&["nodes", "age"]);
    let mut two = both("colon", "", colon, right, &["lev", "lev5fu", "nodes", "age"], Some("id"));
    for case in &mut two {
        case.block += "_both_event_types_strata_cluster";
        case.strata = Some("etype");
    }
    all.extend(two);
    let seven = ["fin", "age", "race", "wexp", "mar", "paro", "prio"];
    all.extend(both("rossi", "", || data("rossi"), ("week", "arrest", None), &seven, None));
    all
}

fn check(what: &str, fit: &CoxFit, expected: &Value) {
    all_close(what, &fit.coefficients, &expected["coef"], 1e-8);
    all_close(&format!("{what} se"), &fit.model_se, &expected["se"], 1e-8);
    if let Some(robust) = &fit.robust_se {
        all_close(&format!("{what} robust"), robust, &expected["robust_se"], 1e-8);
        let test = fit.robust_score_test.unwrap().chi_square;
        close(&format!("{what} robust score"), test, expected["robust_score"]["test"].as_f64().unwrap(), 1e-8);
    }
    all_close(&format!("{what} covariance"), &fit.covariance().concat(), &expected["vcov"], 1e-8);
    let logs = [fit.log_likelihood.0, fit.log_likelihood.1];
    all_close(&format!("{what} log likelihood"), &logs, &expected["logLik"], 1e-8);
    for (test, key, tolerance) in
        [(fit.score_test, "score_test", 1e-8), (fit.ratio_test, "lr_test", 1e-8), (fit.wald_test, "wald_test", 0.0051)]
    {
        let stated = expected[key]["test"].as_f64().unwrap();
        let gap = if key == "wald_test" { tolerance } else { tolerance * stated.max(1.0) };
        assert!((test.chi_square - stated).abs() <= gap, "{what} {key}: {} for {stated}", test.chi_square);
    }
}

fn check_proportional(what: &str, fit: &CoxFit, model: &Cox<'_>, expected: &Value) {
    for (scale, key) in [(TimeScale::KaplanMeier, "cox_zph_km"), (TimeScale::Identity, "cox_zph_identity")] {
        if !expected[key].is_object() {
            continue;
        }
        let found = fit.proportionality(model, scale).unwrap();
        let mut statistics: Vec<f64> = found.each.iter().map(|t| t.chi_square).collect();
        // With one covariate the test of all is the test of it; the reference may leave it out.
        if numbers(&expected[key]["chisq"]).len() > statistics.len() {
            statistics.push(found.all.chi_square);
        }
        all_close(&format!("{what} {key}"), &statistics, &expected[key]["chisq"], 1e-6);
    }
}

fn check_prediction(what: &str, fit: &CoxFit, model: &Cox<'_>, expected: &Value) {
    let predicted = &expected["predicted_survival"];
    if !predicted.is_object() {
        return;
    }
    let times = numbers(&predicted["times"]);
    let rows = predicted["newdata"].as_array().unwrap();
    let sets = rows.len();
    let at = |k: usize, key: &str| numbers(&predicted[key])[k];
    for (set, row) in rows.iter().enumerate() {
        let z: Vec<f64> = fit.names.iter().map(|n| row[n].as_f64().unwrap()).collect();
        let found = &fit.predict(model, &z).unwrap()[0];
        for (i, &t) in times.iter().enumerate() {
            let (s, se, limits) = found.survival(t, 0.95, Scale::Log);
            let k = i * sets + set;
            close(&format!("{what} S"), s, at(k, "surv"), 1e-8);
            close(&format!("{what} S se"), se, at(k, "se"), 1e-8);
            if let Some(l) = limits {
                close(&format!("{what} low"), l.low, at(k, "lower_log"), 1e-8);
                close(&format!("{what} high"), l.high, at(k, "upper_log"), 1e-8);
            }
        }
    }
}

#[test]
fn models() {
    for case in cases() {
        let d = &case.table;
        let expected = case.block.split('/').fold(Value::Null, |v, part| {
            if v.is_null() { results(&format!("survival/{part}")) } else { v[part].clone() }
        });
        assert!(expected.is_object(), "{}", case.block);
        let (time, event, entry) = case.columns;
        let exit = d.number(time);
        let event: Vec<u32> = d.code(event).iter().map(|&e| case.cause.map_or(e, |c| u32::from(e == c))).collect();
        let entry = entry.map(|e| d.number(e));
        let mut seen = match &entry {
            Some(entry) => Observations::with_entry(entry, &exit, &event).unwrap(),
            None => Observations::new(&exit, &event).unwrap(),
        };
        let cluster = case.cluster.map(|c| d.code(c));
        if let Some(cluster) = &cluster {
            seen = seen.with_clusters(cluster).unwrap();
        }
        let columns = d.columns(&case.covariates);
        let covariates: Vec<Covariate<'_>> =
            case.covariates.iter().zip(&columns).map(|(name, values)| Covariate { name, values }).collect();
        let strata = case.strata.map(|s| d.code(s));
        let mut model = Cox::new(seen, &covariates).unwrap().with_ties(case.ties);
        if let Some(strata) = &strata {
            model = model.with_strata(strata).unwrap();
        }
        let fit = model.fit().unwrap();
        check(&case.block, &fit, &expected);
        check_proportional(&case.block, &fit, &model, &expected);
        let order = fit.concordance(&model).unwrap();
        close(&format!("{} concordance", case.block), order, numbers(&expected["concordance"])[0], 1e-9);
        check_prediction(&case.block, &fit, &model, &expected);
        if let Some(stated) = expected["cumulative_baseline_hazard_at_x0"].as_object() {
            let found = &fit.predict(&model, &vec![0.0; covariates.len()]).unwrap()[0];
            let hazards: Vec<f64> = numbers(&stated["times"]).iter().map(|&t| found.at(t).hazard).collect();
            all_close("baseline", &hazards, &stated["H0"], 1e-8);
        }
    }
}

/// Each row its own cluster.
#[test]
fn robust_without_clusters() {
    let d = data("lung").complete(&["age", "sex", "ph.ecog", "inst"]);
    let (exit, event) = (d.number("time"), d.code("status"));
    let own: Vec<u32> = (0..exit.len() as u32).collect();
    let columns = d.columns(&["age", "sex", "ph.ecog"]);
    let covariates: Vec<Covariate<'_>> =
        ["age", "sex", "ph.ecog"].iter().zip(&columns).map(|(name, values)| Covariate { name, values }).collect();
    let seen = Observations::new(&exit, &event).unwrap().with_clusters(&own).unwrap();
    let fit = Cox::new(seen, &covariates).unwrap().fit().unwrap();
    check("lung robust", &fit, &results("survival/lung")["cox_efron_robust"]);
}

/// The first published set of survival times: one covariate of two levels.
#[test]
fn leukaemia() {
    let d = data("aml");
    let (exit, event) = (d.number("time"), d.code("status"));
    let group: Vec<f64> = d.text("x").iter().map(|x| if x == "Nonmaintained" { 1.0 } else { 0.0 }).collect();
    let covariates = [Covariate { name: "x", values: &group }];
    let seen = Observations::new(&exit, &event).unwrap();
    for (ties, key) in [(Ties::Efron, "cox_efron"), (Ties::Breslow, "cox_breslow")] {
        let model = Cox::new(seen, &covariates).unwrap().with_ties(ties);
        let fit = model.fit().unwrap();
        let expected = &results("survival/aml")[key];
        check(key, &fit, expected);
        check_proportional(key, &fit, &model, expected);
    }
}
