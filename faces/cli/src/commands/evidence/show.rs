//! `bisque evidence show`: one arm with all its figures, or the odds of a cell.

use super::super::say;
use super::{draw, known_cell, library, posterior, print_figures, refused, undrawable, world};
use crate::failure::Failure;
use ::catalogue::Catalogue;
use ::catalogue::words::Cause;
use ::evidence::{Arm, Cell, Directness, Prediction, Setting};
use answer::{Draws, Interval};
use picture::forms::{self, FanYear, SurvivalFan};
use std::path::Path;

/// Shows an arm or a cell.
pub fn run(
    catalogue: &Catalogue,
    data: Option<&Path>,
    what: &str,
    out: Option<&Path>,
    json: bool,
) -> Result<(), Failure> {
    let arms = ::plan::arms(catalogue);
    if let Some(arm) = arms.iter().find(|a| a.id == what) {
        return show_arm(catalogue, arm, json);
    }
    if !what.contains('/')
        && answer::nearest_name(what, arms.iter().map(|a| a.id.as_str())).is_some_and(|n| n.eq_ignore_ascii_case(what))
    {
        return Err(Failure::Usage(format!("no arm `{what}`: ids are written in capitals")));
    }
    show_cell(catalogue, data, &arms, what, out, json)
}

fn show_arm(catalogue: &Catalogue, arm: &Arm, json: bool) -> Result<(), Failure> {
    if json {
        return print_figures(arm);
    }
    say(&format!("{}  {}", arm.id, arm.cell));
    match &arm.pooled {
        Ok(()) => match ::evidence::effective_counts(arm) {
            Ok(c) => say(&format!(
                "  pooled as {:.1} losses in {:.0} restoration-years{}",
                c.events,
                c.years,
                if c.from_survival { " (worth of its dated survivals)" } else { "" }
            )),
            Err(why) => say(&format!("  says nothing about losses: {why}; its complications count")),
        },
        Err(why) => say(&format!("  not pooled: {why}")),
    }
    for (column, value) in library::cells(catalogue, &arm.id) {
        say(&format!("  {column:<24} {value}"));
    }
    Ok(())
}

fn show_cell(
    catalogue: &Catalogue,
    data: Option<&Path>,
    arms: &[Arm],
    what: &str,
    out: Option<&Path>,
    json: bool,
) -> Result<(), Failure> {
    // The family stands between construct and material; who leaves it out means the same cell.
    let asked = arms
        .iter()
        .map(|a| &a.cell.labels)
        .find(|l| l.len() > 2 && what.split('/').eq([&l[0], &l[2]].into_iter().map(String::as_str)))
        .map(|l| Cell::new(l[..3].iter().cloned()));
    let cell = match asked {
        Some(cell) => cell,
        None => nearest_known(what, arms)?,
    };
    let shipped = posterior(catalogue, data)?;
    let world = world();
    let own = ::plan::with_own_results(&shipped, catalogue, &world).map_err(refused)?;
    let p = own.posterior.predict(&world, &Setting::of(cell.clone()));
    if json {
        return print_figures(&as_json(&cell, &p));
    }
    let risk = |d: Draws| in_hundred(&d.interval());
    say(&format!("{cell}: lost in a clinic {}", if own.shift.is_some() { "like this one" } else { "never seen" }));
    for years in [5.0, 10.0, 15.0] {
        let beyond = if p.total_loss.is_extrapolated(years) { "  extrapolated" } else { "" };
        say(&format!("  by {years:>2} years  {}{beyond}", risk(p.total_loss.cumulative(years))));
    }
    say(&format!(
        "  {} arms, {:.0} restoration-years, longest {:.1} years; {}",
        p.arms,
        p.unit_years,
        p.longest_follow_up,
        match p.directness {
            Directness::Own if p.arms < ::evidence::Model::LITTLE_KNOWN => {
                "of this very cell, too few to stand alone: leans on its kin".to_owned()
            }
            Directness::Own => "of this very cell".to_owned(),
            Directness::Parent(d) => format!("no arm of its own: leans on {}", cell.parent(d)),
            Directness::None => "no arm at all".to_owned(),
        }
    ));
    say("  cause                     lost by 10 y             per 100 years again    of its events lost");
    for (loss, again) in p.loss.iter().zip(&p.complications) {
        let label = Cause::parse(&loss.cause).map_or_else(|| loss.cause.clone(), |c| c.label().to_owned());
        let crude = p.crude_incidence(&loss.cause, 10.0).map_or(String::new(), risk);
        let rate = again.curve.rate().interval();
        let ends = p.ends_in_loss(&loss.cause).map_or(String::new(), risk);
        let mark = match (loss.not_known, loss.little_known) {
            (true, _) => "  not known",
            (_, true) => "  little known",
            _ => "",
        };
        say(&format!(
            "  {label:<25} {crude:<24} {:.2} ({:.2} to {:.2})   {ends}{mark}",
            100.0 * rate.median,
            100.0 * rate.low,
            100.0 * rate.high
        ));
    }
    own.words.iter().for_each(|w| say(&format!("  {w}")));
    match out {
        Some(out) => draw(&fan(&cell, &p, arms)?, Some(out)),
        None => Ok(()),
    }
}

