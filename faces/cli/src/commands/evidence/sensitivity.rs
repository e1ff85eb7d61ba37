//! `bisque evidence sensitivity` and `funnel`: what a pool rests on.

use super::super::say;
use super::counts;
use super::pooled::{Analysis, Pooled};
use super::{draw, print_figures, undrawable};
use crate::args::{PictureArgs, Transform};
use crate::failure::Failure;
use ::evidence::pool::{
    Errors, Filled, Missing, RankTest, Reference, SmallStudies, cumulative, influence, leave_one_out, rank_test,
    small_studies, trim_and_fill,
};
use picture::Scene;
use picture::axis::{figure, round_end};
use picture::forms::{self, Cumulative, CumulativeStep, Funnel, FunnelPoint, Summary};
use serde::Serialize;
use std::path::Path;

#[derive(Debug, Serialize)]
struct Without {
    label: String,
    estimate: f64,
    low: f64,
    high: f64,
    tau2: f64,
    rstudent: f64,
    cook: f64,
    weight: f64,
}

#[derive(Debug, Serialize)]
struct Step {
    label: String,
    year: f64,
    estimate: f64,
    low: f64,
    high: f64,
}

#[derive(Debug, Serialize)]
struct Sensitivity {
    what: String,
    quantity: String,
    pooled: Pooled,
    leave_one_out: Vec<Without>,
    small_studies_z: f64,
    small_studies_p: f64,
    rank_tau: f64,
    rank_p: f64,
    put_in: usize,
    put_in_on_the_right: bool,
    filled_estimate: f64,
    cumulative: Vec<Step>,
    undated: Vec<String>,
}

/// Leave-one-out, influence, small studies, trim-and-fill, cumulative by year.
pub fn run(args: &PictureArgs, data: Option<&Path>) -> Result<(), Failure> {
    let counts = counts::read(&args.pool, data)?;
    let analysis = Analysis { counts: &counts, args: &args.pool };
    let found = all(&analysis)?;
    let picture = (!found.cumulative.is_empty()).then(|| growing(&found, args.pool.level));
    if args.pool.json {
        print_figures(&found)?;
        return match (&args.out, picture) {
            (Some(out), Some(scene)) => draw(&scene?, Some(out)),
            _ => Ok(()),
        };
    }
    print(&found);
    match picture {
        Some(scene) => draw(&scene?, args.out.as_deref()),
        None => {
            say("no study has a year: nothing to pool over the years (--year COL)");
            Ok(())
        }
    }
}

fn all(analysis: &Analysis<'_>) -> Result<Sensitivity, Failure> {
    let counts = analysis.counts;
    let every: Vec<usize> = (0..counts.rows.len()).collect();
    let effects = analysis.effects(&every)?;
    let refused = |e| analysis.refused(e, &every);
    let between = analysis.between();
    let level = analysis.args.level / 100.0;
    let without = leave_one_out(&effects, between, Errors::Wald).map_err(refused)?;
    let measures = influence(&effects, between).map_err(refused)?;
    let rows = without.iter().zip(&measures).enumerate().map(|(i, (fit, m))| {
        let (low, high) = fit.interval(0, level);
        Without {
            label: counts.rows[i].label.clone(),
            estimate: analysis.back(fit.b[0], &every),
            low: analysis.back(low, &every),
            high: analysis.back(high, &every),
            tau2: fit.tau2,
            rstudent: m.rstudent,
            cook: m.cook,
            weight: m.weight,
        }
    });
    let (small, rank, filled) = tests(analysis, &every)?;
    Ok(Sensitivity {
        what: counts.what.clone(),
        quantity: counts.quantity(),
        pooled: analysis.pool(&every)?,
        leave_one_out: rows.collect(),
        small_studies_z: small.statistic,
        small_studies_p: small.p,
        rank_tau: rank.tau,
        rank_p: rank.p,
        put_in: filled.missing,
        put_in_on_the_right: filled.on_the_right,
        filled_estimate: analysis.back(filled.fit.b[0], &every),
        cumulative: steps(analysis)?,
        undated: counts.rows.iter().filter(|r| r.year.is_none()).map(|r| r.label.clone()).collect(),
    })
}

