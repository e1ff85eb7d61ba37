//! Pictures of a register: own results on the pooled evidence, incidence by cause, units side by side, charts of the watch.

use ::register::words::EventKind;
use ::register::{FunnelUnit, GroupAudit, Watched, watch};
use picture::forms::{
    CurveLine, CurvePoint, Curves, FanYear, Funnel, FunnelPoint, SurvivalFan, Threshold, curves, curves_at_risk,
    curves_at_risk_of_all, funnel_of_named, survival_fan,
};
use picture::{Scene, Undrawable};

fn per_cent(share: f64) -> f64 {
    (100.0 * share).clamp(0.0, 100.0)
}

/// Own results as steps upon what the pooled evidence expects of the same mix.
pub fn own_on_pooled(group: &GroupAudit, expected: &[FanYear], title: &str) -> Result<Option<Scene>, Undrawable> {
    if group.small || expected.len() < 2 || group.steps.len() < 2 {
        return Ok(None);
    }
    let end = expected.last().map_or(0.0, |y| y.year);
    let mut own: Vec<(f64, f64)> = group.steps.iter().filter(|s| s.0 <= end).map(|s| (s.0, per_cent(s.1))).collect();
    if let (Some(last), Some(watched)) = (own.last().copied(), group.curve.last()) {
        own.push((watched.years.max(last.0), last.1));
    }
    let lowest = own.iter().map(|o| o.1).chain(expected.iter().map(|y| y.low90)).fold(100.0, f64::min);
    let scene = survival_fan(&SurvivalFan {
        title: title.to_owned(),
        quantity: "standing, % (band: pooled studies; steps: own)".to_owned(),
        years: expected.to_vec(),
        observed_to: None,
        at_risk: group.curve.iter().map(|c| (c.years, c.at_risk as f64)).collect(),
        own,
        floor: ((lowest / 10.0).floor() * 10.0 - 5.0).clamp(0.0, 90.0),
    });
    scene.map(Some)
}

/// Share standing over the years of a few groups; none where fewer than one is large enough.
pub fn groups(groups: &[GroupAudit], title: &str) -> Result<Option<Scene>, Undrawable> {
    let mut large: Vec<&GroupAudit> = groups.iter().filter(|g| g.curve.len() > 2).collect();
    large.sort_by_key(|g| -g.restorations);
    large.truncate(4);
    if large.is_empty() {
        return Ok(None);
    }
    let line = |g: &GroupAudit| CurveLine {
        label: if g.group.is_empty() { "all".to_owned() } else { g.group.replace('_', " ") },
        points: g
            .curve
            .iter()
            .map(|c| CurvePoint {
                x: c.years,
                low: per_cent(1.0 - c.high.unwrap_or(c.share)).min(per_cent(1.0 - c.share)),
                middle: per_cent(1.0 - c.share),
                high: per_cent(1.0 - c.low.unwrap_or(c.share)).max(per_cent(1.0 - c.share)),
            })
            .collect(),
    };
    let data = Curves {
        title: title.to_owned(),
        across: "years after placing".to_owned(),
        upright: "lost, %".to_owned(),
        lines: large.iter().map(|g| line(g)).collect(),
        limits: Vec::new(),
        mark: None,
        decimals: [0, 1],
    };
    curves_at_risk(&data, |i, years| large.get(i).map_or(0.0, |g| watched_at(g, years))).map(Some)
}

/// How many of a group are still watched some years after placing.
fn watched_at(group: &GroupAudit, years: f64) -> f64 {
    group.curve.iter().rfind(|c| c.years <= years).map_or(group.restorations as f64, |c| c.at_risk as f64)
}

/// A cause in words that fit beside the end of its line.
fn short(cause: EventKind) -> &'static str {
    match cause {
        EventKind::Caries => "caries",
        EventKind::ToothFracture => "tooth fracture",
        EventKind::FrameworkFracture => "framework broken",
        other => other.label(),
    }
}

