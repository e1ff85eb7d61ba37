//! Charts of what happens in the mouth: each laboratory's work against the others', in continuous time.
//!
//! The promise is that of the try-in charts carried over: as many restorations as try-ins between false alarms, each watched for [`FOLLOWED`] years. The
//! hazard of the others is itself an estimate: it is raised by the ratio of its one-sided 90 % limit to itself (exact limit of a Poisson rate), so that the
//! stated run length is a least one with that confidence.

use super::{Alert, Chart, GRACE, GUARD_ONE_SIDED, NotYet, RATIO, SLICE, Told, Watch, Watched, alert};
use crate::counting::CohortCount;
use crate::day::Day;
use crate::words::EventKind;
use std::collections::BTreeMap;
use survival::monitor::run_length;

/// Years for which a restoration counts as watched when a number of restorations is turned into years (common practice, no source).
pub const FOLLOWED: f64 = 5.0;

/// Years at risk and events by calendar month and year of age.
type Lexis = BTreeMap<(i32, i32), (f64, f64)>;

fn lexis<'a>(cohorts: impl Iterator<Item = &'a CohortCount>, kind: EventKind, now: i32) -> Lexis {
    let mut table = Lexis::new();
    for c in cohorts {
        let watched_until = if c.trouble.is_some() || c.gone { c.until } else { (c.until + GRACE).min(now) };
        for month in c.placed..=watched_until {
            let part = if month == c.placed || month == watched_until { 0.5 } else { 1.0 };
            table.entry((month, (month - c.placed) / 12)).or_default().0 += part * c.count as f64 / 12.0;
        }
        if c.trouble == Some(kind) {
            table.entry((c.until, (c.until - c.placed) / 12)).or_default().1 += c.count as f64;
        }
    }
    table
}

/// Days of events, ascending, each as often as it happened.
fn days_of(cohorts: &[CohortCount], laboratory: &str, kind: EventKind) -> Vec<Day> {
    let mine = cohorts.iter().filter(|c| c.laboratory == laboratory && c.trouble == Some(kind));
    let mut days: Vec<Day> = mine
        .flat_map(|c| {
            let day = c.on.unwrap_or_else(|| Day::of_month(c.until));
            std::iter::repeat_n(day, usize::try_from(c.count).unwrap_or(0))
        })
        .collect();
    days.sort_unstable();
    days
}

/// How much of its month has gone by in the middle of a day.
fn share_of_month(day: Day) -> f64 {
    let month = day.month_number();
    let (first, next) = (Day::of_month(month), Day::of_month(month + 1));
    (f64::from(day.since(first)) + 0.5) / f64::from(next.since(first))
}

pub(super) fn event_charts(cohorts: &[CohortCount], in_control: f64, today: Day, out: &mut Watch) {
    let mut laboratories: Vec<&str> = cohorts.iter().map(|c| c.laboratory.as_str()).filter(|l| !l.is_empty()).collect();
    laboratories.sort_unstable();
    laboratories.dedup();
    let now = today.month_number();
    for watched in [Watched::Debonding, Watched::Chip, Watched::Fracture] {
        let Some(kind) = watched.kind() else { continue };
        for laboratory in &laboratories {
            let own = lexis(cohorts.iter().filter(|c| c.laboratory == *laboratory), kind, now);
            let others = lexis(cohorts.iter().filter(|c| c.laboratory != *laboratory), kind, now);
            // From 0 on: an empty sum of floats is -0.
            let events = others.values().fold(0.0, |sum, v| sum + v.1);
            if events < 10.0 {
                out.not_yet.push(NotYet {
                    what: format!("{}, {laboratory}", watched.label()),
                    why: format!("{events:.0} such events of other laboratories; a baseline needs 10"),
                });
                continue;
            }
            let days = days_of(cohorts, laboratory, kind);
            match event_chart(laboratory, watched, (&own, &days), &others, in_control * FOLLOWED) {
                Ok(chart) => out.charts.push(chart),
                Err(why) => out.not_yet.push(NotYet { what: format!("{}, {laboratory}", watched.label()), why }),
            }
        }
    }
}

