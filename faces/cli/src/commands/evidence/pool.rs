//! `bisque evidence pool` and `forest`.

use super::super::say;
use super::counts::{self, Counts};
use super::pooled::{Analysis, Coefficient, Pooled};
use super::{draw, print_figures, undrawable};
use crate::args::{PictureArgs, PoolArgs, PoolModel};
use crate::failure::Failure;
use picture::Scene;
use picture::axis::{figure, round_end};
use picture::forms::{self, Forest, ForestRow, Summary};
use std::path::Path;

/// Everything a pool says.
pub struct Outcome {
    /// The counts.
    pub counts: Counts,
    /// All studies together.
    pub all: Pooled,
    /// Each group apart, by name.
    pub groups: Vec<(String, Pooled)>,
    /// Coefficients of the moderator.
    pub moderator: Vec<Coefficient>,
}

/// Reads and pools.
///
/// # Errors
/// As [`counts::read`]; a pool that cannot be made.
pub fn outcome(args: &PoolArgs, data: Option<&Path>) -> Result<Outcome, Failure> {
    let mut counts = counts::read(args, data)?;
    counts.rows.sort_by(|a, b| a.group.cmp(&b.group));
    let analysis = Analysis { counts: &counts, args };
    let all: Vec<usize> = (0..counts.rows.len()).collect();
    let pooled = analysis.pool(&all)?;
    let mut names: Vec<&str> = counts.rows.iter().map(|r| r.group.as_str()).filter(|g| !g.is_empty()).collect();
    names.dedup();
    let mut groups = Vec::new();
    for name in names {
        let chosen: Vec<usize> = all.iter().copied().filter(|&i| counts.rows[i].group == name).collect();
        groups.push((name.to_owned(), analysis.pool(&chosen)));
    }
    let moderator = if args.moderator.is_some() { analysis.regression()? } else { Vec::new() };
    let mut kept = Vec::new();
    let mut refused = Vec::new();
    for (name, result) in groups {
        match result {
            Ok(p) => kept.push((name, p)),
            Err(e) => refused.push((format!("group {name}"), e.to_string())),
        }
    }
    counts.left_out.extend(refused);
    Ok(Outcome { counts, all: pooled, groups: kept, moderator })
}

/// Pools and prints.
pub fn run(args: &PoolArgs, data: Option<&Path>) -> Result<(), Failure> {
    let found = outcome(args, data)?;
    if args.json {
        print_figures(&json(&found, args))?;
    } else {
        print(&found, args);
    }
    match &args.forest {
        Some(out) => draw(&scene(&found, args)?, Some(out)),
        None => Ok(()),
    }
}

/// Pools and draws the forest.
pub fn forest(args: &PictureArgs, data: Option<&Path>) -> Result<(), Failure> {
    let found = outcome(&args.pool, data)?;
    if args.pool.json {
        print_figures(&json(&found, &args.pool))?;
        return args.out.as_deref().map_or(Ok(()), |out| draw(&scene(&found, &args.pool)?, Some(out)));
    }
    if args.out.is_none() {
        say(&title(&found, &args.pool));
    }
    draw(&scene(&found, &args.pool)?, args.out.as_deref())
}

fn model(args: &PoolArgs) -> &'static str {
    match args.model {
        PoolModel::Common => "one common effect",
        PoolModel::Dl => "random effects (DerSimonian-Laird)",
        PoolModel::Pm => "random effects (Paule-Mandel)",
        PoolModel::Ml => "random effects (ML)",
        PoolModel::Reml => "random effects (REML)",
        PoolModel::Glmm => "exact likelihood, 25 nodes",
    }
}

fn digits(found: &Outcome) -> usize {
    match found.all.estimate {
        e if e >= 10.0 => 1,
        e if e >= 0.1 => 2,
        _ => 4,
    }
}

fn title(found: &Outcome, args: &PoolArgs) -> String {
    let f = |x| figure(x, digits(found));
    let p = &found.all;
    let new = match (p.new_low, p.new_high) {
        (Some(low), Some(high)) => format!("; a new setting may see {} to {}", f(low), f(high)),
        _ => String::new(),
    };
    format!(
        "{}: {} {} ({} to {}, {:.0} %){new}.",
        found.counts.what,
        f(p.estimate),
        found.counts.quantity(),
        f(p.low),
        f(p.high),
        args.level
    )
}