/// Incidence by cause.
pub fn causes(group: &GroupAudit, title: &str) -> Result<Option<Scene>, Undrawable> {
    let lines: Vec<CurveLine> = group
        .causes
        .iter()
        .take(4)
        .filter(|c| c.by_year.len() >= 2)
        .map(|c| CurveLine {
            label: short(c.cause).to_owned(),
            points: std::iter::once(CurvePoint { x: 0.0, low: 0.0, middle: 0.0, high: 0.0 })
                .chain(c.by_year.iter().filter(|s| s.years > 0.0).map(|s| CurvePoint {
                    x: s.years,
                    low: per_cent(s.low.unwrap_or(s.share)).min(per_cent(s.share)),
                    middle: per_cent(s.share),
                    high: per_cent(s.high.unwrap_or(s.share)).max(per_cent(s.share)),
                }))
                .collect(),
        })
        .collect();
    if lines.is_empty() {
        return Ok(None);
    }
    let data = Curves {
        title: title.to_owned(),
        across: "years after placing".to_owned(),
        upright: "lost to this cause, %".to_owned(),
        lines,
        limits: Vec::new(),
        mark: None,
        decimals: [0, 1],
    };
    // The same are watched for every cause: one row of numbers tells it.
    curves_at_risk_of_all(&data, |years| watched_at(group, years)).map(Some)
}

/// Half the width of a 95 % interval, in standard errors: the standard normal quantile of 0.975.
const HALF_WIDTH_95: f64 = 1.959_963_984_540_054;

/// The standard error whose straight 95 % limit is the exact one on the unit's side, so that the picture says what the words say.
fn error_of_limits(unit: &FunnelUnit) -> f64 {
    let [low, high] = unit.limits_95;
    let limit = if unit.ratio < 1.0 && low > 0.0 { low } else { high };
    (limit.ln().abs() / HALF_WIDTH_95).max(1e-3)
}

/// Units against their common rate.
pub fn units(units: &[FunnelUnit], title: &str) -> Result<Option<Scene>, Undrawable> {
    if units.len() < 2 {
        return Ok(None);
    }
    let points = units
        .iter()
        .map(|u| FunnelPoint {
            label: u.unit.clone(),
            // Half an event on both sides keeps a unit without events on the picture.
            effect: if u.events > 0 { u.ratio } else { 0.5 / (u.expected + 0.5) }.ln(),
            error: error_of_limits(u),
        })
        .collect();
    let ticks = [0.25f64, 0.5, 0.67, 0.8, 1.0, 1.25, 1.5, 2.0, 4.0].map(|r| (r.ln(), format!("{r}"))).to_vec();
    let scene = funnel_of_named(&Funnel {
        title: title.to_owned(),
        quantity: "lost, times as many as all together".to_owned(),
        points,
        filled: Vec::new(),
        centre: 0.0,
        ticks,
    });
    scene.map(Some)
}

/// One chart of the watch.
pub fn chart(chart: &watch::Chart) -> Result<Option<Scene>, Undrawable> {
    let Some((first, _)) = chart.path.first() else { return Ok(None) };
    if chart.path.len() < 2 {
        return Ok(None);
    }
    let years = |day: ::register::Day| f64::from(day.since(*first)) / ::register::DAYS_A_YEAR;
    let title = match chart.alerts.last() {
        Some(alert) => format!(
            "{}: {} has risen since about {}",
            chart.laboratory,
            chart.watched.label(),
            &alert.since.to_string()[..7]
        ),
        None => format!("{}: {} shows no change", chart.laboratory, chart.watched.label()),
    };
    let unit =
        if matches!(chart.watched, Watched::SentBack | Watched::NotAtOnce) { "try-ins" } else { "years of work" };
    let scene = curves(&Curves {
        title,
        across: format!("years since {}", &first.to_string()[..7]),
        upright: format!("evidence; a false alarm once in {:.0} {unit}", chart.false_alarm),
        lines: vec![CurveLine {
            label: chart.material.replace('_', " "),
            points: chart
                .path
                .iter()
                .map(|(d, v)| CurvePoint { x: years(*d), low: *v, middle: *v, high: *v })
                .collect(),
        }],
        limits: vec![Threshold { at: chart.limit, label: "limit".to_owned() }],
        mark: chart.alerts.last().map(|a| Threshold { at: years(a.since), label: "rise begins".to_owned() }),
        decimals: [1, 1],
    });
    scene.map(Some)
}
