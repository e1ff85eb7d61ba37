//! An audit in sentences and pictures.

use super::pictures;
use crate::blocks::plain_id;
use ::register::counting::{ArmCount, Due, Endpoint, Question};
use ::register::words::Grouping;
use ::register::{FunnelUnit, GroupAudit, SMALL};
use picture::forms::FanYear;
use picture::{Scene, Undrawable};

fn p(share: f64) -> String {
    picture::axis::figure(100.0 * share, 1)
}

/// A number with its noun.
fn counted(n: i64, noun: &str) -> String {
    if n == 1 { format!("1 {noun}") } else { format!("{n} {noun}s") }
}

/// One group's main sentence.
pub fn sentence(g: &GroupAudit, endpoint: Endpoint) -> String {
    let name = if g.group.is_empty() { "all".to_owned() } else { g.group.replace('_', " ") };
    let lost = if endpoint == Endpoint::Survival { "lost" } else { "with trouble" };
    let counts = format!(
        "{name}: {} of {}, {} restoration-years, {} {lost}",
        counted(g.restorations, "restoration"),
        counted(g.patients, "patient"),
        picture::axis::figure(g.years, usize::from(g.years < 10.0)),
        g.events
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
            let were = if g.never_seen == 1 { "was" } else { "were" };
            out.push(format!("  {} {were} never seen again and add no time", g.never_seen));
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
            "{}, standing, not seen for {months} months; longest ago: {}",
            counted(overdue, "restoration"),
            first.join(", ")
        ));
    }
    out
}

/// Every picture of an audit by its file name, without ending. `expected` gives what pooled studies expect of a mix of cells over so many years.
///
/// # Errors
/// When something cannot be drawn, or is not to be had of `expected`.
pub fn scenes<E: From<Undrawable>>(
    question: &Question,
    groups: &[GroupAudit],
    units: &[FunnelUnit],
    arms: &[ArmCount],
    expected: impl Fn(&[ArmCount], usize) -> Result<Vec<FanYear>, E>,
) -> Result<Vec<(String, Scene)>, E> {
    let mut scenes = Vec::new();
    for group in groups.iter().filter(|g| !g.small) {
        let words = if group.group.is_empty() { "all" } else { &group.group };
        let name = plain_id(words);
        if question.endpoint == Endpoint::Survival {
            let mut narrowed = question.clone();
            if question.by != Grouping::All {
                narrowed.only.push((question.by, group.group.clone()));
            }
            let years = group.curve.last().map_or(0, |c| c.years as usize);
            let pooled = expected(&narrowed.mix_of(arms), years)?;
            let title = sentence(group, question.endpoint);
            scenes.push((format!("own-on-pooled-{name}"), pictures::own_on_pooled(group, &pooled, &title)?));
        }
        let title = format!("{}: what it was lost to", words.replace('_', " "));
        scenes.push((format!("causes-{name}"), pictures::causes(group, &title)?));
    }
    let by = question.by.label();
    scenes.push(("groups".to_owned(), pictures::groups(groups, &format!("Lost by {by}"))?));
    scenes.push(("funnel".to_owned(), pictures::units(units, &format!("Each {by} beside all together"))?));
    Ok(scenes.into_iter().filter_map(|(name, scene)| Some((name, scene?))).collect())
}