fn tests(analysis: &Analysis<'_>, every: &[usize]) -> Result<(SmallStudies, RankTest, Filled), Failure> {
    let effects = analysis.effects(every)?;
    let refused = |e| analysis.refused(e, every);
    let small = small_studies(&effects, analysis.between()).map_err(refused)?;
    let rank = rank_test(&effects).map_err(refused)?;
    let filled = trim_and_fill(&effects, analysis.between(), Missing::L0).map_err(refused)?;
    Ok((small, rank, filled))
}

fn steps(analysis: &Analysis<'_>) -> Result<Vec<Step>, Failure> {
    let rows = &analysis.counts.rows;
    let dated: Vec<usize> = (0..rows.len()).filter(|&i| rows[i].year.is_some()).collect();
    if dated.is_empty() {
        return Ok(Vec::new());
    }
    let when: Vec<f64> = dated.iter().filter_map(|&i| rows[i].year).collect();
    let effects = analysis.effects(&dated)?;
    let fits =
        cumulative(&effects, &when, analysis.between(), Errors::Wald).map_err(|e| analysis.refused(e, &dated))?;
    let step = |(i, fit): (usize, ::evidence::pool::Regression)| {
        let (low, high) = fit.interval(0, analysis.args.level / 100.0);
        let back = |y| analysis.back(y, &dated);
        Step {
            label: rows[dated[i]].label.clone(),
            year: when[i],
            estimate: back(fit.b[0]),
            low: back(low),
            high: back(high),
        }
    };
    Ok(fits.into_iter().map(step).collect())
}

fn print(found: &Sensitivity) {
    let f = |x| figure(x, digits(found.pooled.estimate));
    let p = &found.pooled;
    say(&format!("{}: {} {} ({} to {})", found.what, f(p.estimate), found.quantity, f(p.low), f(p.high)));
    let (low, high) = found
        .leave_one_out
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), w| (l.min(w.estimate), h.max(w.estimate)));
    say(&format!("  without any one study: {} to {}", f(low), f(high)));
    let mut by_cook: Vec<&Without> = found.leave_one_out.iter().collect();
    by_cook.sort_by(|a, b| b.cook.total_cmp(&a.cook));
    for w in by_cook.iter().take(5) {
        say(&format!(
            "    without {}: {} ({} to {}); Cook's distance {}, weight {} %, residual {}",
            w.label,
            f(w.estimate),
            f(w.low),
            f(w.high),
            figure(w.cook, 2),
            figure(100.0 * w.weight, 1),
            figure(w.rstudent, 2)
        ));
    }
    say(&format!(
        "  small studies: regression on the standard error z {} (p {}); rank correlation {} (p {})",
        figure(found.small_studies_z, 2),
        figure(found.small_studies_p, 3),
        figure(found.rank_tau, 2),
        figure(found.rank_p, 3)
    ));
    let side = if found.put_in_on_the_right { "higher" } else { "lower" };
    say(&format!(
        "  trim-and-fill: {} studies put in on the {side} side, then {} {}; scatter between studies can look like missing ones",
        found.put_in,
        f(found.filled_estimate),
        found.quantity
    ));
    if !found.undated.is_empty() {
        say(&format!("  without a year, not in the picture: {}", found.undated.join(", ")));
    }
}

fn digits(estimate: f64) -> usize {
    if estimate >= 10.0 { 1 } else { 2 }
}

