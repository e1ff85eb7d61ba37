//! Curves, hazards, restricted means, life tables and rank tests against stored results of R survival 3.5-3 (`reference/survival`, made by
//! `reference/scripts/surv_reference.R`).
//!
//! Tolerances: 1e-9, all are closed forms.
#![allow(clippy::unwrap_used)] // a helper of tests fails by panicking
mod files;

use files::*;
use serde_json::Value;
use survival::*;

/// A block of the reference with the rows it was made from.
struct Case {
    file: &'static str,
    block: &'static str,
    table: Table,
    time: &'static str,
    event: &'static str,
    entry: Option<&'static str>,
    group: Option<&'static str>,
}

fn case(
    file: &'static str,
    block: &'static str,
    table: Table,
    columns: (&'static str, &'static str),
    group: Option<&'static str>,
) -> Case {
    Case { file, block, table, time: columns.0, event: columns.1, entry: None, group }
}

fn data(name: &str) -> Table {
    table(&format!("data/{name}.csv"))
}

fn cases() -> Vec<Case> {
    let died = |t: Table| t.only("etype", |e| e == "2");
    vec![
        case("lung", "km_all", data("lung"), ("time", "status"), None),
        case("lung", "km_sex", data("lung"), ("time", "status"), Some("sex")),
        case("ovarian", "km_rx", data("ovarian"), ("futime", "fustat"), Some("rx")),
        case("veteran", "km_celltype", data("veteran"), ("time", "status"), Some("celltype")),
        case("kidney", "km_sex", data("kidney"), ("time", "status"), Some("sex")),
        case("rats", "km_rx", data("rats").only("sex", |s| s == "f"), ("time", "status"), Some("rx")),
        case("mgus2", "km_overall_death", data("mgus2"), ("futime", "death"), Some("sex")),
        Case {
            entry: Some("a0"),
            ..case("mgus2", "left_truncated_age_scale/km", data("mgus2_age60_lefttrunc"), ("a1", "death"), Some("sex"))
        },
        Case { entry: Some("start"), ..case("heart", "km_tx", data("heart"), ("stop", "event"), Some("tx")) },
        case("colon", "km_rx", died(data("colon")), ("time", "status"), Some("rx")),
        case("aml", "km", data("aml"), ("time", "status"), Some("x")),
        case("waltons", "km", data("waltons"), ("T", "E"), Some("group")),
        case("rossi", "km", data("rossi"), ("week", "arrest"), Some("fin")),
    ]
}

fn block(case: &Case) -> Value {
    case.block.split('/').fold(results(&format!("survival/{}", case.file)), |v, k| v[k].clone())
}

const SCALES: [(&str, Scale); 5] = [
    ("ci_plain", Scale::Plain),
    ("ci_log", Scale::Log),
    ("ci_log_log", Scale::LogLog),
    ("ci_logit", Scale::Logit),
    ("ci_arcsin", Scale::Arcsine),
];

/// Limits where R and we both have them: R gives none, or a zero width, at S = 1 and S = 0, where we give none.
///
/// With delayed entry the first risk sets are tiny and the lower limit first dips, then rises again: R searches such a limit as if it were sorted,
/// we take its first crossing. Limits of quantiles are compared without delayed entry only.
fn check_limits(what: &str, curve: &SurvivalCurve, times: &[f64], late: bool, expected: &Value) {
    for (name, scale) in SCALES {
        let (lows, highs) = (numbers(&expected[name]["lower"]), numbers(&expected[name]["upper"]));
        for (i, &t) in times.iter().enumerate() {
            if let Some(l) = curve.at(t).limits(0.95, scale) {
                close(&format!("{what} {name} low at {t}"), l.low, lows[i], 1e-9);
                close(&format!("{what} {name} high at {t}"), l.high, highs[i], 1e-9);
            }
        }
        let quantiles = &expected[name]["quantiles"];
        for (i, share) in [0.25, 0.5, 0.75].into_iter().enumerate() {
            let found = curve.quantile(share, 0.95, scale);
            let given = [found.time, found.low, found.high];
            let compared = if late { 1 } else { 3 };
            for (found, key) in given.into_iter().zip(["est", "lower", "upper"]).take(compared) {
                let expected = numbers(&quantiles[key])[i];
                assert_eq!(found.is_none(), expected.is_nan(), "{what} {name} {key} {share}: {found:?} for {expected}");
                close(&format!("{what} {name} {key} {share}"), found.unwrap_or(f64::NAN), expected, 1e-9);
            }
        }
    }
}

