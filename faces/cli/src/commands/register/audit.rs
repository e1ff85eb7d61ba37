//! `bisque register audit`: what happened, with what is not known said.

use super::super::{facts, print_json, say};
use super::{Desk, pictures, pooled, word};
use crate::args::AuditArgs;
use crate::failure::Failure;
use crate::files;
use ::register::counting::{ArmCount, Due, Endpoint, Question};
use ::register::words::Grouping;
use ::register::{Counting, FunnelUnit, GroupAudit, SMALL, audit, funnel};
use picture::{Theme, svg};
use std::path::Path;

/// Runs an audit.
pub fn run(desk: &Desk, args: &AuditArgs, data: Option<&Path>) -> Result<(), Failure> {
    let by = args.by.as_deref().map_or(Ok(Grouping::All), |w| word("grouping", w, Grouping::ALL, Grouping::word))?;
    let mut only = Vec::new();
    for text in &args.only {
        let Some((name, value)) = text.split_once('=') else {
            return Err(Failure::Usage(format!("`{text}`: expected GROUPING=VALUE, e.g. material=zirconia_3y")));
        };
        only.push((word("grouping", name, Grouping::ALL, Grouping::word)?, value.to_owned()));
    }
    let endpoint = if args.success { Endpoint::Success } else { Endpoint::Survival };
    let seen_since = desk.today.plus(-args.months.clamp(1, 600) * 30);
    let question = Question { endpoint, by, only, seen_since };
    let mut keeper = desk.open()?;
    let found = audit(&mut keeper, &question)?;
    let units = if by == Grouping::All { Vec::new() } else { funnel(&found) };
    let (due, overdue) = keeper.due(seen_since, 20)?;
    if let Some(out) = &args.out {
        let (arms, _) = keeper.arm_counts()?;
        let n = draw(out, &question, &found, &units, &arms, data)?;
        if !desk.json {
            say(&format!("{n} pictures written to {}", out.display()));
        }
    }
    if desk.json {
        return print_json(&serde_json::json!({
            "endpoint": endpoint, "by": by, "level": ::register::LEVEL, "groups": found, "funnel": units,
            "overdue": overdue, "overdue_first": due
        }));
    }
    for line in lines(&found, &units, endpoint, &due, overdue, args.months) {
        say(&line);
    }
    Ok(())
}

fn p(share: f64) -> String {
    picture::axis::figure(100.0 * share, 1)
}

/// One group's main sentence.
pub fn sentence(g: &GroupAudit, endpoint: Endpoint) -> String {
    let name = if g.group.is_empty() { "all".to_owned() } else { g.group.replace('_', " ") };
    let lost = if endpoint == Endpoint::Survival { "lost" } else { "with trouble" };
    let counts = format!(
        "{name}: {} restorations of {} patients, {:.0} restoration-years, {} {lost}",
        g.restorations, g.patients, g.years, g.events
    );
    if g.small {
        return format!("{counts}; fewer than {SMALL} restorations: too few for a percentage");
    }
    let Some(last) = g.curve.iter().rev().find(|c| [10.0, 5.0, 3.0, 1.0].contains(&c.years)) else { return counts };
    let interval = match (last.low, last.high) {
        (Some(low), Some(high)) => format!(" (90 % interval {} to {})", p(low), p(high)),
        _ => " (nothing has happened yet: no interval)".to_owned(),
    };
    let what = if endpoint == Endpoint::Survival { "standing" } else { "free of trouble" };
    format!(
        "{counts}; {} % {what} at {:.0} years{interval}, {} still watched then",
        p(last.share),
        last.years,
        last.at_risk
    )
}

