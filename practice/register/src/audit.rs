//! Looking back: how many stand after how many years, by what they were made of and who made them, with what is not known said.
//!
//! Counts come from a [`Counting`] place; curves are Kaplan-Meier (survival, success) and Aalen-Johansen (by cause) of `survival`. Intervals are 90 %,
//! complementary log-log, their errors widened by the root of the design effect of patients with several restorations
//! ([`ClusterSums::design_effect`]). Under [`SMALL`] restorations no percentage is given: counts alone are.
//!
//! Drop-outs: best case, all stood as long as anybody was watched; worst case, all were lost on the day they were last seen.

use crate::counting::{ClusterSums, Counting, EndCount, Endpoint, Question};
use crate::day::DAYS_A_YEAR;
use crate::words::EventKind;
use serde::Serialize;
use std::collections::BTreeMap;
use survival::{Scale, aalen_johansen_of, kaplan_meier_of};

/// Fewer restorations than this give no percentage.
pub const SMALL: i64 = 50;
/// Level of intervals.
pub const LEVEL: f64 = 0.90;

/// A share at a time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ShareAt {
    /// Years after placing.
    pub years: f64,
    /// Restorations still under observation.
    pub at_risk: i64,
    /// Share, 0..1.
    pub share: f64,
    /// Lower end; none where nothing has happened yet.
    pub low: Option<f64>,
    /// Upper end.
    pub high: Option<f64>,
}

/// Incidence of one cause over the years.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CauseOverTime {
    /// Cause.
    pub cause: EventKind,
    /// Events.
    pub events: i64,
    /// Share lost to it by each year.
    pub by_year: Vec<ShareAt>,
}

/// What may have become of drop-outs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DropOuts {
    /// How many.
    pub count: i64,
    /// Years for which the two shares hold.
    pub years: f64,
    /// Share standing if all drop-outs stand.
    pub best: f64,
    /// Share standing if all were lost when last seen.
    pub worst: f64,
}

/// One group of an audit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupAudit {
    /// Group; empty for all.
    pub group: String,
    /// Restorations placed.
    pub restorations: i64,
    /// Patients.
    pub patients: i64,
    /// Restoration-years under observation.
    pub years: f64,
    /// Failures.
    pub events: i64,
    /// Ended without failing (replaced for other reasons).
    pub replaced_other: i64,
    /// Never seen since placing: they add no time.
    pub never_seen: i64,
    /// Failures by kind, most first.
    pub by_kind: Vec<(EventKind, i64)>,
    /// Failures per 100 restoration-years, with an exact interval widened for clustering.
    pub rate: Option<[f64; 3]>,
    /// How much patients with several restorations widen the errors (variance ratio).
    pub design_effect: f64,
    /// True under [`SMALL`] restorations: shares are left out.
    pub small: bool,
    /// Share standing at each whole year.
    pub curve: Vec<ShareAt>,
    /// Incidence by cause, most frequent first.
    pub causes: Vec<CauseOverTime>,
    /// Best and worst case.
    pub drop_outs: Option<DropOuts>,
    /// The steps of the curve for drawing: years and share.
    #[serde(skip)]
    pub steps: Vec<(f64, f64)>,
}

/// An audit of one endpoint by one grouping.
///
/// # Errors
/// When the place cannot be read.
pub fn audit<C: Counting>(place: &mut C, question: &Question) -> Result<Vec<GroupAudit>, C::Error> {
    let ends = place.ends(question)?;
    let clusters = place.clusters(question)?;
    let mut groups: BTreeMap<&str, Vec<&EndCount>> = BTreeMap::new();
    for end in &ends {
        groups.entry(&end.group).or_default().push(end);
    }
    Ok(groups
        .into_iter()
        .map(|(name, ends)| group_audit(name, &ends, clusters.iter().find(|c| c.group == name)))
        .collect())
}

/// How drop-outs are taken.
#[derive(Clone, Copy, PartialEq)]
enum DropOutsAs {
    LastSeen,
    Standing,
    Lost,
}

