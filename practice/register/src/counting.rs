//! Counts that come back from a place of keeping instead of rows: risk sets and events by time, sums over patients, try-ins by month.
//!
//! Everything an audit or a watch needs is a count, so the place that holds the rows does the counting; [`Counting`] is what it is asked.
//! [`count_in_memory`] is the plain reference the others are tested against.

use crate::day::{DAYS_A_YEAR, Day};
use crate::words::{EventKind, Grouping};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Which end is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Endpoint {
    /// In place.
    Survival,
    /// In place and free of every complication.
    Success,
}

/// What is counted: the end, how restorations are told apart, and which of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The end.
    pub endpoint: Endpoint,
    /// Told apart by.
    pub by: Grouping,
    /// Only those of these values (all must hold).
    pub only: Vec<(Grouping, String)>,
    /// A restoration that stands but was last seen before this day has dropped out.
    pub seen_since: Day,
}

impl Question {
    /// Cells of the own arms that a question is about, as far as its conditions are those of cells.
    pub fn mix_of(&self, arms: &[ArmCount]) -> Vec<ArmCount> {
        let place = |g: Grouping| match g {
            Grouping::Construct => Some(0),
            Grouping::Material => Some(1),
            Grouping::Build => Some(2),
            Grouping::Region => Some(3),
            Grouping::Laboratory => Some(4),
            _ => None,
        };
        let fits = |a: &&ArmCount| self.only.iter().all(|(g, v)| place(*g).is_none_or(|i| a.cell[i] == *v));
        arms.iter().filter(fits).cloned().collect()
    }
}

/// Restorations of one group that ended, or were last seen, after the same time.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EndCount {
    /// Group; empty where all are taken together.
    pub group: String,
    /// Days under observation.
    pub days: i32,
    /// What ended it; none for one that stood when last seen.
    pub cause: Option<EventKind>,
    /// True for one that stood when last seen and has dropped out: gone, or not seen for too long (death is no dropping out).
    pub dropped: bool,
    /// How many.
    pub count: i64,
}

/// Sums over the patients of a group, by which clustering is measured: d events and e years under observation a patient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ClusterSums {
    /// Group.
    pub group: String,
    /// Restorations.
    pub restorations: i64,
    /// Patients.
    pub patients: i64,
    /// Sum of d.
    pub events: f64,
    /// Sum of e.
    pub years: f64,
    /// Sum of d^2.
    pub events_squared: f64,
    /// Sum of d e.
    pub events_years: f64,
    /// Sum of e^2.
    pub years_squared: f64,
}

impl ClusterSums {
    /// Variance of the rate with whole patients as units over that of independent events, never below 1:
    /// `sum (d - r e)^2 / sum d`, r the rate (ratio estimator; Cochran W.G., Sampling Techniques, 3rd ed., 1977, chapter 6), with the
    /// factor m/(m-1) for m patients. 1 where there is no event or one patient only.
    pub fn design_effect(&self) -> f64 {
        let m = self.patients as f64;
        if self.events < 1.0 || m < 2.0 || self.years <= 0.0 {
            return 1.0;
        }
        let r = self.events / self.years;
        let sum = self.events_squared - 2.0 * r * self.events_years + r * r * self.years_squared;
        (sum / self.events * m / (m - 1.0)).max(1.0)
    }
}

/// Try-ins of one laboratory, material and day: charts take cases one by one, and a day's are nearly that.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct TryInCount {
    /// Laboratory; empty where none is given.
    pub laboratory: String,
    /// Material word.
    pub material: String,
    /// Day.
    pub day: Day,
    /// Try-ins.
    pub tried: i64,
    /// Adjusted for more than two minutes.
    pub adjusted: i64,
    /// Sent back.
    pub sent_back: i64,
    /// Of those not fitted at once, how many for each cause, in the order of `Misfit::ALL`.
    pub causes: [i64; 5],
}

/// Restorations of one cell of evidence and one laboratory: what an arm is made of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ArmCount {
    /// Construct, material, build, region, laboratory, as words.
    pub cell: [String; 5],
    /// Restorations.
    pub restorations: i64,
    /// Patients.
    pub patients: i64,
    /// Days under observation, summed.
    pub days: i64,
    /// Lost, all causes.
    pub losses: i64,
    /// Year of the first and the last placing.
    pub years: [i32; 2],
}

/// Events of one cell and laboratory.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct ArmEvents {
    /// As in [`ArmCount::cell`].
    pub cell: [String; 5],
    /// Kind.
    pub kind: EventKind,
    /// True when the restoration ended with it.
    pub ended: bool,
    /// How many.
    pub count: i64,
}