/// Everything said of an audit.
pub fn lines(
    groups: &[GroupAudit],
    units: &[FunnelUnit],
    endpoint: Endpoint,
    due: &[Due],
    overdue: i64,
    months: i32,
) -> Vec<String> {
    let mut out = Vec::new();
    if groups.is_empty() {
        out.push("nothing was placed that fits: there is nothing to tell".to_owned());
    }
    for g in groups {
        out.push(sentence(g, endpoint));
        if !g.by_kind.is_empty() {
            let kinds: Vec<String> = g.by_kind.iter().map(|(k, n)| format!("{k} {n}")).collect();
            out.push(format!("  by cause: {}", kinds.join(", ")));
        }
        if g.design_effect > 1.05 {
            out.push(format!(
                "  intervals are {:.2} times as wide because patients have several restorations",
                g.design_effect.sqrt()
            ));
        }
        if g.never_seen > 0 {
            out.push(format!("  {} were never seen again and add no time", g.never_seen));
        }
        if let Some(d) = g.drop_outs {
            let (count, years, best, worst) = (d.count, d.years, p(d.best), p(d.worst));
            out.push(format!("  {count} dropped out: {best} % at {years:.0} years if all of these stand, {worst} % if all were lost when last seen"));
        }
    }
    if !units.is_empty() {
        out.push("beside each other (expected at the rate of all together):".to_owned());
        for u in units {
            out.push(format!(
                "  {}: {} lost, {:.1} expected, {:.2} times as many: {}",
                u.unit, u.events, u.expected, u.ratio, u.words
            ));
        }
    }
    if overdue > 0 {
        let first: Vec<String> =
            due.iter().take(5).map(|d| format!("{} {} (last seen {})", d.patient, d.teeth, d.last_seen)).collect();
        out.push(format!(
            "{overdue} standing restorations were not seen for {months} months; longest ago: {}",
            first.join(", ")
        ));
    }
    out
}

/// Own mix of a question, as far as its conditions are those of cells.
pub fn mix(arms: &[ArmCount], question: &Question) -> Vec<ArmCount> {
    let place = |g: Grouping| match g {
        Grouping::Construct => Some(0),
        Grouping::Material => Some(1),
        Grouping::Build => Some(2),
        Grouping::Region => Some(3),
        Grouping::Laboratory => Some(4),
        _ => None,
    };
    let fits = |a: &&ArmCount| question.only.iter().all(|(g, v)| place(*g).is_none_or(|i| a.cell[i] == *v));
    arms.iter().filter(fits).cloned().collect()
}

fn draw(
    out: &Path,
    question: &Question,
    groups: &[GroupAudit],
    units: &[FunnelUnit],
    arms: &[ArmCount],
    data: Option<&Path>,
) -> Result<usize, Failure> {
    let mut scenes = Vec::new();
    for group in groups.iter().filter(|g| !g.small) {
        let name = papers::blocks::plain_id(if group.group.is_empty() { "all" } else { &group.group });
        if question.endpoint == Endpoint::Survival {
            let mut narrowed = question.clone();
            narrowed.only.push((question.by, group.group.clone()));
            let own_mix = mix(arms, if question.by == Grouping::All { question } else { &narrowed });
            let years = group.curve.last().map_or(0, |c| c.years as usize);
            let expected = pooled::expected(&facts(data)?, data, &own_mix, years)?;
            let title = sentence(group, question.endpoint);
            scenes.push((format!("own-on-pooled-{name}.svg"), pictures::own_on_pooled(group, &expected, &title)?));
        }
        scenes.push((
            format!("causes-{name}.svg"),
            pictures::causes(
                group,
                &format!("{}: what it was lost to", if group.group.is_empty() { "all" } else { &group.group }),
            )?,
        ));
    }
    scenes.push(("groups.svg".to_owned(), pictures::groups(groups, &format!("Lost by {}", question.by.label()))?));
    scenes.push((
        "funnel.svg".to_owned(),
        pictures::units(units, &format!("Each {} beside all together", question.by.label()))?,
    ));
    let written: Vec<(String, Vec<u8>)> =
        scenes.into_iter().filter_map(|(n, s)| s.map(|s| (n, svg(&s, Theme::Light).into_bytes()))).collect();
    let n = written.len();
    files::write_all(out, &written)?;
    Ok(n)
}
