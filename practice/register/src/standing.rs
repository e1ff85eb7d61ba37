//! How a restoration stands: survival and success times derived from its recalls and events. The one place where these are defined.
//!
//! - **Survival**: in place, with or without modification (Pjetursson et al. 2008, Clin Oral Implants Res). It ends with the first event whose
//!   consequence is made anew, removed or tooth lost, at the day it happened, else at the day it was found.
//! - **Success**: in place and free of every complication during the whole time (Pjetursson et al. 2004, Clin Oral Implants Res 15:654). It ends with the
//!   first event of any consequence, or with the first recall scored as a failure of success (`data/outcome_criteria.csv`).
//! - **Censoring**: the day on which it was last seen in place. A patient's death, departure or silence adds no time: what nobody
//!   looked at is not counted as standing. Replacement for other reasons ends the follow-up without being a failure.
//! - **Failures found at a recall** happened between the last day it was seen good and the day they were found; both are kept.
//!
//! Days count from placing. An event on the day of placing counts at day 1, since a time of 0 is at risk in no method.

use crate::chart::Held;
use crate::criteria::{Criteria, Finding};
use crate::day::Day;
use crate::words::EventKind;
use serde::{Deserialize, Serialize};

/// How a placed restoration stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Standing {
    /// Day of placing.
    pub placed: Day,
    /// Days under observation: to the end, or to the last time it was seen in place; 0 when never seen again.
    pub days: i32,
    /// Days after placing at which it was last seen good before its end; equal to `days` while it stands or when the day is known.
    pub good_days: i32,
    /// What ended it; none while it stands.
    pub ended_by: Option<EventKind>,
    /// Days to the first trouble of any kind, where there was one.
    pub trouble_days: Option<i32>,
    /// What that was.
    pub trouble: Option<EventKind>,
    /// Number of events that did not end it.
    pub complications: i32,
}

impl Standing {
    /// True when it was lost, not merely replaced for other reasons.
    pub fn is_lost(&self) -> bool {
        self.ended_by.is_some_and(EventKind::is_failure)
    }

    /// Days to the end of success, and what ended it; the follow-up's days and none while it is a success.
    pub fn success(&self) -> (i32, Option<EventKind>) {
        match (self.trouble_days, self.trouble) {
            (Some(days), kind @ Some(_)) => (days, kind),
            _ => (self.days, self.ended_by),
        }
    }
}

/// How it stands; none while it is not placed.
pub fn standing(held: &Held, criteria: &Criteria) -> Option<Standing> {
    let placed = held.restoration.value.placed?;
    let after = |day: Day| day.since(placed).max(0);
    let end = held.ended_by();
    let mut events: Vec<_> = held.events.iter().map(|e| &e.value).collect();
    events.sort_by(|a, b| (a.day(), a.found, &a.key).cmp(&(b.day(), b.found, &b.key)));
    let seen_good = held
        .recalls
        .iter()
        .map(|r| r.value.day)
        .chain(events.iter().filter(|e| !e.consequence.ends_it()).map(|e| e.found))
        .filter(|day| end.is_none_or(|e| *day < e.found))
        .map(after)
        .max()
        .unwrap_or(0);
    let (days, good_days) = match end {
        None => (seen_good, seen_good),
        Some(e) if e.happened.is_some() => (after(e.day()).max(1), after(e.day()).max(1)),
        Some(e) => (after(e.found).max(1), seen_good),
    };
    let scored = held
        .recalls
        .iter()
        .filter(|r| criteria.finding(&r.value) >= Finding::NotSuccess)
        .map(|r| (after(r.value.day).max(1), EventKind::Other));
    let first = events
        .iter()
        .filter(|e| e.kind.is_failure())
        .map(|e| (after(e.day()).max(1), e.kind))
        .chain(scored)
        .filter(|(day, _)| *day <= days.max(1))
        .min_by_key(|(day, _)| *day);
    Some(Standing {
        placed,
        days,
        good_days,
        ended_by: end.map(|e| e.kind),
        trouble_days: first.map(|f| f.0),
        trouble: first.map(|f| f.1),
        complications: i32::try_from(events.iter().filter(|e| !e.consequence.ends_it()).count()).unwrap_or(i32::MAX),
    })
}
