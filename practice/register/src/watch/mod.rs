//! Looking out: charts that say early that something has changed.
//!
//! First the try-ins of each laboratory (and each of its materials), day by day: sent back, and not fitted at once. Then what happens in the mouth:
//! coming off, chips, fractures of each laboratory's work against the others'. Bernoulli and continuous-time CUSUM of `survival::monitor` for a doubling of
//! the odds (hazard); limits from a stated mean run length without change.
//!
//! - Baseline of a try-in chart: the laboratory's own first try-ins, until there are [`BASELINE`] of them and [`BASELINE_FAILED`] failed. It is itself an
//!   estimate, and one that is too low would cry wolf: the chart is designed for the upper limit of its one-sided 90 % interval, so that the stated run
//!   length is a promise kept with that confidence (the aim of Gandy, Kvaløy 2013, Scand J Stat 40:647-668, doi 10.1002/sjos.12006, who raise the limit
//!   alone; with few failures that is not enough, so the steps move too). The price is a longer wait for a doubling, and it is the one printed.
//! - Baseline of a chart of events: the hazard by year of age of all other laboratories together, its error guarded against in the same way.
//! - Within a day the order of try-ins is not known to the counts: failures are spread evenly. (Over a month that would leave out runs of bad luck, and a
//!   doubling would be seen half as late again.)
//! - Exposure goes on for [`GRACE`] months after the last look, since trouble is told at once and its absence only at the next recall.
//! - A chart says that something changed, not why; alerts say what to look at first.

mod events;

use crate::counting::{Counting, TryInCount};
use crate::day::Day;
use crate::words::{EventKind, Misfit};
use serde::Serialize;
use std::collections::BTreeMap;
use survival::monitor::{cusum, run_length};

/// Least try-ins of a baseline (common practice, no source).
pub const BASELINE: usize = 100;
/// Least failures of a baseline: fewer tell a rate to no better than a factor of two (common practice, no source).
pub const BASELINE_FAILED: usize = 5;
/// Two-sided level whose upper limit is the one-sided 90 % limit.
const GUARD: f64 = 0.80;
/// The same level, one-sided.
const GUARD_ONE_SIDED: f64 = 0.90;
/// Odds ratio watched for.
pub const RATIO: f64 = 2.0;
/// Months for which a restoration counts as watched after its last look.
pub const GRACE: i32 = 12;
/// Expected events of one slice of a continuous chart, by which its limit is found from the Bernoulli chart.
const SLICE: f64 = 0.01;

/// What a chart watches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Watched {
    /// Try-ins sent back.
    SentBack,
    /// Try-ins sent back or adjusted.
    NotAtOnce,
    /// Coming off.
    Debonding,
    /// Chipping.
    Chip,
    /// Fracture of framework or body.
    Fracture,
}

impl Watched {
    /// In words.
    pub fn label(self) -> &'static str {
        match self {
            Self::SentBack => "sent back at try-in",
            Self::NotAtOnce => "not fitted at once",
            Self::Debonding => "coming off",
            Self::Chip => "chipping",
            Self::Fracture => "framework fracture",
        }
    }

    fn kind(self) -> Option<EventKind> {
        match self {
            Self::Debonding => Some(EventKind::Debonding),
            Self::Chip => Some(EventKind::Chip),
            Self::Fracture => Some(EventKind::FrameworkFracture),
            _ => None,
        }
    }
}

/// An alert.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Alert {
    /// Day of the signal.
    pub signalled: Day,
    /// Day on which the rise began.
    pub since: Day,
    /// Share (rate a year for events) before, and since.
    pub before: f64,
    /// Since the rise began until the signal.
    pub after: f64,
    /// Ratio with its 90 % interval.
    pub ratio: [f64; 3],
    /// Two-sided p of no difference between before and since, told the moment of the rise: flattering, since the moment was chosen.
    pub p: f64,
    /// True when it came sooner after the alert before than a false alarm would on average: the same rise goes on, and is told from its beginning.
    pub goes_on: bool,
    /// What to look at first.
    pub look_at: String,
    /// All of it in sentences.
    pub words: String,
}

