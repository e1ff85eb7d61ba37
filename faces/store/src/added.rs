//! Rows to be added, gathered over a whole write and let in table by table in the order of their keys, so that the indices of keys grow at one place
//! after another instead of everywhere at once.

use crate::db::{Cell, Column, Tx};
use crate::error::StoreError;
use crate::rows::{
    EVENT, PATIENT, RECALL, RESTORATION, STANDING, Sealing, TRY_IN, of_event, of_patient, of_recall, of_restoration,
    of_standing, of_try_in,
};
use register::{Event, Patient, Recall, Record, Restoration, Standing, TryIn};

/// What is to be added; records are made into rows only when they are let in.
#[derive(Default)]
pub struct Added<'a> {
    patients: Vec<&'a Patient>,
    restorations: Vec<(&'a Restoration, Option<&'a Standing>)>,
    try_ins: Vec<&'a TryIn>,
    recalls: Vec<&'a Recall>,
    events: Vec<&'a Event>,
    /// Lines of the history.
    pub history: Vec<Vec<Cell>>,
}

/// Rows made at once: what waits stays small.
const AT_ONCE: usize = 5_000;

/// New records from which on indices are made anew instead of kept, where no more than four times as many stand there: then the sorting costs less.
const MANY: usize = 20_000;

/// Columns of the history that a write fills.
const HISTORY: &[&str] = &["at_ms", "who", "kind", "key", "version", "before"];

impl<'a> Added<'a> {
    /// Takes a new record; a restoration with how it stands.
    pub fn add(&mut self, record: &'a Record, standing: Option<&'a Standing>) {
        match record {
            Record::Patient(p) => self.patients.push(p),
            Record::Restoration(r) => self.restorations.push((r, standing)),
            Record::TryIn(t) => self.try_ins.push(t),
            Record::Recall(r) => self.recalls.push(r),
            Record::Event(e) => self.events.push(e),
        }
    }

    fn len(&self) -> usize {
        self.patients.len() + self.restorations.len() + self.try_ins.len() + self.recalls.len() + self.events.len()
    }

    /// Lets everything in.
    ///
    /// # Errors
    /// What the database says.
    pub async fn insert(mut self, tx: &mut Tx, sealing: &Sealing) -> Result<(), StoreError> {
        self.patients.sort_by_cached_key(|p| sealing.name_of(&p.code));
        self.restorations.sort_unstable_by(|a, b| a.0.key.cmp(&b.0.key));
        self.try_ins.sort_unstable_by(|a, b| a.key.cmp(&b.key));
        self.recalls.sort_unstable_by(|a, b| a.key.cmp(&b.key));
        self.events.sort_unstable_by(|a, b| a.key.cmp(&b.key));
        let many = self.len() >= MANY;
        let anew = if many && self.outgrows(tx).await? {
            tx.without_indices(&["restoration", "try_in", "recall", "event"]).await?
        } else {
            Vec::new()
        };
        let with_standing: Vec<&str> = RESTORATION.names().into_iter().chain(STANDING.iter().copied()).collect();
        rows(tx, "patient", &PATIENT.names(), &self.patients, |p| of_patient(p, 1, sealing)).await?;
        rows(tx, "restoration", &with_standing, &self.restorations, |(r, standing)| {
            let mut row = of_restoration(r, 1, sealing)?;
            row.extend(of_standing(*standing));
            Ok(row)
        })
        .await?;
        rows(tx, "try_in", &TRY_IN.names(), &self.try_ins, |t| of_try_in(t, 1, sealing)).await?;
        rows(tx, "recall", &RECALL.names(), &self.recalls, |r| of_recall(r, 1, sealing)).await?;
        rows(tx, "event", &EVENT.names(), &self.events, |e| of_event(e, 1, sealing)).await?;
        tx.insert("history", HISTORY, self.history).await?;
        for index in anew {
            tx.run(&index, &[]).await?;
        }
        if many {
            tx.looked_at(&["patient", "restoration", "try_in", "recall", "event"]).await?;
        }
        Ok(())
    }

    /// Whether so much is added, to a file that holds not much more, that its indices are better made anew.
    async fn outgrows(&self, tx: &mut Tx) -> Result<bool, StoreError> {
        if matches!(tx, Tx::Pg(_)) {
            return Ok(false);
        }
        let mut there = 0;
        for table in ["restoration", "try_in", "recall", "event"] {
            let sql = format!("SELECT COALESCE(MAX(rowid), 0) FROM {table}");
            let found = tx.rows(&sql, &[], &[Column::Int]).await?;
            there += found.first().and_then(|r| r.first()?.int()).unwrap_or(0);
        }
        Ok(there <= 4 * i64::try_from(self.len()).unwrap_or(i64::MAX))
    }
}

/// Makes and lets in rows of one table, a few at a time.
async fn rows<T>(
    tx: &mut Tx,
    table: &str,
    names: &[&str],
    records: &[T],
    row: impl Fn(&T) -> Result<Vec<Cell>, StoreError>,
) -> Result<(), StoreError> {
    for part in records.chunks(AT_ONCE) {
        let rows = part.iter().map(&row).collect::<Result<Vec<_>, _>>()?;
        tx.insert(table, names, rows).await?;
    }
    Ok(())
}