/// A cell with arms at its first label; deeper labels may be unobserved.
fn nearest_known(what: &str, arms: &[Arm]) -> Result<Cell, Failure> {
    let asked = super::cell(what);
    let first = asked.labels.first().cloned().unwrap_or_default();
    known_cell(&first, arms).map(|_| asked)
}

fn in_hundred(i: &Interval) -> String {
    let f = |x: f64| if x < 0.0995 { format!("{:.1}", 100.0 * x) } else { format!("{:.0}", 100.0 * x) };
    format!("{} of 100 ({} to {})", f(i.median), f(i.low), f(i.high))
}

fn as_json(cell: &Cell, p: &Prediction) -> serde_json::Value {
    let interval =
        |i: Interval| serde_json::json!({ "median": i.median, "low": i.low, "high": i.high, "mean": i.mean });
    let causes: Vec<serde_json::Value> = p
        .loss
        .iter()
        .zip(&p.complications)
        .map(|(loss, again)| {
            serde_json::json!({
                "cause": loss.cause, "loss_rate": interval(loss.curve.rate().interval()),
                "complication_rate": interval(again.curve.rate().interval()), "arms": loss.arms,
                "lost_of_its_events": p.ends_in_loss(&loss.cause).map(|d| interval(d.interval())),
                "little_known": loss.little_known, "not_known": loss.not_known,
            })
        })
        .collect();
    let risks: Vec<serde_json::Value> = [1.0, 5.0, 10.0, 15.0]
        .iter()
        .map(|&y| {
            serde_json::json!({ "years": y, "lost": interval(p.total_loss.cumulative(y).interval()),
                "extrapolated": p.total_loss.is_extrapolated(y) })
        })
        .collect();
    serde_json::json!({
        "cell": cell.to_string(), "risks": risks, "causes": causes, "arms": p.arms, "restoration_years": p.unit_years,
        "longest_follow_up": p.longest_follow_up, "directness": format!("{:?}", p.directness),
        "sources": p.sources,
    })
}

/// Survival over the years; beneath, how many restorations of the cell's arms were followed that long (by mean follow-up, or as printed).
fn fan(cell: &Cell, p: &Prediction, arms: &[Arm]) -> Result<picture::Scene, Failure> {
    let times: Vec<f64> = (0..=15).map(f64::from).collect();
    let years: Vec<FanYear> = times
        .iter()
        .map(|&year| {
            let [low90, low50, median, high50, high90] =
                p.total_loss.cumulative(year).map(|r| 100.0 * (1.0 - r)).quantiles([0.05, 0.25, 0.5, 0.75, 0.95]);
            FanYear { year, low90, low50, median, high50, high90 }
        })
        .collect();
    let near: Vec<&Arm> = match p.directness {
        Directness::Parent(d) => of_cell(arms, &cell.parent(d)),
        _ => of_cell(arms, cell),
    };
    let at_risk = [0.0, 3.0, 5.0, 10.0, 15.0].map(|year| (year, near.iter().map(|a| followed(a, year)).sum::<f64>()));
    let last = years[10];
    let lowest = years.iter().map(|y| y.low90).fold(100.0, f64::min);
    forms::survival_fan(&SurvivalFan {
        title: format!(
            "{cell}: about {:.0} of 100 are still in place after 10 years; in one clinic it may be {:.0}, in another {:.0}.",
            last.median, last.low90, last.high90
        ),
        quantity: "still in place, of 100".to_owned(),
        years,
        observed_to: (p.longest_follow_up < 15.0).then_some(p.longest_follow_up),
        at_risk: at_risk.to_vec(),
        own: Vec::new(),
        floor: if lowest >= 50.0 { 50.0 } else { 0.0 },
    })
    .map_err(undrawable)
}

fn of_cell<'a>(arms: &'a [Arm], cell: &Cell) -> Vec<&'a Arm> {
    arms.iter().filter(|a| a.pooled.is_ok() && a.parts().iter().any(|p| cell.contains(&p.0))).collect()
}

/// Restorations of an arm followed for so long: as printed for that time, else all of them up to the mean follow-up.
fn followed(arm: &Arm, year: f64) -> f64 {
    let printed = arm.survival.iter().find(|s| (s.years - year).abs() < 1e-9).and_then(|s| s.at_risk);
    match printed {
        Some(n) => f64::from(n),
        None if year <= arm.follow_up_years => f64::from(arm.n.unwrap_or(0)),
        None => 0.0,
    }
}