/// One chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Chart {
    /// Laboratory.
    pub laboratory: String,
    /// Material; empty for all.
    pub material: String,
    /// What is watched.
    pub watched: Watched,
    /// Cases (try-ins) or restoration-years so far.
    pub cases: f64,
    /// Baseline share (of try-ins) or rate a year.
    pub baseline: f64,
    /// Its 90 % interval.
    pub baseline_interval: [f64; 2],
    /// Share (rate) for which the limit was set: the upper one-sided 90 % limit of the baseline.
    pub designed_for: f64,
    /// Limit.
    pub limit: f64,
    /// Mean number of cases (restoration-years) to a false alarm.
    pub false_alarm: f64,
    /// Mean number of cases (restoration-years) to see a doubling.
    pub to_see_doubling: f64,
    /// Value at the end of each month: first day, value.
    pub path: Vec<(Day, f64)>,
    /// Alerts, oldest first; the chart begins anew after each.
    pub alerts: Vec<Alert>,
}

/// What cannot be watched yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotYet {
    /// What.
    pub what: String,
    /// Why.
    pub why: String,
}

/// All charts of a register.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Watch {
    /// Charts, those with the newest alerts first.
    pub charts: Vec<Chart>,
    /// What cannot be watched yet.
    pub not_yet: Vec<NotYet>,
}

/// Draws all charts; `in_control` is the wished mean number of try-ins to a false alarm, and for events that
/// of restorations.
///
/// # Errors
/// When the place cannot be read.
pub fn watch<C: Counting>(place: &mut C, in_control: f64, today: Day) -> Result<Watch, C::Error> {
    let mut out = Watch { charts: Vec::new(), not_yet: Vec::new() };
    try_in_charts(&place.try_in_counts()?, in_control, &mut out);
    events::event_charts(&place.cohorts()?, in_control, today, &mut out);
    out.charts.sort_by(|a, b| {
        let newest = |c: &Chart| c.alerts.last().map(|alert| alert.signalled);
        (newest(b), a.watched, &a.laboratory, &a.material).cmp(&(newest(a), b.watched, &b.laboratory, &b.material))
    });
    Ok(out)
}

/// Try-ins of a day in a stream.
#[derive(Debug, Clone, Copy, Default)]
struct Lot {
    cases: i64,
    failed: i64,
    causes: [i64; 5],
}

fn try_in_charts(counts: &[TryInCount], in_control: f64, out: &mut Watch) {
    let mut streams: BTreeMap<(&str, &str), BTreeMap<Day, [Lot; 2]>> = BTreeMap::new();
    for count in counts.iter().filter(|c| !c.laboratory.is_empty()) {
        for material in ["", count.material.as_str()] {
            let lots = streams.entry((&count.laboratory, material)).or_default().entry(count.day).or_default();
            for (lot, failed) in lots.iter_mut().zip([count.sent_back, count.sent_back + count.adjusted]) {
                lot.cases += count.tried;
                lot.failed += failed;
                for (sum, n) in lot.causes.iter_mut().zip(count.causes) {
                    *sum += n;
                }
            }
        }
    }
    for ((laboratory, material), days) in streams {
        let what = if material.is_empty() { laboratory.to_owned() } else { format!("{laboratory}, {material}") };
        for (which, watched) in [Watched::SentBack, Watched::NotAtOnce].into_iter().enumerate() {
            let stream: Vec<(Day, Lot)> = days.iter().map(|(d, both)| (*d, both[which])).collect();
            match try_in_chart(laboratory, material, watched, &stream, in_control) {
                Ok(chart) => out.charts.push(chart),
                Err(why) => out.not_yet.push(NotYet { what: format!("{what}, {}", watched.label()), why }),
            }
        }
    }
}

/// A rise that a chart told: where it began and where it was told.
struct Rise {
    from: usize,
    at: usize,
    goes_on: bool,
}

