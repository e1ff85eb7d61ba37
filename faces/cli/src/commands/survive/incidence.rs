//! `bisque survive incidence`.

use super::super::evidence::{print_figures, undrawable};
use super::super::say;
use super::{FEW_UNITS, cautions, draw, p_words, rows, share_words, time_words, told_times};
use crate::args::IncidenceArgs;
use crate::failure::Failure;
use picture::axis::figure;
use picture::forms::{self, CurveLine, CurvePoint, Curves};
use survival::{Incidence, IncidenceTest, Scale, aalen_johansen, incidence_test, split};

/// Incidence of all causes in one group.
struct GroupIncidence {
    name: String,
    causes: Vec<Incidence>,
}

/// Reads, estimates, tells.
pub fn run(args: &IncidenceArgs) -> Result<(), Failure> {
    let rows = rows::read(&args.rows, &[])?;
    if rows.causes.is_empty() {
        return Err(Failure::Usage(format!("{}: no event of any cause: all rows are censored", rows.file)));
    }
    let seen = rows.observations(&rows.cause)?;
    let (codes, names) = rows.group.clone().unwrap_or_else(|| (vec![0; seen.len()], vec!["all".to_owned()]));
    let parts = split(&seen, &codes).map_err(|e| Failure::Usage(e.to_string()))?;
    let groups: Vec<GroupIncidence> = parts
        .iter()
        .map(|p| GroupIncidence { name: names[p.code as usize].clone(), causes: aalen_johansen(&p.observations()) })
        .collect();
    let last = rows.exit.iter().copied().fold(0.0, f64::max);
    let times = told_times(&args.at, last)?;
    let level = args.rows.level / 100.0;
    let strata = rows.strata.as_ref().map(|s| s.0.as_slice());
    let tests: Vec<(String, IncidenceTest)> = match names.len() {
        1 => Vec::new(),
        _ => (1..=rows.causes.len())
            .filter_map(|c| incidence_test(&seen, &codes, strata, c, 0.0).ok().map(|t| (rows.causes[c - 1].clone(), t)))
            .collect(),
    };
    let mut cautions = cautions(&args.rows, &rows, rows.cause.iter().filter(|c| **c > 0).count() as f64);
    if rows.cluster.is_some() && !tests.is_empty() {
        cautions.push("Gray's test takes rows as independent: with clusters its p is too small".to_owned());
    }
    let finding = finding(&groups, &rows.causes, &times, level);
    if args.rows.json {
        print_figures(&json(&groups, &rows.causes, &times, level, &tests, &finding, &cautions))?;
    } else {
        say(&finding);
        cautions.iter().for_each(|c| say(&format!("  {c}")));
        groups.iter().for_each(|g| tell(g, &rows.causes, &times, level));
        for (cause, t) in &tests {
            say(&format!(
                "  Gray's test, cause {cause}: chi-square {} on {}, p {}",
                figure(t.chi_square, 2),
                t.df,
                p_words(t.p)
            ));
        }
    }
    match &args.picture {
        Some(out) => draw(&scene(&groups, &rows.causes, finding, level)?, out, args.rows.json),
        None => Ok(()),
    }
}

fn finding(groups: &[GroupIncidence], causes: &[String], times: &[f64], level: f64) -> String {
    let of = |g: &GroupIncidence| {
        let borne = |t: &&f64| g.causes.iter().any(|c| c.at(**t).at_risk > 0.0);
        let t = times.iter().rfind(borne).or(times.last()).copied().unwrap_or(0.0);
        let units = g.causes.first().map_or(0.0, |c| c.units);
        let each: Vec<String> = g
            .causes
            .iter()
            .map(|c| {
                let step = c.at(t);
                let events: f64 = c.steps.iter().filter(|s| s.time <= t).map(|s| s.events).sum();
                let words = if units < FEW_UNITS {
                    format!("{events:.0} of {units:.0}")
                } else {
                    share_words(step.incidence, step.limits(level, Scale::LogLog))
                };
                format!("{} {words}", cause_words(&causes[c.cause - 1]))
            })
            .collect();
        format!("by {} {}", time_words(t), each.join(", "))
    };
    match groups {
        [one] => format!("Failed {}.", of(one)),
        many => {
            format!("Failed: {}.", many.iter().map(|g| format!("{} {}", g.name, of(g))).collect::<Vec<_>>().join("; "))
        }
    }
}