#[test]
fn curves() {
    for case in cases() {
        let expected = block(&case);
        let (exit, event) = (case.table.number(case.time), case.table.code(case.event));
        let entry = case.entry.map(|e| case.table.number(e));
        let seen = match &entry {
            Some(entry) => Observations::with_entry(entry, &exit, &event).unwrap(),
            None => Observations::new(&exit, &event).unwrap(),
        };
        let names = case.group.map_or(vec!["all".to_owned(); exit.len()], |g| case.table.text(g));
        let (codes, labels) = codes_of(&names);
        let groups = split(&seen, &codes).unwrap();
        let times = numbers(&expected["times"]);
        let hazards = &expected["fleming_harrington_stype2_ctype2"];
        let mut place = 0;
        for curve in expected["curves"].as_array().unwrap() {
            let label = curve["group"].as_str().unwrap();
            let wanted = label.split_once('=').map_or("all", |(_, v)| v);
            let group = groups.iter().find(|g| labels[g.code as usize] == wanted).unwrap();
            let what = format!("{} {label}", case.file);
            let found = kaplan_meier(&group.observations());
            close(&what, found.events(), curve["events"].as_f64().unwrap(), 0.0);
            let at = |f: &dyn Fn(Step) -> f64| times.iter().map(|&t| f(found.at(t))).collect::<Vec<_>>();
            all_close(&format!("{what} S"), &at(&|s| s.survival), &curve["surv"], 1e-9);
            let se = |s: Step| if s.survival > 0.0 { s.se() } else { f64::NAN };
            if numbers(&curve["surv"]).iter().all(|s| *s > 0.0) {
                all_close(&format!("{what} se"), &at(&se), &curve["se_greenwood"], 1e-9);
                all_close(&format!("{what} se H"), &at(&|s| s.hazard_se), &curve["se_cumhaz"], 1e-9);
            }
            all_close(&format!("{what} H"), &at(&|s| s.hazard), &curve["cumhaz_nelson_aalen"], 1e-9);
            if case.entry.is_none() {
                all_close(&format!("{what} n"), &at(&|s| s.at_risk), &curve["n_risk"], 1e-9);
            }
            check_limits(&what, &found, &times, case.entry.is_some(), curve);
            if let Some(tau) = curve["rmst"]["tau"].as_f64() {
                let mean = restricted_mean(&group.observations(), tau);
                close(&format!("{what} mean"), mean.mean, curve["rmst"]["rmst"].as_f64().unwrap(), 1e-9);
                close(&format!("{what} mean se"), mean.se, curve["rmst"]["se"].as_f64().unwrap(), 1e-9);
            }
            let full = &curve["full_curve"];
            if full.is_object() {
                let steps: Vec<Step> = found.steps.iter().copied().filter(|s| s.events > 0.0).collect();
                let column = |f: &dyn Fn(&Step) -> f64| steps.iter().map(f).collect::<Vec<_>>();
                all_close(&format!("{what} times"), &column(&|s| s.time), &full["time"], 1e-9);
                all_close(&format!("{what} at risk"), &column(&|s| s.at_risk), &full["n_risk"], 1e-9);
                all_close(&format!("{what} curve"), &column(&|s| s.survival), &full["surv"], 1e-9);
                all_close(&format!("{what} hazard"), &column(&|s| s.hazard), &full["cumhaz"], 1e-9);
                all_close(&format!("{what} hazard se"), &column(&|s| s.hazard_se), &full["se_cumhaz"], 1e-9);
                for (s, e) in steps.iter().zip(numbers(&full["se_log_surv"])) {
                    if s.survival > 0.0 {
                        close(&format!("{what} se log S"), s.log_se, e, 1e-9);
                    }
                }
            }
            let spread = fleming_harrington_of(&RiskTable::count(&group.observations()));
            for &t in &times {
                let (s, e) = (numbers(&hazards["surv"])[place], numbers(&hazards["se"])[place]);
                close(&format!("{what} exp(-H)"), spread.at(t).survival, s, 1e-9);
                close(&format!("{what} exp(-H) se"), spread.at(t).se(), e, 1e-9);
                place += 1;
            }
        }
    }
}

