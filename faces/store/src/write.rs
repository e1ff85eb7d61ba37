//! Writing: all or nothing, against the versions that were seen, with a line of history for each change.

use crate::db::{Cell, Tx};
use crate::error::StoreError;
use crate::rows::{
    self, EVENT, PATIENT, RECALL, RESTORATION, STANDING, Sealing, TRY_IN, of_event, of_patient, of_recall,
    of_restoration, of_standing, of_try_in,
};
use register::{Author, Kept, Record, Told, Writing};
use std::collections::{BTreeMap, BTreeSet};

/// Rows to be added, by table.
#[derive(Default)]
struct Added {
    patients: Vec<Vec<Cell>>,
    restorations: Vec<Vec<Cell>>,
    try_ins: Vec<Vec<Cell>>,
    recalls: Vec<Vec<Cell>>,
    events: Vec<Vec<Cell>>,
    history: Vec<Vec<Cell>>,
}

/// Writings after which rows so far are handed to the database: what waits stays small.
const AT_ONCE: usize = 5_000;

/// Columns of the history that a write fills.
const HISTORY: &[&str] = &["at_ms", "who", "kind", "key", "version", "before"];

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
    for (n, writing) in writings.iter().enumerate() {
        if n > 0 && n % AT_ONCE == 0 {
            insert(tx, std::mem::take(&mut added)).await?;
        }
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
            let key = match &record.value {
                Record::Patient(p) => sealing.name_of(&p.code),
                other => other.key().to_owned(),
            };
            let mut before = None;
            if record.version == 0 {
                new_records += 1;
                add(&mut added, record, sealing, &standings)?;
            } else {
                before = stands_there(tx, sealing, &record.value, &key).await?;
                change(tx, sealing, record).await?;
            }
            if record.version > 0 || told == Told::Each {
                added.history.push(history(author, record.value.kind(), &key, record.version + 1, before));
            }
        }
        for key in touched(writing).into_iter().filter(|k| !fresh.contains(k.as_str())) {
            stand(tx, &key, standings.get(key.as_str()).copied().flatten()).await?;
        }
    }
    if let (Told::Batch(origin), 1..) = (told, new_records) {
        added.history.push(history(author, "import", origin, new_records, None));
    }
    insert(tx, added).await
}

/// Restorations of a writing whose standing may have changed.
fn touched(writing: &Writing) -> BTreeSet<String> {
    let of = |record: &Record| match record {
        Record::Patient(_) => None,
        Record::Restoration(r) => Some(r.key.clone()),
        Record::TryIn(t) => Some(t.restoration.clone()),
        Record::Recall(r) => Some(r.restoration.clone()),
        Record::Event(e) => Some(e.restoration.clone()),
    };
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

fn add(
    added: &mut Added,
    record: &Kept<Record>,
    sealing: &Sealing,
    standings: &BTreeMap<&str, Option<&register::Standing>>,
) -> Result<(), StoreError> {
    match &record.value {
        Record::Patient(p) => added.patients.push(of_patient(p, 1, sealing)?),
        Record::Restoration(r) => {
            let mut row = of_restoration(r, 1, sealing)?;
            row.extend(of_standing(standings.get(r.key.as_str()).copied().flatten()));
            added.restorations.push(row);
        }
        Record::TryIn(t) => added.try_ins.push(of_try_in(t, 1, sealing)?),
        Record::Recall(r) => added.recalls.push(of_recall(r, 1, sealing)?),
        Record::Event(e) => added.events.push(of_event(e, 1, sealing)?),
    }
    Ok(())
}

async fn insert(tx: &mut Tx, added: Added) -> Result<(), StoreError> {
    let with_standing: Vec<&str> = RESTORATION.names().into_iter().chain(STANDING.iter().copied()).collect();
    tx.insert("patient", &PATIENT.names(), &added.patients).await?;
    tx.insert("restoration", &with_standing, &added.restorations).await?;
    tx.insert("try_in", &TRY_IN.names(), &added.try_ins).await?;
    tx.insert("recall", &RECALL.names(), &added.recalls).await?;
    tx.insert("event", &EVENT.names(), &added.events).await?;
    tx.insert("history", HISTORY, &added.history).await
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