fn growing(found: &Sensitivity, level: f64) -> Result<Scene, Failure> {
    let steps = &found.cumulative;
    let summary = |s: &Step| Summary { value: s.estimate, low: s.low.min(s.estimate), high: s.high.max(s.estimate) };
    let f = |x| figure(x, digits(found.pooled.estimate));
    // Has it settled? The last value against the one when half the studies were there.
    let (half, last) = (&steps[(steps.len() - 1) / 2], &steps[steps.len() - 1]);
    let moving = last.estimate < half.low || last.estimate > half.high;
    let title = format!(
        "{}: {} in {:.0}, {} in {:.0}: the pooled value {} ({level} % intervals).",
        found.what,
        f(half.estimate),
        half.year,
        f(last.estimate),
        last.year,
        if moving { "has left the interval it had halfway" } else { "has stayed within the interval it had halfway" }
    );
    let most = steps.iter().skip(1).map(|s| s.high).fold(last.high, f64::max).min(4.0 * last.high);
    forms::cumulative(&Cumulative {
        title,
        quantity: found.quantity.clone(),
        steps: steps.iter().map(|s| CumulativeStep { label: s.label.clone(), pooled: summary(s) }).collect(),
        scale: (0.0, round_end([most])),
        decimals: digits(found.pooled.estimate),
    })
    .map_err(undrawable)
}

/// Effects against their errors, with trim-and-fill as rings.
pub fn funnel(args: &PictureArgs, data: Option<&Path>) -> Result<(), Failure> {
    let counts = counts::read(&args.pool, data)?;
    let analysis = Analysis { counts: &counts, args: &args.pool };
    let every: Vec<usize> = (0..counts.rows.len()).collect();
    let effects = analysis.effects(&every)?;
    let (small, rank, filled) = tests(&analysis, &every)?;
    let fit =
        ::evidence::pool::pool(&effects, analysis.between(), Errors::Wald).map_err(|e| analysis.refused(e, &every))?;
    let point = |label: &str, e: &::evidence::pool::Effect| FunnelPoint {
        label: label.to_owned(),
        effect: e.y,
        error: e.v.sqrt(),
    };
    let spread = fit.prediction_interval(&[1.0], 0.999, Reference::Normal);
    let ticks = if args.pool.transform == Transform::Log { ticks(&analysis, &every, spread) } else { Vec::new() };
    let scene = forms::funnel(&Funnel {
        title: format!(
            "{}: small studies {} (regression p {}, rank p {}); {} put in by trim-and-fill.",
            counts.what,
            if small.p < 0.1 { "differ from large ones" } else { "do not clearly differ from large ones" },
            figure(small.p, 3),
            figure(rank.p, 3),
            filled.missing
        ),
        quantity: counts.quantity(),
        points: counts.rows.iter().zip(&effects).map(|(r, e)| point(&r.label, e)).collect(),
        filled: filled.added.iter().map(|e| point("put in", e)).collect(),
        centre: fit.b[0],
        ticks,
    })
    .map_err(undrawable)?;
    if args.pool.json {
        let points: Vec<serde_json::Value> = counts
            .rows
            .iter()
            .zip(&effects)
            .map(|(r, e)| serde_json::json!({ "label": r.label, "effect": e.y, "standard_error": e.v.sqrt() }))
            .collect();
        print_figures(&serde_json::json!({
            "what": counts.what, "centre": fit.b[0], "points": points, "small_studies_p": small.p, "rank_p": rank.p,
            "put_in": filled.missing,
        }))?;
        return args.out.as_deref().map_or(Ok(()), |out| draw(&scene, Some(out)));
    }
    if args.out.is_none() {
        say(&scene.title);
    }
    draw(&scene, args.out.as_deref())
}

/// Round values of the natural scale at their place on the scale of analysis.
fn ticks(analysis: &Analysis<'_>, every: &[usize], spread: (f64, f64)) -> Vec<(f64, String)> {
    let middle = 0.5 * (spread.0 + spread.1);
    (-6..=4)
        .flat_map(|power| [1.0, 2.0, 5.0].map(|m| m * 10f64.powi(power)))
        .filter_map(|shown| {
            // The scale is monotone: bisect for the place where it shows this value.
            let (mut low, mut high) = (middle - 20.0, middle + 20.0);
            if !(analysis.back(low, every) < shown && analysis.back(high, every) > shown) {
                return None;
            }
            for _ in 0..60 {
                let at = 0.5 * (low + high);
                if analysis.back(at, every) < shown { low = at } else { high = at }
            }
            Some((low, format!("{shown}")))
        })
        .collect()
}