fn group_audit(name: &str, ends: &[&EndCount], sums: Option<&ClusterSums>) -> GroupAudit {
    let count = |which: &dyn Fn(&EndCount) -> bool| ends.iter().filter(|e| which(e)).map(|e| e.count).sum::<i64>();
    let restorations = count(&|_| true);
    let failed = |e: &EndCount| e.cause.is_some_and(EventKind::is_failure);
    let events = count(&failed);
    let mut kinds: BTreeMap<EventKind, i64> = BTreeMap::new();
    for end in ends.iter().filter(|e| failed(e)) {
        if let Some(kind) = end.cause {
            *kinds.entry(kind).or_default() += end.count;
        }
    }
    let mut by_kind: Vec<(EventKind, i64)> = kinds.into_iter().collect();
    by_kind.sort_by_key(|(kind, n)| (-n, *kind));
    let years = ends.iter().map(|e| f64::from(e.days) * e.count as f64).sum::<f64>() / DAYS_A_YEAR;
    let design_effect = sums.map_or(1.0, ClusterSums::design_effect);
    let dropped = count(&|e| e.dropped);
    let small = restorations < SMALL;
    let mut audit = GroupAudit {
        group: name.to_owned(),
        restorations,
        patients: sums.map_or(0, |s| s.patients),
        years,
        events,
        replaced_other: count(&|e| e.cause == Some(EventKind::ReplacedOther)),
        never_seen: count(&|e| e.days == 0),
        by_kind,
        rate: (years > 0.0).then(|| rate(events as f64, years, design_effect)),
        design_effect,
        small,
        curve: Vec::new(),
        causes: Vec::new(),
        drop_outs: None,
        steps: Vec::new(),
    };
    if small {
        return audit;
    }
    let Some(table) = risk_table(ends, &audit.by_kind, DropOutsAs::LastSeen) else { return audit };
    let wider = design_effect.sqrt();
    let curve = kaplan_meier_of(&table);
    let last = curve.last();
    // A curve is not drawn where fewer than ten are left: one event would move it by a tenth and more.
    let whole_years = (0..=40).map(f64::from).take_while(|y| *y <= last && table.at_risk_at(*y) >= 10.0);
    let whole_years: Vec<f64> = whole_years.collect();
    let share_at = |y: f64, share: f64, se: f64, complement: bool| {
        let limits = Scale::LogLog.limits(if complement { 1.0 - share } else { share }, se * wider, LEVEL);
        let (low, high) = limits.map_or((None, None), |l| match complement {
            true => (Some(1.0 - l.high), Some(1.0 - l.low)),
            false => (Some(l.low), Some(l.high)),
        });
        ShareAt { years: y, at_risk: table.at_risk_at(y).round() as i64, share, low, high }
    };
    audit.curve = whole_years
        .iter()
        .map(|&y| {
            let step = curve.at(y);
            share_at(y, step.survival, step.se(), false)
        })
        .collect();
    audit.steps = std::iter::once((0.0, 1.0))
        .chain(curve.steps.iter().filter(|s| s.events > 0.0 && s.at_risk >= 10.0).map(|s| (s.time, s.survival)))
        .collect();
    audit.causes = aalen_johansen_of(&table)
        .into_iter()
        .zip(&audit.by_kind)
        .map(|(incidence, (cause, events))| CauseOverTime {
            cause: *cause,
            events: *events,
            by_year: whole_years
                .iter()
                .skip(1)
                .map(|&y| {
                    let step = incidence.at(y);
                    share_at(y, step.incidence, step.se, true)
                })
                .collect(),
        })
        .collect();
    if let (Some(&years), 1..) = (whole_years.last(), dropped) {
        let share =
            |how| risk_table(ends, &audit.by_kind, how).map_or(1.0, |t| kaplan_meier_of(&t.any()).at(years).survival);
        audit.drop_outs =
            Some(DropOuts { count: dropped, years, best: share(DropOutsAs::Standing), worst: share(DropOutsAs::Lost) });
    }
    audit
}

/// Failures per 100 years with limits for the counts that clustering leaves: n/deff events over years/deff.
fn rate(events: f64, years: f64, design_effect: f64) -> [f64; 3] {
    let limits = survival::exact::rate(events / design_effect, years / design_effect, LEVEL);
    [limits.low, events / years, limits.high].map(|r| 100.0 * r)
}

