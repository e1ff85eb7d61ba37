//! `bisque survive cox`.

use super::super::evidence::{print_figures, undrawable};
use super::super::say;
use super::{cautions, draw, p_words, rows};
use crate::args::{CoxArgs, TiesArg};
use crate::failure::Failure;
use picture::axis::{figure, round_end};
use picture::forms::{self, Forest, ForestRow};
use serde::Serialize;
use survival::cox::{Covariate, Cox, CoxFit, Proportionality, Ties, TimeScale};

/// Events a coefficient below which a model says more than its data.
const EVENTS_A_COEFFICIENT: usize = 10;

/// One coefficient as told.
#[derive(Debug, Clone, Serialize)]
struct Ratio {
    name: String,
    log_hazard_ratio: f64,
    se: f64,
    hazard_ratio: f64,
    low: f64,
    high: f64,
    p: f64,
    proportional_p: f64,
}

/// Reads, fits, tells.
pub fn run(args: &CoxArgs) -> Result<(), Failure> {
    let rows = rows::read(&args.rows, &args.covariate)?;
    if args.rows.group.is_some() {
        return Err(Failure::Usage(
            "a Cox model has no --group: give the column as --covariate or --strata".to_owned(),
        ));
    }
    let events = rows.events(args.cause.as_deref())?;
    let told = |e: &dyn std::fmt::Display| Failure::Usage(format!("{}: {e}", rows.file));
    let covariates: Vec<Covariate<'_>> =
        rows.covariates.iter().map(|(name, values)| Covariate { name, values }).collect();
    let ties = match args.ties {
        TiesArg::Efron => Ties::Efron,
        TiesArg::Breslow => Ties::Breslow,
    };
    let mut model = Cox::new(rows.observations(&events)?, &covariates).map_err(|e| told(&e))?.with_ties(ties);
    if let Some((strata, _)) = &rows.strata {
        model = model.with_strata(strata).map_err(|e| told(&e))?;
    }
    let fit = model.fit().map_err(|e| told(&e))?;
    let proportional = fit.proportionality(&model, TimeScale::KaplanMeier).map_err(|e| told(&e))?;
    let ratios = ratios(&fit, &proportional, args.rows.level / 100.0);
    let mut cautions = cautions(&args.rows, &rows, fit.events as f64);
    if fit.events < EVENTS_A_COEFFICIENT * fit.names.len() {
        cautions.push(format!(
            "{} events for {} coefficient{}: fewer than 10 each, trust little",
            fit.events,
            fit.names.len(),
            if fit.names.len() == 1 { "" } else { "s" }
        ));
    }
    for (column, level) in &rows.references {
        cautions.push(format!("levels of `{column}` are against `{level}`, the most frequent"));
    }
    for r in ratios.iter().filter(|r| r.proportional_p < 0.05) {
        cautions.push(format!(
            "the effect of {} changes with time (p {}): its ratio is an average",
            r.name,
            p_words(r.proportional_p)
        ));
    }
    let finding = finding(&ratios);
    if args.rows.json {
        print_figures(
            &serde_json::json!({ "finding": finding, "level": args.rows.level / 100.0, "cautions": cautions,
            "ratios": ratios, "fit": fit, "proportionality": proportional }),
        )?;
    } else {
        say(&finding);
        cautions.iter().for_each(|c| say(&format!("  {c}")));
        say(&format!("  {} rows at risk, {} events", fit.rows, fit.events));
        let width = ratios.iter().map(|r| r.name.chars().count()).max().unwrap_or(0);
        for r in &ratios {
            say(&format!(
                "  {:<width$}  hazard ratio {} ({} to {}), p {}",
                r.name,
                figure(r.hazard_ratio, 3),
                figure(r.low, 3),
                figure(r.high, 3),
                p_words(r.p)
            ));
        }
        tell_tests(&fit, &proportional);
    }
    match &args.picture {
        Some(out) => draw(&scene(&ratios, &finding)?, out, args.rows.json),
        None => Ok(()),
    }
}

fn tell_tests(fit: &CoxFit, proportional: &Proportionality) {
    let test = |t: &survival::cox::CoxTest| format!("{} on {}, p {}", figure(t.chi_square, 2), t.df, p_words(t.p));
    say(&format!(
        "  all coefficients 0: likelihood ratio {}; score {}; Wald {}",
        test(&fit.ratio_test),
        test(&fit.score_test),
        test(&fit.wald_test)
    ));
    if let Some(robust) = &fit.robust_score_test {
        say(&format!("  robust score {}", test(robust)));
    }
    say(&format!("  proportional hazards: {}", test(&proportional.all)));
}

fn ratios(fit: &CoxFit, proportional: &Proportionality, level: f64) -> Vec<Ratio> {
    let z = survival::half_width(level);
    (0..fit.names.len())
        .map(|j| {
            let (b, se) = (fit.coefficients[j], fit.se()[j]);
            Ratio {
                name: fit.names[j].clone(),
                log_hazard_ratio: b,
                se,
                hazard_ratio: b.exp(),
                low: (b - z * se).exp(),
                high: (b + z * se).exp(),
                p: survival::chi_square_p((b / se).powi(2), 1),
                proportional_p: proportional.each[j].p,
            }
        })
        .collect()
}

fn finding(ratios: &[Ratio]) -> String {
    let clear: Vec<String> = ratios
        .iter()
        .filter(|r| r.low > 1.0 || r.high < 1.0)
        .map(|r| {
            let word = if r.hazard_ratio > 1.0 { "sooner" } else { "later" };
            format!(
                "{} ({word}, {} times, {} to {})",
                r.name,
                figure(r.hazard_ratio, 2),
                figure(r.low, 2),
                figure(r.high, 2)
            )
        })
        .collect();
    match clear.as_slice() {
        [] => "No covariate is shown to go with failing sooner or later; that is not proof that none does.".to_owned(),
        some => format!("Failing goes with {}.", some.join(", ")),
    }
}

fn scene(ratios: &[Ratio], finding: &str) -> Result<picture::Scene, Failure> {
    let rows: Vec<ForestRow> = ratios
        .iter()
        .map(|r| ForestRow {
            label: r.name.clone(),
            group: String::new(),
            value: r.hazard_ratio,
            low: r.low,
            high: r.high,
            weight: 1.0,
        })
        .collect();
    // A very uncertain ratio runs over the end rather than press the others together.
    let end = round_end(rows.iter().map(|r| r.high.min(4.0 * r.value.max(1.0))).chain([1.5]));
    forms::forest(&Forest {
        title: finding.to_owned(),
        quantity: "hazard ratio per unit (1: no effect)".to_owned(),
        rows,
        pooled: None,
        prediction: None,
        left_out: Vec::new(),
        scale: (0.0, end),
        decimals: 2,
    })
    .map_err(undrawable)
}