#[test]
fn curve_over_clusters() {
    let d = data("kidney");
    let (time, status, id) = (d.number("time"), d.code("status"), d.code("id"));
    let seen = Observations::new(&time, &status).unwrap().with_clusters(&id).unwrap();
    let found = kaplan_meier(&seen);
    let expected = &results("survival/kidney")["km_robust_cluster"];
    let times = numbers(&expected["times"]);
    let column = |f: &dyn Fn(Step) -> f64| times.iter().map(|&t| f(found.at(t))).collect::<Vec<_>>();
    all_close("S", &column(&|s| s.survival), &expected["surv"], 1e-9);
    all_close("se", &column(&|s| s.se()), &expected["se_infinitesimal_jackknife_by_id"], 1e-9);
}

#[test]
fn incidence() {
    let d = data("mgus2");
    let (time, event, sex) = (d.number("etime"), d.code("event"), d.text("sex"));
    let file = results("survival/mgus2");
    let direct = results("survival/python_direct");
    for (block, names) in [("aalen_johansen_sex", sex.clone()), ("aalen_johansen_all", vec!["all".into(); time.len()])]
    {
        let expected = &file[block];
        let times = numbers(&expected["times"]);
        let (codes, labels) = codes_of(&names);
        for group in split(&Observations::new(&time, &event).unwrap(), &codes).unwrap() {
            let label = &labels[group.code as usize];
            let peer = &expected["groups"][label];
            let seen = group.observations();
            // Every row its own cluster: the robust path must agree with the closed form.
            let own: Vec<u32> = (0..seen.len() as u32).collect();
            for found in [aalen_johansen(&seen), aalen_johansen(&seen.with_clusters(&own).unwrap())] {
                for one in &found {
                    let column = |key: &str| -> Vec<f64> {
                        peer[key].as_array().unwrap().iter().map(|r| numbers(r)[one.cause]).collect()
                    };
                    let (p, se) = (column("pstate"), column("se_infinitesimal_jackknife"));
                    let (low, high) = (column("lower_log"), column("upper_log"));
                    let etm = &expected["etm_greenwood"][label][["", "pcm", "death"][one.cause]];
                    for (i, &t) in times.iter().enumerate() {
                        let step = one.at(t);
                        close("incidence", step.incidence, p[i], 1e-9);
                        close("se", step.se, se[i], 1e-9);
                        close("etm", step.se.powi(2), numbers(&etm["var"])[i], 1e-9);
                        let limits = step.limits(0.95, Scale::Log).unwrap();
                        close("low", limits.low, low[i], 1e-9);
                        close("high", limits.high, high[i], 1e-9);
                        let own = &direct["aalen_johansen_direct_mgus2"][label][one.cause.to_string()];
                        if own.is_object() {
                            close("direct", step.se.powi(2), numbers(&own["var_greenwood_delta"])[i], 1e-9);
                        }
                    }
                }
            }
        }
    }
    let (codes, _) = codes_of(&sex);
    let seen = Observations::new(&time, &event).unwrap();
    let tested = &file["aalen_johansen_sex"]["gray_test"];
    for cause in [1, 2] {
        let found = incidence_test(&seen, &codes, None, cause, 0.0).unwrap();
        // `Gray`'s p is gated at 1e-6 by the reference; the statistic agrees to 1e-9.
        close("gray", found.chi_square, numbers(&tested["stat"])[cause - 1], 1e-9);
        close("gray p", found.p, numbers(&tested["p"])[cause - 1], 1e-6);
    }
}

/// File, block, rows, columns of time and event, group, strata.
type Block = (&'static str, &'static str, Table, (&'static str, &'static str), &'static str, Option<&'static str>);

