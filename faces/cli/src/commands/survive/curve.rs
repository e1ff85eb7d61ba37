//! `bisque survive curve`.

use super::super::evidence::{print_figures, undrawable};
use super::super::say;
use super::{FEW_UNITS, cautions, draw, rows, share_words, time_words, told_times};
use crate::args::CurveArgs;
use crate::failure::Failure;
use picture::Scene;
use picture::axis::figure;
use picture::forms::{self, CurveLine, CurvePoint, Curves};
use survival::{RestrictedMean, Scale, SurvivalCurve, kaplan_meier, restricted_mean, split};

/// Curve of one group.
pub struct GroupCurve {
    /// Its name.
    pub name: String,
    /// Its curve.
    pub curve: SurvivalCurve,
    mean: RestrictedMean,
}

/// Reads, estimates, tells.
pub fn run(args: &CurveArgs) -> Result<(), Failure> {
    let rows = rows::read(&args.rows, &[])?;
    if let Some(h) = args.horizon.filter(|h| !(h.is_finite() && *h > 0.0)) {
        return Err(Failure::Usage(format!("--horizon {h}: give a time above 0")));
    }
    let events = rows.events(args.cause.as_deref())?;
    let groups = estimate(&rows, &events, args.horizon)?;
    let last = groups.iter().map(|g| g.curve.last()).fold(0.0, f64::max);
    let times = told_times(&args.at, last)?;
    let level = args.rows.level / 100.0;
    let cautions = cautions(&args.rows, &rows, events.iter().map(|&e| f64::from(e)).sum());
    if args.rows.json {
        print_figures(&json(&groups, &times, level, &title(&groups, &times, level), &cautions))?;
    } else {
        say(&title(&groups, &times, level));
        cautions.iter().for_each(|c| say(&format!("  {c}")));
        groups.iter().for_each(|g| tell(g, &times, level));
    }
    match &args.picture {
        Some(out) => draw(&scene(&groups, title(&groups, &times, level), level)?, out, args.rows.json),
        None => Ok(()),
    }
}

/// A curve a group; the horizon of the mean is common to all.
pub fn estimate(rows: &rows::Rows, events: &[u32], horizon: Option<f64>) -> Result<Vec<GroupCurve>, Failure> {
    let seen = rows.observations(events)?;
    let (codes, names) = rows.group.clone().unwrap_or_else(|| (vec![0; seen.len()], vec!["all".to_owned()]));
    let parts = split(&seen, &codes).map_err(|e| Failure::Usage(e.to_string()))?;
    let curves: Vec<SurvivalCurve> = parts.iter().map(|g| kaplan_meier(&g.observations())).collect();
    let horizon = horizon.unwrap_or_else(|| curves.iter().map(SurvivalCurve::last).fold(f64::INFINITY, f64::min));
    Ok(parts
        .iter()
        .zip(curves)
        .map(|(part, curve)| GroupCurve {
            name: names[part.code as usize].clone(),
            curve,
            mean: restricted_mean(&part.observations(), horizon),
        })
        .collect())
}

fn title(groups: &[GroupCurve], times: &[f64], level: f64) -> String {
    // Groups are told at one time: the latest at which all still have units at risk.
    let borne = |t: &&f64| groups.iter().all(|g| g.curve.at(**t).at_risk > 0.0);
    let first_end = groups.iter().map(|g| g.curve.last()).fold(f64::INFINITY, f64::min);
    let t = times.iter().rfind(borne).copied().unwrap_or(first_end);
    let at = |g: &GroupCurve| {
        let step = g.curve.at(t);
        let failed = g.curve.steps.iter().filter(|s| s.time <= t).map(|s| s.events).sum::<f64>();
        if g.curve.units < FEW_UNITS {
            let limits =
                step.limits(level, Scale::LogLog).map_or("no interval for the share standing".to_owned(), |l| {
                    format!("standing {} to {} %", figure(100.0 * l.low, 0), figure(100.0 * l.high, 0))
                });
            return format!("{failed:.0} of {:.0} failed by {}, {limits}", g.curve.units, time_words(t));
        }
        format!("{} stand at {}", share_words(step.survival, step.limits(level, Scale::LogLog)), time_words(t))
    };
    match groups {
        [one] => format!("{}.", capital(&at(one))),
        many => format!("{}.", many.iter().map(|g| format!("{}: {}", g.name, at(g))).collect::<Vec<_>>().join("; ")),
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |c| c.to_uppercase().chain(letters).collect())
}

