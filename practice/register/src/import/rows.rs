//! Records of a table to charts, charts to a store.

use super::Layout;
use super::fields::{Fields, Reading};
use crate::chart::Chart;
use crate::day::Day;
use crate::enter::{Entered, Rules, lay_one, writing};
use crate::keeping::{Store, Told, Writing};
use crate::record::{Kept, Patient, Record};
use crate::work::Work;
use answer::{Interrupted, Issue, Place, Progress};
use std::collections::BTreeMap;
use table::Table;

/// A row that was not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Line in the file.
    pub line: usize,
    /// Why.
    pub issue: Issue,
}

/// What an import did, or would do.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Taken {
    /// Rows read.
    pub rows: usize,
    /// Records added.
    pub added: usize,
    /// Records that stood there already.
    pub unchanged: usize,
    /// Rows that were not taken, or not wholly, by line.
    pub refused: Vec<Refused>,
}

/// Why nothing was taken.
#[derive(Debug, thiserror::Error)]
pub enum NotTaken<E: std::error::Error> {
    /// It was asked to stop.
    #[error(transparent)]
    Interrupted(#[from] Interrupted),
    /// The store failed.
    #[error("{0}")]
    Store(E),
}

/// Patients whose charts are read and written at once.
const AT_ONCE: usize = 2_000;

/// Rows as records, by patient.
pub struct Import {
    patients: BTreeMap<String, Vec<(usize, Record)>>,
    file: String,
    taken: Taken,
}

impl Import {
    /// Reads a table by a layout; `today` settles years of two digits.
    ///
    /// # Errors
    /// When the table lacks a mapped column.
    pub fn read(table: &Table, layout: &Layout, today: Day) -> Result<Self, Vec<Issue>> {
        let columns: Vec<&str> = layout.columns.values().map(String::as_str).collect();
        table.require(&columns)?;
        let mut import = Self {
            patients: BTreeMap::new(),
            file: table.file().to_owned(),
            taken: Taken { rows: table.rows().len(), ..Taken::default() },
        };
        let reading = Reading::new(table, layout, today);
        for row in table.rows() {
            match (Fields { row, reading: &reading }).records() {
                Ok((patient, records)) => {
                    let line = row.line();
                    let list = import.patients.entry(patient).or_default();
                    list.extend(records.into_iter().map(|r| (line, r)));
                }
                Err(issue) => import.taken.refused.push(Refused { line: row.line(), issue }),
            }
        }
        Ok(import)
    }

    /// Reads a table's text by a layout.
    ///
    /// # Errors
    /// When the text is no table, or lacks a mapped column.
    pub fn of_text(file: &str, text: &str, layout: &Layout, today: Day) -> Result<Self, Vec<Issue>> {
        let table = Table::parse_separated(file, text, layout.separator).map_err(|mut issues| {
            let one_column = issues.iter_mut().filter(|i| i.found.contains("one single column"));
            one_column
                .for_each(|i| i.remedy = "say in the layout what parts them: separator = \";\" or \"\\t\"".into());
            issues
        })?;
        Self::read(&table, layout, today)
    }

    /// Checks everything against the store and writes what can be taken, in one go, unless `dry_run`. Progress counts patients: checked is half of
    /// the way, written the rest; the writing itself is not stopped.
    ///
    /// # Errors
    /// When the store fails or the work is stopped; nothing was written then.
    pub fn take<S: Store>(
        mut self,
        work: &mut Work<'_, S>,
        dry_run: bool,
        progress: &dyn Progress,
    ) -> Result<Taken, NotTaken<S::Error>> {
        let mut writings: Vec<Writing> = Vec::new();
        let codes: Vec<String> = self.patients.keys().cloned().collect();
        let all = if dry_run { codes.len() } else { 2 * codes.len() };
        for (i, part) in codes.chunks(AT_ONCE).enumerate() {
            progress.check(i * AT_ONCE, all)?;
            let charts = work.store.charts(part).map_err(NotTaken::Store)?;
            let mut known: BTreeMap<String, Chart> =
                charts.into_iter().map(|c| (c.patient.value.code.clone(), c)).collect();
            for code in part {
                let chart = known.remove(code).unwrap_or_else(|| Chart::new(Kept::new(Patient::of_code(code))));
                if let Some(writing) = self.one_patient(chart, code, work.rules) {
                    writings.push(writing);
                }
            }
        }
        progress.check(codes.len(), all)?;
        self.taken.refused.sort_by_key(|r| r.line);
        if !dry_run && !writings.is_empty() {
            work.store.write(work.author, &writings, Told::Batch(&self.file)).map_err(NotTaken::Store)?;
        }
        Ok(self.taken)
    }

    fn one_patient(&mut self, mut chart: Chart, code: &str, rules: Rules<'_>) -> Option<Writing> {
        let seen = chart.patient.version;
        let mut records = self.patients.remove(code).unwrap_or_default();
        // Restorations first, then what happened to them in the order of time.
        records.sort_by_key(|(line, r)| (order(r), *line));
        let mut changed: Vec<Kept<Record>> = Vec::new();
        let patient = Record::Patient(chart.patient.value.clone());
        if seen == 0 && !records.iter().any(|(_, r)| matches!(r, Record::Patient(_))) {
            let issues = crate::checks::refusals(&chart, &patient, rules.criteria, rules.today);
            if let Some(issue) = issues.into_iter().next() {
                self.refuse_all(&records, &issue);
                return None;
            }
            changed.push(Kept::new(patient));
        }
        for (line, record) in records {
            // Of a patient known already, a file tells only what was not known.
            if matches!(record, Record::Patient(_)) && (seen > 0 || changed.iter().any(|c| c.value == record)) {
                self.taken.unchanged += 1;
                continue;
            }
            let kept = Kept::new(record);
            match lay_one(&mut chart, &kept, rules) {
                Ok(Entered::Unchanged) => self.taken.unchanged += 1,
                Ok(_) => {
                    // Within this import the record stands there now, in its first version.
                    self.taken.added += 1;
                    changed.push(kept);
                }
                Err(issues) => {
                    let place = Place { line: Some(line), file: self.file.clone(), ..Place::default() };
                    for mut issue in issues.into_iter().take(1) {
                        issue.place = Place { field: issue.place.field, ..place.clone() };
                        self.taken.refused.push(Refused { line, issue });
                    }
                }
            }
        }
        let patient_is_there = seen > 0 || changed.iter().any(|c| matches!(c.value, Record::Patient(_)));
        (!changed.is_empty() && patient_is_there).then(|| writing(&chart, seen, changed, rules.criteria))
    }

    fn refuse_all(&mut self, records: &[(usize, Record)], issue: &Issue) {
        let mut lines: Vec<usize> = records.iter().map(|r| r.0).collect();
        lines.dedup();
        for line in lines {
            let place =
                Place { line: Some(line), file: self.file.clone(), field: issue.place.field.clone(), column: None };
            self.taken.refused.push(Refused { line, issue: Issue { place, ..issue.clone() } });
        }
    }
}

fn order(record: &Record) -> (u8, Day) {
    let first = Day::from_number(i32::MIN);
    match record {
        Record::Patient(_) => (0, first),
        Record::Restoration(r) => (1, r.placed.unwrap_or(first)),
        Record::TryIn(t) => (2, t.day),
        // A recall of the day on which an end was found came before it.
        Record::Recall(r) => (3, r.day),
        Record::Event(e) => (4, e.found),
    }
}