/// The risk table of a group in years, causes in the order of `kinds`; none where nobody was ever seen again.
fn risk_table(ends: &[&EndCount], kinds: &[(EventKind, i64)], how: DropOutsAs) -> Option<survival::RiskTable> {
    let longest = ends.iter().map(|e| e.days).max()?;
    let causes = kinds.len() + usize::from(how == DropOutsAs::Lost);
    let mut rows: BTreeMap<i32, (Vec<f64>, f64)> = BTreeMap::new();
    for end in ends {
        let days = if end.dropped && how == DropOutsAs::Standing { longest } else { end.days };
        // Lost at once and never seen again still has been at risk for a day in the worst case.
        let days = if end.dropped && how == DropOutsAs::Lost { days.max(1) } else { days };
        if days == 0 {
            continue;
        }
        let row = rows.entry(days).or_insert_with(|| (vec![0.0; causes], 0.0));
        let place = end.cause.and_then(|kind| kinds.iter().position(|k| k.0 == kind));
        match place {
            Some(cause) => row.0[cause] += end.count as f64,
            None if end.dropped && how == DropOutsAs::Lost => row.0[causes - 1] += end.count as f64,
            None => row.1 += end.count as f64,
        }
    }
    let mut at_risk = Vec::with_capacity(rows.len());
    let mut left: f64 = rows.values().map(|(events, censored)| events.iter().sum::<f64>() + censored).sum();
    for (events, censored) in rows.values() {
        at_risk.push(left);
        left -= events.iter().sum::<f64>() + censored;
    }
    let time = rows.keys().map(|d| f64::from(*d) / DAYS_A_YEAR).collect();
    let events =
        (0..causes.max(1)).map(|c| rows.values().map(|r| r.0.get(c).copied().unwrap_or(0.0)).collect()).collect();
    let censored = rows.values().map(|r| r.1).collect();
    survival::RiskTable::from_counts(time, at_risk, events, censored).ok()
}

/// A unit (laboratory, operator) beside the others.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FunnelUnit {
    /// Unit.
    pub unit: String,
    /// Failures.
    pub events: i64,
    /// Expected at the rate of all together.
    pub expected: f64,
    /// Observed over expected.
    pub ratio: f64,
    /// Limits of the ratio that chance leaves to 95 of 100 units of this size.
    pub limits_95: [f64; 2],
    /// Limits that chance leaves to 998 of 1,000.
    pub limits_998: [f64; 2],
    /// Where it lies, in words.
    pub words: String,
}

/// Units of a group audit against their common rate: Poisson limits (`survival::monitor::funnel`), widened by the root of the design effect.
/// With fewer than ten units overdispersion between them cannot be told from differences, so it is not allowed for.
pub fn funnel(groups: &[GroupAudit]) -> Vec<FunnelUnit> {
    let named: Vec<&GroupAudit> = groups.iter().filter(|g| !g.group.is_empty() && g.years > 0.0).collect();
    let events: i64 = named.iter().map(|g| g.events).sum();
    let years: f64 = named.iter().map(|g| g.years).sum();
    if events == 0 || named.len() < 2 {
        return Vec::new();
    }
    let rate = events as f64 / years;
    named
        .into_iter()
        .map(|g| {
            let expected = rate * g.years;
            let effective = expected / g.design_effect;
            let limits = |p: f64| {
                [p, 1.0 - p].map(|p| (survival::monitor::funnel::poisson_limit(effective, p) / effective).max(0.0))
            };
            let (limits_95, limits_998) = (limits(0.025), limits(0.001));
            let ratio = g.events as f64 / expected;
            let words = if ratio > limits_998[1] {
                "more than chance explains: look for the cause"
            } else if ratio > limits_95[1] {
                "rather many; one unit in forty lies there by chance alone"
            } else if ratio < limits_998[0] {
                "fewer than chance explains: learn from it, and check that nothing goes unrecorded"
            } else if ratio < limits_95[0] {
                "rather few; one unit in forty lies there by chance alone"
            } else {
                "within what chance leaves"
            };
            FunnelUnit {
                unit: g.group.clone(),
                events: g.events,
                expected,
                ratio,
                limits_95,
                limits_998,
                words: words.into(),
            }
        })
        .collect()
}

impl Question {
    /// All restorations together, nobody counted as dropped out unless known to be gone.
    pub fn all(endpoint: Endpoint) -> Self {
        use crate::words::Grouping;
        Self { endpoint, by: Grouping::All, only: Vec::new(), seen_since: crate::Day::from_number(i32::MIN / 2) }
    }
}