#[test]
fn rank_tests() {
    let died = |t: Table| t.only("etype", |e| e == "2");
    let blocks: Vec<Block> = vec![
        ("lung", "logrank_sex", data("lung"), ("time", "status"), "sex", None),
        ("lung", "logrank_ecog", data("lung").complete(&["ph.ecog"]), ("time", "status"), "ph.ecog", None),
        (
            "lung",
            "logrank_sex_strata_ecog",
            data("lung").complete(&["ph.ecog"]),
            ("time", "status"),
            "sex",
            Some("ph.ecog"),
        ),
        ("ovarian", "logrank", data("ovarian"), ("futime", "fustat"), "rx", None),
        ("veteran", "logrank_celltype", data("veteran"), ("time", "status"), "celltype", None),
        ("veteran", "logrank_trt_strata_celltype", data("veteran"), ("time", "status"), "trt", Some("celltype")),
        ("kidney", "logrank_sex", data("kidney"), ("time", "status"), "sex", None),
        ("rats", "logrank_rx", data("rats").only("sex", |s| s == "f"), ("time", "status"), "rx", None),
        ("colon", "logrank_rx", died(data("colon")), ("time", "status"), "rx", None),
        ("colon", "logrank_rx_strata_extent", died(data("colon")), ("time", "status"), "rx", Some("extent")),
        ("aml", "logrank", data("aml"), ("time", "status"), "x", None),
        ("waltons", "logrank", data("waltons"), ("T", "E"), "group", None),
        ("rossi", "logrank", data("rossi"), ("week", "arrest"), "fin", None),
    ];
    for (file, block, d, (time, event), group, strata) in blocks {
        let expected = &results(&format!("survival/{file}"))[block];
        let (exit, event) = (d.number(time), d.code(event));
        let seen = Observations::new(&exit, &event).unwrap();
        let (codes, labels) = codes_of(&d.text(group));
        let strata = strata.map(|s| codes_of(&d.text(s)).0);
        for (key, rho) in [("rho0", 0.0), ("rho1", 1.0)] {
            let (expected, what) = (&expected[key], format!("{file} {block} {key}"));
            let found = log_rank(&seen, &codes, strata.as_deref(), rho).unwrap();
            close(&what, found.chi_square, expected["chisq"].as_f64().unwrap(), 1e-9);
            close(&what, found.p, expected["p"].as_f64().unwrap(), 1e-9);
            assert_eq!(found.df as u64, expected["df"].as_u64().unwrap());
            for (i, name) in expected["groups"].as_array().unwrap().iter().enumerate() {
                let name = name.as_str().unwrap();
                let own = name.split_once('=').map_or(name, |(_, v)| v);
                let at = labels.iter().position(|l| l == own).unwrap();
                close(&what, found.observed[at], numbers(&expected["observed"])[i], 1e-9);
                close(&what, found.expected[at], numbers(&expected["expected"])[i], 1e-9);
                close(&what, found.variance[at][at], numbers(&expected["variance"][i])[i], 1e-9);
            }
        }
    }
}

#[test]
fn life_tables() {
    let died = data("colon").only("etype", |e| e == "2");
    for (file, block, d) in [("lung", "life_table_90d", data("lung")), ("colon", "life_table_years", died)] {
        let expected = &results(&format!("survival/{file}"))[block];
        let mut breaks = numbers(&expected["interval_start"]);
        breaks.push(*numbers(&expected["interval_end"]).last().unwrap());
        let (time, status) = (d.number("time"), d.code("status"));
        let found = life_table(&time, |r| status[r] == 1, &breaks);
        let column = |f: &dyn Fn(&LifeInterval) -> f64| found.iter().map(f).collect::<Vec<_>>();
        all_close("entered", &column(&|i| i.entered), &expected["entered"], 1e-9);
        all_close("events", &column(&|i| i.events), &expected["events"], 1e-9);
        all_close("S", &column(&|i| i.survival), &expected["S_end"], 1e-9);
        all_close("se", &column(&|i| i.survival_se), &expected["se_S_end"], 1e-9);
        all_close("hazard", &column(&|i| i.hazard), &expected["hazard"], 1e-9);
        all_close("hazard se", &column(&|i| i.hazard_se), &expected["se_hazard"], 1e-9);
        all_close("density", &column(&|i| i.density), &expected["pdf"], 1e-9);
    }
}

#[test]
fn restricted_means_differ() {
    let d = data("colon").only("etype", |e| e == "2");
    let expected = &results("survival/colon")["rmst_difference"];
    let (time, status) = (d.number("time"), d.code("status"));
    let (codes, labels) = codes_of(&d.text("rx"));
    let groups = split(&Observations::new(&time, &status).unwrap(), &codes).unwrap();
    let mean = |name: &str| {
        let group = groups.iter().find(|g| labels[g.code as usize] == name).unwrap();
        restricted_mean(&group.observations(), expected["tau"].as_f64().unwrap())
    };
    let (a, b) = (mean("Obs"), mean("Lev+5FU"));
    close("difference", b.mean - a.mean, expected["diff_lev5fu_minus_obs"].as_f64().unwrap(), 1e-9);
    close("se", a.se.hypot(b.se), expected["se"].as_f64().unwrap(), 1e-9);
}