fn tell(group: &GroupCurve, times: &[f64], level: f64) {
    let c = &group.curve;
    let few = if c.units < FEW_UNITS { " (few)" } else { "" };
    say(&format!("{}: {:.0} units{few}, {:.0} events", group.name, c.units, c.events()));
    let width = times.iter().map(|t| time_words(*t).len()).max().unwrap_or(0).max(4);
    say(&format!("  {:>width$}  at risk  standing", "time"));
    for &t in times {
        let step = c.at(t);
        let beyond = if t > c.last() { "  beyond the last sight" } else { "" };
        let words = share_words(step.survival, step.limits(level, Scale::LogLog));
        say(&format!("  {:>width$}  {:>7.0}  {words}{beyond}", time_words(t), step.at_risk));
    }
    let q = c.quantile(0.5, level, Scale::LogLog);
    let word = |t: Option<f64>| t.map_or("not reached".to_owned(), time_words);
    say(&format!("  median {} ({} to {})", word(q.time), word(q.low), word(q.high)));
    let m = &group.mean;
    let half = survival::half_width(level) * m.se;
    let beyond = if m.beyond { ", curve taken as level beyond the last sight" } else { "" };
    say(&format!(
        "  mean time standing within {}: {} ({} to {}){beyond}",
        time_words(m.tau),
        figure(m.mean, 2),
        figure(m.mean - half, 2),
        figure((m.mean + half).min(m.tau), 2)
    ));
}

fn json(groups: &[GroupCurve], times: &[f64], level: f64, finding: &str, cautions: &[String]) -> serde_json::Value {
    let row = |g: &GroupCurve, t: f64| {
        let s = g.curve.at(t);
        serde_json::json!({ "time": t, "at_risk": s.at_risk, "survival": s.survival, "se": s.se(),
            "limits": s.limits(level, Scale::LogLog), "hazard": s.hazard, "hazard_se": s.hazard_se })
    };
    let groups: Vec<serde_json::Value> = groups
        .iter()
        .map(|g| {
            serde_json::json!({ "group": g.name, "units": g.curve.units, "events": g.curve.events(),
                "few": g.curve.units < FEW_UNITS, "clusters": g.curve.clusters,
                "at": times.iter().map(|&t| row(g, t)).collect::<Vec<_>>(),
                "median": g.curve.quantile(0.5, level, Scale::LogLog), "restricted_mean": g.mean,
                "steps": g.curve.steps })
        })
        .collect();
    serde_json::json!({ "finding": finding, "level": level, "interval": "log_log", "cautions": cautions, "groups": groups })
}

/// The curves as a picture: steps with their intervals, numbers at risk below.
pub fn scene(groups: &[GroupCurve], title: String, level: f64) -> Result<Scene, Failure> {
    let lines = groups
        .iter()
        .map(|g| CurveLine { label: format!("{}, n {:.0}", g.name, g.curve.units), points: points(&g.curve, level) })
        .collect::<Vec<_>>();
    let data = Curves {
        title,
        across: "time".to_owned(),
        upright: "standing, %".to_owned(),
        lines,
        limits: Vec::new(),
        mark: None,
        decimals: [1, 1],
    };
    let at_risk = |i: usize, t: f64| groups.get(i).map_or(0.0, |g| g.curve.at(t).at_risk);
    forms::curves_at_risk(&data, at_risk).map_err(undrawable)
}

/// Corners of the steps, thinned to what a picture can show.
fn points(curve: &SurvivalCurve, level: f64) -> Vec<CurvePoint> {
    let last = curve.last();
    let nudge = last * 1e-6;
    let mut points = vec![CurvePoint { x: 0.0_f64.min(last), low: 100.0, middle: 100.0, high: 100.0 }];
    for step in curve.steps.iter().filter(|s| s.events > 0.0) {
        let Some(before) = points.last().copied() else { continue };
        let limits = step.limits(level, Scale::LogLog);
        let middle = 100.0 * step.survival;
        let low = limits.map_or(middle, |l| (100.0 * l.low).min(middle));
        let high = limits.map_or(middle, |l| (100.0 * l.high).max(middle));
        // A step narrower than the line is drawn as its end.
        if step.time - before.x > last / 400.0 {
            points.push(CurvePoint { x: step.time - nudge, ..before });
        }
        if step.time > points.last().map_or(f64::NEG_INFINITY, |p| p.x) {
            points.push(CurvePoint { x: step.time, low, middle, high });
        }
    }
    if let Some(end) = points.last().copied().filter(|p| p.x < last) {
        points.push(CurvePoint { x: last, ..end });
    }
    points
}