fn print(found: &Outcome, args: &PoolArgs) {
    let f = |x| figure(x, digits(found));
    say(&title(found, args));
    say(&format!("  {}, {} studies, {:.0} events", model(args), found.all.k, found.all.events));
    let scatter = |p: &Pooled| {
        let tau = p.tau2_interval.map_or(String::new(), |(l, h)| format!(" ({} to {})", figure(l, 3), figure(h, 3)));
        let shares = match (p.i2, p.h2, p.q, p.q_df, p.q_p) {
            (Some(i2), Some(h2), Some(q), Some(df), Some(pv)) => format!(
                ", I2 {} %, H2 {}, Q {} on {df:.0} (p {})",
                figure(100.0 * i2, 0),
                figure(h2, 2),
                figure(q, 1),
                p_words(pv)
            ),
            _ => String::new(),
        };
        format!("tau2 {}{tau}{shares}", figure(p.tau2, 3))
    };
    say(&format!("  {}", scatter(&found.all)));
    for (name, p) in &found.groups {
        let words = if name.is_empty() { "(no group)" } else { name };
        say(&format!("  {words}: {} ({} to {}), {} studies; {}", f(p.estimate), f(p.low), f(p.high), p.k, scatter(p)));
    }
    for c in &found.moderator {
        say(&format!(
            "  {}: {} (SE {}, {} to {}, p {}) on the scale of analysis",
            c.name,
            figure(c.value, 4),
            figure(c.se, 4),
            figure(c.low, 4),
            figure(c.high, 4),
            p_words(c.p)
        ));
    }
    for (name, why) in &found.counts.left_out {
        say(&format!("  not pooled: {name}: {why}"));
    }
}

/// A p value: never 0.
fn p_words(p: f64) -> String {
    if p < 0.0001 { "below 0.0001".to_owned() } else { figure(p, 4) }
}

fn json(found: &Outcome, args: &PoolArgs) -> serde_json::Value {
    let c = &found.counts;
    let level = args.level / 100.0;
    let rows: Vec<serde_json::Value> = c
        .rows
        .iter()
        .map(|r| {
            let (value, low, high) = c.own(r, level);
            serde_json::json!({ "label": r.label, "group": r.group, "events": r.events, "size": r.size,
                "value": value, "low": low, "high": high, "year": r.year })
        })
        .collect();
    let groups: Vec<serde_json::Value> =
        found.groups.iter().map(|(g, p)| serde_json::json!({ "group": g, "pooled": p })).collect();
    serde_json::json!({
        "what": c.what, "quantity": c.quantity(), "model": model(args), "level": level, "pooled": found.all,
        "groups": groups, "moderator": found.moderator, "studies": rows,
        "left_out": c.left_out.iter().map(|(n, w)| serde_json::json!({ "label": n, "reason": w })).collect::<Vec<_>>(),
    })
}

/// The forest of a pool: weights as in the fit, exact intervals of each study.
pub fn scene(found: &Outcome, args: &PoolArgs) -> Result<Scene, Failure> {
    let c = &found.counts;
    let level = args.level / 100.0;
    let analysis = Analysis { counts: c, args };
    let all: Vec<usize> = (0..c.rows.len()).collect();
    let effects = analysis.effects(&all)?;
    let rows: Vec<ForestRow> = c
        .rows
        .iter()
        .zip(&effects)
        .map(|(r, e)| {
            let (value, low, high) = c.own(r, level);
            ForestRow {
                label: r.label.clone(),
                group: found.groups.iter().find(|(g, _)| *g == r.group).map_or(r.group.clone(), |(g, p)| {
                    let f = |x| figure(x, digits(found));
                    format!("{}: {} ({} to {})", super::library::plain(g), f(p.estimate), f(p.low), f(p.high))
                }),
                value,
                low: low.min(value),
                high: high.max(value),
                weight: 1.0 / (e.v + found.all.tau2),
            }
        })
        .collect();
    let p = &found.all;
    let pooled = Summary { value: p.estimate, low: p.low, high: p.high };
    let prediction = p.new_low.zip(p.new_high).map(|(low, high)| Summary {
        value: p.estimate,
        low: low.min(p.low),
        high: high.max(p.high),
    });
    // Very uncertain studies run over the end with an arrow rather than press the others together.
    let far = 2.5 * prediction.map_or(p.high, |n| n.high);
    let values = rows.iter().map(|r| r.value).fold(0.0, f64::max);
    let end = round_end(rows.iter().map(|r| r.high.min(far)).chain([p.high, values.min(2.0 * far)]));
    forms::forest(&Forest {
        title: title(found, args),
        quantity: c.quantity(),
        rows,
        pooled: Some(pooled),
        prediction,
        left_out: c.left_out.clone(),
        scale: (0.0, end),
        decimals: digits(found),
    })
    .map_err(undrawable)
}