/// Restorations of one laboratory and material by the month of placing and of the first trouble, or of the last look.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct CohortCount {
    /// Laboratory.
    pub laboratory: String,
    /// Material word.
    pub material: String,
    /// Month of placing.
    pub placed: i32,
    /// Month of the first trouble, or of the last look.
    pub until: i32,
    /// First trouble.
    pub trouble: Option<EventKind>,
    /// Its day: charts take events one by one.
    pub on: Option<Day>,
    /// True when the patient is gone or dead, so that nobody will look again.
    pub gone: bool,
    /// How many.
    pub count: i64,
}

/// A restoration that stands and should be seen again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Due {
    /// Restoration.
    pub restoration: String,
    /// Pseudonym.
    pub patient: String,
    /// Teeth.
    pub teeth: String,
    /// Last seen, or placed.
    pub last_seen: Day,
}

/// Contents of the register at a glance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Totals {
    /// Patients.
    pub patients: i64,
    /// Restorations.
    pub restorations: i64,
    /// Of them placed.
    pub placed: i64,
    /// Try-ins.
    pub try_ins: i64,
    /// Recalls.
    pub recalls: i64,
    /// Events.
    pub events: i64,
}

/// A place that counts.
pub trait Counting {
    /// Its errors.
    type Error: std::error::Error;

    /// Totals.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn totals(&mut self) -> Result<Totals, Self::Error>;

    /// Ends by time and cause, in the order of group, days and cause.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn ends(&mut self, question: &Question) -> Result<Vec<EndCount>, Self::Error>;

    /// Sums over patients, in the order of groups.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn clusters(&mut self, question: &Question) -> Result<Vec<ClusterSums>, Self::Error>;

    /// Finished try-ins by laboratory, material and month, in that order.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn try_in_counts(&mut self) -> Result<Vec<TryInCount>, Self::Error>;

    /// Cohorts by laboratory and material.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn cohorts(&mut self) -> Result<Vec<CohortCount>, Self::Error>;

    /// What arms are made of: restorations, and their events, by cell and laboratory.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn arm_counts(&mut self) -> Result<(Vec<ArmCount>, Vec<ArmEvents>), Self::Error>;

    /// Standing restorations last seen before a day, longest ago first, at most so many, and how many there are in all; patients who are
    /// gone or dead are left out.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn due(&mut self, before: Day, most: usize) -> Result<(Vec<Due>, i64), Self::Error>;
}

/// One restoration as far as counting goes.
#[derive(Debug, Clone, PartialEq)]
pub struct Counted {
    /// Pseudonym, or whatever tells patients apart.
    pub patient: String,
    /// Values by which it is told apart.
    pub values: BTreeMap<Grouping, String>,
    /// Days and end.
    pub ends: BTreeMap<Endpoint, (i32, Option<EventKind>)>,
    /// Last seen.
    pub last_seen: Day,
    /// Patient left.
    pub left: bool,
    /// Patient died.
    pub died: bool,
}

/// The counts of [`Counting::ends`] and [`Counting::clusters`] from restorations one by one: the reference.
pub fn count_in_memory(rows: &[Counted], question: &Question) -> (Vec<EndCount>, Vec<ClusterSums>) {
    let mut ends: BTreeMap<(String, i32, Option<EventKind>, bool), i64> = BTreeMap::new();
    let mut patients: BTreeMap<(String, &str), (i64, f64, f64)> = BTreeMap::new();
    for row in rows.iter().filter(|r| question.only.iter().all(|(g, v)| r.values.get(g) == Some(v))) {
        let group = row.values.get(&question.by).cloned().unwrap_or_default();
        let Some((days, cause)) = row.ends.get(&question.endpoint).copied() else { continue };
        let dropped = cause.is_none() && !row.died && (row.left || row.last_seen < question.seen_since);
        *ends.entry((group.clone(), days, cause, dropped)).or_default() += 1;
        let sums = patients.entry((group, &row.patient)).or_default();
        sums.0 += 1;
        sums.1 += f64::from(u8::from(cause.is_some_and(EventKind::is_failure)));
        sums.2 += f64::from(days) / DAYS_A_YEAR;
    }
    let mut clusters: BTreeMap<String, ClusterSums> = BTreeMap::new();
    for ((group, _), (n, d, e)) in patients {
        let sums = clusters.entry(group.clone()).or_insert_with(|| ClusterSums {
            group,
            restorations: 0,
            patients: 0,
            events: 0.0,
            years: 0.0,
            events_squared: 0.0,
            events_years: 0.0,
            years_squared: 0.0,
        });
        sums.restorations += n;
        sums.patients += 1;
        sums.events += d;
        sums.years += e;
        sums.events_squared += d * d;
        sums.events_years += d * e;
        sums.years_squared += e * e;
    }
    let ends = ends
        .into_iter()
        .map(|((group, days, cause, dropped), count)| EndCount { group, days, cause, dropped, count })
        .collect();
    (ends, clusters.into_values().collect())
}
