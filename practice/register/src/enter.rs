//! Entering records: read the chart, check, write; again where somebody else wrote meanwhile and nothing of theirs is overwritten.

use crate::chart::Chart;
use crate::checks::refusals;
use crate::criteria::Criteria;
use crate::day::Day;
use crate::keeping::{Author, Store, Told, Trouble, Writing};
use crate::record::{Kept, Patient, Record};
use crate::standing::standing;
use answer::{Issue, Place};

/// How often a write is tried again after a conflict.
const TRIES: usize = 8;

/// What became of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Entered {
    /// It is new.
    Added,
    /// It replaced an older version.
    Changed,
    /// It stood there already, word for word.
    Unchanged,
}

/// Why records were not entered.
#[derive(Debug, thiserror::Error)]
pub enum NotEntered<E: std::error::Error> {
    /// They say what cannot be.
    #[error("the records cannot be entered: {}", .0.first().map(ToString::to_string).unwrap_or_default())]
    Refused(Vec<Issue>),
    /// The place of keeping failed.
    #[error(transparent)]
    Store(E),
}

/// The rules by which records are judged.
#[derive(Debug, Clone, Copy)]
pub struct Rules<'a> {
    /// The open criteria of recalls.
    pub criteria: &'a Criteria,
    /// Today, as the face tells it.
    pub today: Day,
}

/// Enters records of one patient, all or none, in their order; a patient not known yet is added with the pseudonym alone. A record of
/// version 0 whose key stands there already is left as it is when it says the same, and refused when it says otherwise: a change names the
/// version it was made from.
///
/// # Errors
/// [`NotEntered`].
pub fn enter<S: Store>(
    store: &mut S,
    author: &Author,
    patient: &str,
    records: &[Kept<Record>],
    rules: Rules<'_>,
) -> Result<Vec<Entered>, NotEntered<S::Error>> {
    for _ in 0..TRIES {
        let mut charts = store.charts(&[patient.to_owned()]).map_err(NotEntered::Store)?;
        let mut chart = charts.pop().unwrap_or_else(|| Chart::new(Kept::new(Patient::of_code(patient))));
        let (writing, entered) = lay(&mut chart, records, rules).map_err(NotEntered::Refused)?;
        if writing.records.is_empty() {
            return Ok(entered);
        }
        match store.write(author, &[writing], Told::Each) {
            Ok(()) => return Ok(entered),
            // Records that are all new overwrite nothing: they are checked against what is there now.
            Err(e) if S::trouble(&e) == Trouble::Conflict && records.iter().all(|r| r.version == 0) => {}
            Err(e) => return Err(NotEntered::Store(e)),
        }
    }
    let busy = Place { field: format!("patient `{patient}`"), ..Place::default() };
    Err(NotEntered::Refused(vec![Issue::error(
        busy,
        "others keep writing to this chart",
        "a moment's quiet",
        "try again",
    )]))
}

/// Lays records into a chart and gives what must be written for it.
///
/// # Errors
/// What speaks against them; the chart is then no longer of use.
pub fn lay(
    chart: &mut Chart,
    records: &[Kept<Record>],
    rules: Rules<'_>,
) -> Result<(Writing, Vec<Entered>), Vec<Issue>> {
    let seen = chart.patient.version;
    let mut changed: Vec<Kept<Record>> = Vec::new();
    let mut entered = Vec::new();
    if seen == 0 && !records.iter().any(|r| matches!(r.value, Record::Patient(_))) {
        let patient = Record::Patient(chart.patient.value.clone());
        let issues = refusals(chart, &patient, rules.criteria, rules.today);
        if !issues.is_empty() {
            return Err(issues);
        }
        changed.push(Kept::new(patient));
    }
    for record in records {
        let outcome = lay_one(chart, record, rules)?;
        if outcome != Entered::Unchanged {
            changed.push(record.clone());
        }
        entered.push(outcome);
    }
    Ok((writing(chart, seen, changed, rules.criteria), entered))
}

/// Lays one record into a chart.
///
/// # Errors
/// What speaks against it; the chart is then as it was.
pub fn lay_one(chart: &mut Chart, record: &Kept<Record>, rules: Rules<'_>) -> Result<Entered, Vec<Issue>> {
    let outcome = match chart.standing_in_for(&record.value) {
        None => Entered::Added,
        Some(old) if old.value == record.value => return Ok(Entered::Unchanged),
        Some(old) if record.version == old.version => Entered::Changed,
        Some(old) => return Err(vec![not_as_seen(&record.value, record.version, old.version)]),
    };
    let issues = refusals(chart, &record.value, rules.criteria, rules.today);
    if !issues.is_empty() {
        return Err(issues);
    }
    chart.put(record.clone());
    Ok(outcome)
}

/// What has to be written so that the store holds this chart, given the records that changed.
pub fn writing(chart: &Chart, seen: i64, records: Vec<Kept<Record>>, criteria: &Criteria) -> Writing {
    let standings =
        chart.restorations.iter().map(|h| (h.restoration.value.key.clone(), standing(h, criteria))).collect();
    Writing { patient: chart.patient.value.code.clone(), seen, records, standings }
}

fn not_as_seen(record: &Record, from: i64, now: i64) -> Issue {
    let place = Place { field: format!("{} `{}`", record.kind(), record.key()), ..Place::default() };
    let (found, remedy) = if from == 0 {
        ("this key stands there already and says otherwise".to_owned(), "give a new key, or change the old record")
    } else {
        (format!("version {now} stands there, the change was made from version {from}"), "look again, then change it")
    };
    Issue::error(place, found, "a record nobody else has changed", remedy)
}

impl Patient {
    /// A patient of whom only the pseudonym is known.
    pub fn of_code(code: &str) -> Self {
        Self { code: code.to_owned(), birth_year: None, died: None, left: None, record_number: None, note: None }
    }
}