/// Signals of a chart that begins anew after each: one that comes sooner after the last than a false alarm would on average tells the same rise once more.
fn runs(signals: &[usize], since: &[usize], false_alarm: f64) -> Vec<Rise> {
    let mut rises: Vec<Rise> = Vec::new();
    for (&at, &from) in signals.iter().zip(since) {
        let before = rises.last().filter(|b| ((at - b.at) as f64) < false_alarm);
        let (from, goes_on) = before.map_or((from, false), |b| (b.from, true));
        rises.push(Rise { from, at, goes_on });
    }
    rises
}

/// Whether each case of a day failed: failures spread evenly.
fn spread(lot: Lot) -> impl Iterator<Item = bool> {
    (0..lot.cases).map(move |i| (i + 1) * lot.failed / lot.cases.max(1) > i * lot.failed / lot.cases.max(1))
}

/// How many of the first cases make the baseline; none while there are too few.
fn baseline(cases: &[(Day, bool)]) -> Option<usize> {
    let mut failed = 0;
    let enough = cases.iter().enumerate().position(|(i, case)| {
        failed += usize::from(case.1);
        i + 1 >= BASELINE && failed >= BASELINE_FAILED
    })?;
    (enough + 1 < cases.len()).then_some(enough + 1)
}

fn try_in_chart(
    laboratory: &str,
    material: &str,
    watched: Watched,
    stream: &[(Day, Lot)],
    in_control: f64,
) -> Result<Chart, String> {
    let cases: Vec<(Day, bool)> = stream.iter().flat_map(|(day, lot)| spread(*lot).map(|f| (*day, f))).collect();
    let split = baseline(&cases).ok_or_else(|| {
        let failed = cases.iter().filter(|c| c.1).count();
        let tried = cases.len();
        format!("{failed} of {tried} try-ins; a baseline needs {BASELINE_FAILED} of {BASELINE} and one more to watch")
    })?;
    let failed = cases[..split].iter().filter(|c| c.1).count() as f64;
    let risk = (failed + 0.5) / (split as f64 + 1.0);
    let interval = survival::exact::proportion_jeffreys(failed, split as f64, crate::audit::LEVEL);
    let guarded = survival::exact::proportion_jeffreys(failed, split as f64, GUARD).high;
    let no_limit = |why| format!("no limit can be found for a share of {:.0} %: {why}", 100.0 * guarded);
    let design = run_length::design(guarded, RATIO, in_control).map_err(no_limit)?;
    let to_see_doubling = design.delay_from(risk).map_err(no_limit)?;
    let weight = |failed: bool| if failed { design.weights.failure } else { design.weights.success };
    let path = cusum::path(cases[split..].iter().map(|c| weight(c.1)), design.limit, 0.0, true);
    let mut by_month: Vec<(Day, f64)> = Vec::new();
    for ((day, _), value) in cases[split..].iter().zip(&path.values) {
        let month = Day::of_month(day.month_number());
        match by_month.last_mut() {
            Some(last) if last.0 == month => last.1 = *value,
            _ => by_month.push((month, *value)),
        }
    }
    let alerts = runs(&path.signals, &path.since, design.false_alarm)
        .into_iter()
        .map(|Rise { from, at, goes_on }| {
            let (from_day, at_day) = (cases[split + from].0, cases[split + at].0);
            let days = |since: bool| {
                stream.iter().filter(move |(d, _)| if since { (from_day..=at_day).contains(d) } else { *d < from_day })
            };
            let sum = |since: bool| {
                days(since).fold((0.0, 0.0, [0i64; 5]), |(x, n, mut causes), (_, lot)| {
                    causes.iter_mut().zip(lot.causes).for_each(|(sum, c)| *sum += c);
                    (x + lot.failed as f64, n + lot.cases as f64, causes)
                })
            };
            let (before, after) = (sum(false), sum(true));
            let found = survival::exact::rate_ratio((before.0, before.1), (after.0, after.1), crate::audit::LEVEL);
            alert(&Told {
                what: format!("{} of laboratory {laboratory}{}", watched.label(), with(material)),
                days: (from_day, at_day),
                before: (before.0, before.1),
                after: (after.0, after.1),
                unit: "try-ins",
                found,
                goes_on,
                false_alarm: design.false_alarm,
                look_at: first_cause(before.2, before.1, after.2, after.1),
            })
        })
        .collect();
    Ok(Chart {
        laboratory: laboratory.to_owned(),
        material: material.to_owned(),
        watched,
        cases: cases.len() as f64,
        baseline: risk,
        baseline_interval: [interval.low, interval.high],
        designed_for: guarded,
        limit: design.limit,
        false_alarm: design.false_alarm,
        to_see_doubling,
        path: by_month,
        alerts,
    })
}