/// A chart with a promise of `in_control` restoration-years to a false alarm.
fn event_chart(
    laboratory: &str,
    watched: Watched,
    (own, days): (&Lexis, &[Day]),
    others: &Lexis,
    in_control: f64,
) -> Result<Chart, String> {
    let mut hazards: BTreeMap<i32, (f64, f64)> = BTreeMap::new();
    for ((_, age), (years, events)) in others {
        let sum = hazards.entry(*age).or_default();
        *sum = (sum.0 + years, sum.1 + events);
    }
    let (all_years, all_events) = hazards.values().fold((0.0, 0.0), |s, h| (s.0 + h.0, s.1 + h.1));
    let guard = survival::exact::rate_upper(all_events, all_years, GUARD_ONE_SIDED) / (all_events / all_years);
    // A year of age with little time behind it leans on all years: as if 50 years at the common rate stood in it.
    let hazard = |age: i32| {
        let (years, events) = hazards.get(&age).copied().unwrap_or_default();
        guard * (events + 50.0 * all_events / all_years) / (years + 50.0)
    };
    let mut months: BTreeMap<i32, (f64, f64, f64)> = BTreeMap::new();
    for ((month, age), (years, events)) in own {
        let sum = months.entry(*month).or_default();
        *sum = (sum.0 + years, sum.1 + years * hazard(*age), sum.2 + events);
    }
    let (years, expected) = months.values().fold((0.0, 0.0), |s, m| (s.0 + m.0, s.1 + m.1));
    let guarded = if years > 0.0 { expected / years } else { guard * all_events / all_years };
    let no_limit = |why| format!("no limit can be found for {:.2} a hundred years: {why}", 100.0 * guarded);
    let design = run_length::design(SLICE, RATIO, (in_control * guarded / SLICE).max(2.0)).map_err(no_limit)?;
    let to_see_doubling = design.delay_from(SLICE / guard).map_err(no_limit)? * SLICE / guarded;
    let (mut value, mut rising, mut alerts, mut path) = (0.0f64, None, Vec::new(), Vec::new());
    // The last alert: where its rise began, and the years watched until then.
    let (mut last, mut watched_years): (Option<(Day, f64)>, f64) = (None, 0.0);
    let false_alarm = design.false_alarm * SLICE / guarded;
    let mut days = days.iter().copied().peekable();
    for (&month, &(years, expected, _)) in &months {
        watched_years += years;
        let (mut gone, mut crossed) = (0.0, None);
        while let Some(day) = days.next_if(|d| d.month_number() <= month) {
            let at = if day.month_number() == month { share_of_month(day) } else { 0.0 };
            value = (value - (RATIO - 1.0) * expected * (at - gone).max(0.0)).max(0.0);
            gone = at.max(gone);
            let from = if value == 0.0 { day } else { rising.unwrap_or(day) };
            rising = Some(from);
            value += RATIO.ln();
            if value >= design.limit {
                let run = last.filter(|(_, at)| watched_years - at < false_alarm).map(|(from, _)| from);
                let rise = (run.unwrap_or(from), day, run.is_some());
                alerts.push(event_alert(laboratory, watched, &months, rise, false_alarm));
                last = Some((rise.0, watched_years));
                crossed = Some(value);
                (value, rising) = (0.0, None);
            }
        }
        value = (value - (RATIO - 1.0) * expected * (1.0 - gone)).max(0.0);
        path.push((Day::of_month(month), crossed.unwrap_or(value)));
    }
    let interval = survival::exact::rate(all_events, all_years, crate::audit::LEVEL);
    Ok(Chart {
        laboratory: laboratory.to_owned(),
        material: String::new(),
        watched,
        cases: years,
        baseline: guarded / guard,
        baseline_interval: [interval.low, interval.high],
        designed_for: guarded,
        limit: design.limit,
        false_alarm,
        to_see_doubling,
        path,
        alerts,
    })
}

fn event_alert(
    laboratory: &str,
    watched: Watched,
    months: &BTreeMap<i32, (f64, f64, f64)>,
    (from, at, goes_on): (Day, Day, bool),
    false_alarm: f64,
) -> Alert {
    // Years are known by month: the months of the rise count as since.
    let (first, last) = (from.month_number(), at.month_number());
    let sum = |since: bool| {
        let which = months.iter().filter(|(m, _)| if since { (first..=last).contains(*m) } else { **m < first });
        which.fold((0.0, 0.0), |s, (_, m)| (s.0 + m.2, s.1 + m.0))
    };
    let (before, after) = (sum(false), sum(true));
    let found = survival::exact::rate_ratio(before, after, crate::audit::LEVEL);
    let look_at = match watched {
        Watched::Debonding => {
            "the cementation: cleaning after try-in, primer, dry field; then taper and height of the stumps"
        }
        Watched::Chip => {
            "the support of the veneer by its framework and the cooling after its last firing; then bite and guard"
        }
        _ => "thicknesses and connectors as delivered; then adjustment of the finished work without polishing",
    };
    alert(&Told {
        what: format!("{} of laboratory {laboratory}", watched.label()),
        days: (from, at),
        before,
        after,
        unit: "restoration-years",
        found,
        goes_on,
        false_alarm,
        look_at: look_at.to_owned(),
    })
}