/// A bare number says nothing alone.
fn cause_words(cause: &str) -> String {
    if cause.parse::<f64>().is_ok() { format!("cause {cause}") } else { cause.to_owned() }
}

fn tell(group: &GroupIncidence, causes: &[String], times: &[f64], level: f64) {
    let units = group.causes.first().map_or(0.0, |c| c.units);
    let few = if units < FEW_UNITS { " (few)" } else { "" };
    say(&format!("{}: {units:.0} units{few}", group.name));
    for one in &group.causes {
        say(&format!("  cause {}: {:.0} events", causes[one.cause - 1], one.events()));
        for &t in times {
            let step = one.at(t);
            let words = share_words(step.incidence, step.limits(level, Scale::LogLog));
            say(&format!("    by {:>8}  at risk {:>6.0}  failed {words}", time_words(t), step.at_risk));
        }
    }
}

fn json(
    groups: &[GroupIncidence],
    causes: &[String],
    times: &[f64],
    level: f64,
    tests: &[(String, IncidenceTest)],
    finding: &str,
    cautions: &[String],
) -> serde_json::Value {
    let of = |one: &Incidence| {
        let at: Vec<serde_json::Value> = times
            .iter()
            .map(|&t| {
                let s = one.at(t);
                serde_json::json!({ "time": t, "at_risk": s.at_risk, "incidence": s.incidence, "se": s.se, "limits": s.limits(level, Scale::LogLog) })
            })
            .collect();
        serde_json::json!({ "cause": causes[one.cause - 1], "events": one.events(), "clusters": one.clusters, "at": at, "steps": one.steps })
    };
    let groups: Vec<serde_json::Value> = groups
        .iter()
        .map(|g| serde_json::json!({ "group": g.name, "causes": g.causes.iter().map(of).collect::<Vec<_>>() }))
        .collect();
    let tests: Vec<serde_json::Value> =
        tests.iter().map(|(c, t)| serde_json::json!({ "cause": c, "gray": t })).collect();
    serde_json::json!({ "finding": finding, "level": level, "cautions": cautions, "groups": groups, "tests": tests })
}

fn scene(groups: &[GroupIncidence], causes: &[String], title: String, level: f64) -> Result<picture::Scene, Failure> {
    let mut lines = Vec::new();
    for g in groups {
        for one in &g.causes {
            let cause = &causes[one.cause - 1];
            let label =
                if groups.len() == 1 { cause_words(cause) } else { format!("{} {}", g.name, cause_words(cause)) };
            lines.push(CurveLine { label, points: points(one, level) });
        }
    }
    forms::curves(&Curves {
        title,
        across: "time".to_owned(),
        upright: "failed, %".to_owned(),
        lines,
        limits: Vec::new(),
        mark: None,
        decimals: [1, 1],
    })
    .map_err(undrawable)
}

/// Corners of the steps, thinned to what a picture can show.
fn points(one: &Incidence, level: f64) -> Vec<CurvePoint> {
    let last = one.steps.last().map_or(0.0, |s| s.time);
    let mut points = vec![CurvePoint { x: 0.0_f64.min(last), low: 0.0, middle: 0.0, high: 0.0 }];
    for step in one.steps.iter().filter(|s| s.events > 0.0) {
        let Some(before) = points.last().copied() else { continue };
        let limits = step.limits(level, Scale::LogLog);
        let middle = 100.0 * step.incidence;
        let low = limits.map_or(middle, |l| (100.0 * l.low).min(middle));
        let high = limits.map_or(middle, |l| (100.0 * l.high).max(middle));
        if step.time - before.x > last / 400.0 {
            points.push(CurvePoint { x: step.time - last * 1e-6, ..before });
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