fn with(material: &str) -> String {
    if material.is_empty() { String::new() } else { format!(", {}", material.replace('_', " ")) }
}

/// The cause that grew most, and what it usually points to (common practice, no source).
fn first_cause(before: [i64; 5], cases_before: f64, after: [i64; 5], cases_after: f64) -> String {
    let excess = |i: usize| after[i] as f64 - before[i] as f64 / cases_before.max(1.0) * cases_after;
    let Some(i) = (0..Misfit::ALL.len()).max_by(|a, b| excess(*a).total_cmp(&excess(*b))) else { return String::new() };
    let cause = Misfit::ALL[i];
    let advice = match cause {
        Misfit::Contact => {
            "models and the order in which contacts are set; whether neighbours moved between scan and try-in"
        }
        Misfit::Margin => {
            "impressions or scans of the finish line, then the laboratory's trimming and its machine's tools"
        }
        Misfit::Colour => "how the wish and the stump's colour reach the laboratory, then its firing",
        Misfit::Bite => "the bite record, then how the laboratory mounts it",
        Misfit::Fracture => "thicknesses ordered and delivered, then the batch and its firing",
    };
    format!("{cause} ({} of {:.0} since, {} of {:.0} before): {advice}", after[i], cases_after, before[i], cases_before)
}

struct Told {
    what: String,
    days: (Day, Day),
    before: (f64, f64),
    after: (f64, f64),
    unit: &'static str,
    found: survival::exact::RateRatio,
    goes_on: bool,
    false_alarm: f64,
    look_at: String,
}

fn alert(told: &Told) -> Alert {
    let (since, signalled) = told.days;
    let month = |d: Day| format!("{:04}-{:02}", d.parts().0, d.parts().1);
    let words = format!(
        "{} has risen since about {}: {:.0} of {:.0} {} until {}, against {:.0} of {:.0} before: {:.1} times as often (90 % interval {:.1} to {:.1}). \
         A chart like this gives a false alarm at most once in {:.0} {} on average. Look first at {}.",
        told.what,
        month(since),
        told.after.0,
        told.after.1,
        told.unit,
        month(signalled),
        told.before.0,
        told.before.1,
        told.found.ratio,
        told.found.limits.low,
        told.found.limits.high,
        told.false_alarm,
        told.unit,
        told.look_at
    );
    Alert {
        signalled,
        since,
        before: told.before.0 / told.before.1,
        after: told.after.0 / told.after.1,
        ratio: [told.found.limits.low, told.found.ratio, told.found.limits.high],
        p: told.found.p,
        goes_on: told.goes_on,
        look_at: told.look_at.clone(),
        words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rise_that_lasts_is_told_from_its_beginning() {
        let rises = runs(&[100, 300, 2000], &[50, 250, 1900], 1000.0);
        let told: Vec<_> = rises.iter().map(|r| (r.from, r.at, r.goes_on)).collect();
        assert_eq!(told, [(50, 100, false), (50, 300, true), (1900, 2000, false)]);
    }

    #[test]
    fn failures_of_a_day_are_spread_evenly_and_all_told() {
        for (cases, failed) in [(1, 1), (2, 1), (5, 2), (7, 0), (3, 3)] {
            let told: Vec<bool> = spread(Lot { cases, failed, causes: [0; 5] }).collect();
            assert_eq!(told.iter().filter(|f| **f).count() as i64, failed);
            assert_eq!(told.len() as i64, cases);
        }
    }
}
