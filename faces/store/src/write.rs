//! Writing: all or nothing, against the versions that were seen, with a line of history for each change.

use crate::added::Added;
use crate::db::{Cell, Tx};
use crate::error::StoreError;
use crate::rows::{
    self, EVENT, PATIENT, RECALL, RESTORATION, STANDING, Sealing, TRY_IN, of_event, of_patient, of_recall,
    of_restoration, of_standing, of_try_in,
};
use register::{Author, Kept, Record, Told, Writing};
use std::collections::{BTreeMap, BTreeSet};

/// Writes within a transaction.
///
/// # Errors
/// [`StoreError::Conflict`] when a chart or record is no longer as it was seen; what the database says otherwise.
pub async fn write(
    tx: &mut Tx,
    sealing: &Sealing,
    author: &Author,
    writings: &[Writing],
    told: Told<'_>,
) -> Result<(), StoreError> {
    let mut added = Added::default();
    let mut new_records = 0;
    for writing in writings {
        touch_patient(tx, sealing, writing).await?;
        let fresh: BTreeSet<&str> = writing
            .records
            .iter()
            .filter(|r| r.version == 0 && matches!(r.value, Record::Restoration(_)))
            .map(|r| r.value.key())
            .collect();
        let standings: BTreeMap<&str, _> =
            writing.standings.iter().map(|(key, s)| (key.as_str(), s.as_ref())).collect();
        for record in &writing.records {
            if record.version == 0 {
                new_records += 1;
                added.add(&record.value, standings.get(record.value.key()).copied().flatten());
            }
            if record.version == 0 && told != Told::Each {
                continue;
            }
            let key = match &record.value {
                Record::Patient(p) => sealing.name_of(&p.code),
                other => other.key().to_owned(),
            };
            let mut before = None;
            if record.version > 0 {
                before = stands_there(tx, sealing, &record.value, &key).await?;
                change(tx, sealing, record).await?;
            }
            added.history.push(history(author, record.value.kind(), &key, record.version + 1, before));
        }
        for key in touched(writing).into_iter().filter(|k| !fresh.contains(k)) {
            stand(tx, key, standings.get(key).copied().flatten()).await?;
        }
    }
    if let (Told::Batch(origin), 1..) = (told, new_records) {
        added.history.push(history(author, "import", origin, new_records, None));
    }
    added.insert(tx, sealing).await
}

/// Restorations of a writing whose standing may have changed.
fn touched(writing: &Writing) -> BTreeSet<&str> {
    fn of(record: &Record) -> Option<&str> {
        match record {
            Record::Patient(_) => None,
            Record::Restoration(r) => Some(&r.key),
            Record::TryIn(t) => Some(&t.restoration),
            Record::Recall(r) => Some(&r.restoration),
            Record::Event(e) => Some(&e.restoration),
        }
    }
    writing.records.iter().filter_map(|r| of(&r.value)).collect()
}

/// Raises the version of a patient that was seen; whoever saw an older one is refused.
async fn touch_patient(tx: &mut Tx, sealing: &Sealing, writing: &Writing) -> Result<(), StoreError> {
    let changes_patient = writing.records.iter().any(|r| r.version > 0 && matches!(r.value, Record::Patient(_)));
    if writing.seen == 0 || changes_patient {
        return Ok(());
    }
    let sql = "UPDATE patient SET version = version + 1 WHERE key = $1 AND version = $2";
    match tx.run(sql, &[sealing.name_of(&writing.patient).into(), writing.seen.into()]).await? {
        0 => Err(StoreError::Conflict(format!("the chart of `{}`", writing.patient))),
        _ => Ok(()),
    }
}

/// Changes a record from the version that was seen.
async fn change(tx: &mut Tx, sealing: &Sealing, record: &Kept<Record>) -> Result<(), StoreError> {
    let next = record.version + 1;
    let (shape, mut cells) = match &record.value {
        Record::Patient(p) => (PATIENT, of_patient(p, next, sealing)?),
        Record::Restoration(r) => (RESTORATION, of_restoration(r, next, sealing)?),
        Record::TryIn(t) => (TRY_IN, of_try_in(t, next, sealing)?),
        Record::Recall(r) => (RECALL, of_recall(r, next, sealing)?),
        Record::Event(e) => (EVENT, of_event(e, next, sealing)?),
    };
    let names = shape.names();
    let set: Vec<String> = names.iter().enumerate().skip(1).map(|(i, n)| format!("{n} = ${}", i + 1)).collect();
    let sql =
        format!("UPDATE {} SET {} WHERE key = $1 AND version = ${}", shape.table, set.join(", "), names.len() + 1);
    cells.push(record.version.into());
    match tx.run(&sql, &cells).await? {
        0 => Err(StoreError::Conflict(format!("{} `{}`", record.value.kind(), record.value.key()))),
        _ => Ok(()),
    }
}

/// The record as it stands, as text, sealed where there is a seal; the row is held until the transaction ends, so that nobody changes it
/// between reading and writing.
async fn stands_there(
    tx: &mut Tx,
    sealing: &Sealing,
    record: &Record,
    key: &str,
) -> Result<Option<String>, StoreError> {
    let shape = match record {
        Record::Patient(_) => PATIENT,
        Record::Restoration(_) => RESTORATION,
        Record::TryIn(_) => TRY_IN,
        Record::Recall(_) => RECALL,
        Record::Event(_) => EVENT,
    };
    let hold = if matches!(tx, Tx::Pg(_)) { " FOR UPDATE" } else { "" };
    let sql = format!("SELECT {} FROM {} WHERE key = $1{hold}", shape.names().join(", "), shape.table);
    let found = tx.rows(&sql, &[key.into()], &shape.kinds()).await?;
    let Some(row) = found.first() else { return Ok(None) };
    let old = match record {
        Record::Patient(_) => Record::Patient(rows::patient(row, sealing)?.1.value),
        Record::Restoration(r) => Record::Restoration(rows::restoration(row, &r.patient, sealing)?.value),
        Record::TryIn(_) => Record::TryIn(rows::try_in(row, sealing)?.value),
        Record::Recall(_) => Record::Recall(rows::recall(row, sealing)?.value),
        Record::Event(_) => Record::Event(rows::event(row, sealing)?.value),
    };
    let text = serde_json::to_string(&old).map_err(|e| StoreError::Database(e.to_string()))?;
    let sealed = sealing.close(&before_place(record.kind(), key), Some(&text))?;
    Ok(sealed.text().map(str::to_owned))
}

/// The place for which a line of history is sealed.
pub fn before_place(kind: &str, key: &str) -> String {
    format!("history.before {kind} {key}")
}

async fn stand(tx: &mut Tx, key: &str, standing: Option<&register::Standing>) -> Result<(), StoreError> {
    let set: Vec<String> = STANDING.iter().enumerate().map(|(i, n)| format!("{n} = ${}", i + 1)).collect();
    let sql = format!("UPDATE restoration SET {} WHERE key = ${}", set.join(", "), STANDING.len() + 1);
    let mut cells = of_standing(standing);
    cells.push(key.into());
    tx.run(&sql, &cells).await?;
    Ok(())
}

fn history(author: &Author, kind: &str, key: &str, version: i64, before: Option<String>) -> Vec<Cell> {
    vec![author.at_ms.into(), author.who.as_str().into(), kind.into(), key.into(), version.into(), Cell::Text(before)]
}
