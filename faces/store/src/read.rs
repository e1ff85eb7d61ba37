//! Reading charts and the history.

use crate::db::{Cell, Column, Tx};
use crate::error::StoreError;
use crate::rows::{self, EVENT, PATIENT, RECALL, RESTORATION, Sealing, Shape, TRY_IN};
use crate::write::before_place;
use register::{Chart, Held};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A line of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HistoryLine {
    /// Running number.
    pub seq: i64,
    /// When: milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
    /// Who.
    pub who: String,
    /// Kind of record, or `import` for a whole batch.
    pub kind: String,
    /// Key of the record; for a batch where it came from.
    pub key: String,
    /// Version it got; for a batch the number of records.
    pub version: i64,
    /// What stood there before, as JSON; none for what was new.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
}

/// Patients a query asks for at once.
const AT_ONCE: usize = 500;

/// Charts of these patients (by row key), in the order of row keys.
///
/// # Errors
/// What the database says; [`StoreError::Damaged`] for rows that cannot be read.
pub async fn charts(tx: &mut Tx, sealing: &Sealing, keys: &[String]) -> Result<Vec<Chart>, StoreError> {
    let mut charts = Vec::new();
    for part in keys.chunks(AT_ONCE) {
        charts.extend(some_charts(tx, sealing, part).await?);
    }
    Ok(charts)
}

async fn some_charts(tx: &mut Tx, sealing: &Sealing, keys: &[String]) -> Result<Vec<Chart>, StoreError> {
    let list = tx.places(keys.len());
    let cells: Vec<Cell> = keys.iter().map(|k| k.as_str().into()).collect();
    let of = |shape: &Shape, filter: &str| {
        let names: Vec<String> = shape.names().iter().map(|n| format!("{}.{n}", shape.table)).collect();
        let join = if filter.starts_with("restoration.") && shape.table != "restoration" {
            format!(" JOIN restoration ON restoration.key = {}.restoration", shape.table)
        } else {
            String::new()
        };
        format!(
            "SELECT {} FROM {}{join} WHERE {filter} IN ({list}) ORDER BY {}.key",
            names.join(", "),
            shape.table,
            shape.table
        )
    };
    let mut charts: Vec<Chart> = Vec::new();
    let mut chart_of: BTreeMap<String, usize> = BTreeMap::new();
    for row in tx.rows(&of(&PATIENT, "patient.key"), &cells, &PATIENT.kinds()).await? {
        let (key, patient) = rows::patient(&row, sealing)?;
        chart_of.insert(key, charts.len());
        charts.push(Chart::new(patient));
    }
    let mut place_of: BTreeMap<String, (usize, usize)> = BTreeMap::new();
    for row in tx.rows(&of(&RESTORATION, "restoration.patient"), &cells, &RESTORATION.kinds()).await? {
        let Some(at) = row.get(1).and_then(Cell::text).and_then(|k| chart_of.get(k)).copied() else { continue };
        let Some(chart) = charts.get_mut(at) else { continue };
        let restoration = rows::restoration(&row, &chart.patient.value.code, sealing)?;
        place_of.insert(restoration.value.key.clone(), (at, chart.restorations.len()));
        chart.restorations.push(Held::new(restoration));
    }
    for (shape, which) in [(&TRY_IN, 0), (&RECALL, 1), (&EVENT, 2)] {
        for row in tx.rows(&of(shape, "restoration.patient"), &cells, &shape.kinds()).await? {
            let place = row.get(1).and_then(Cell::text).and_then(|k| place_of.get(k)).copied();
            let Some(held) = place.and_then(|(c, r)| charts.get_mut(c)?.restorations.get_mut(r)) else { continue };
            match which {
                0 => held.try_ins.push(rows::try_in(&row, sealing)?),
                1 => held.recalls.push(rows::recall(&row, sealing)?),
                _ => held.events.push(rows::event(&row, sealing)?),
            }
        }
    }
    Ok(charts)
}

/// Row keys of all patients after one, at most so many, in order.
///
/// # Errors
/// What the database says.
pub async fn patients_after(tx: &mut Tx, after: &str, most: i64) -> Result<Vec<String>, StoreError> {
    let sql = "SELECT key FROM patient WHERE key > $1 ORDER BY key LIMIT $2";
    let rows = tx.rows(sql, &[after.into(), most.into()], &[Column::Text]).await?;
    Ok(rows.iter().filter_map(|r| r.first()?.text().map(str::to_owned)).collect())
}

/// Lines of the history: of one record, or all after a running number.
///
/// # Errors
/// What the database says; [`StoreError::Damaged`] for a sealed line that was changed.
pub async fn history(
    tx: &mut Tx,
    sealing: &Sealing,
    of: Option<(&str, &str)>,
    after: i64,
    most: i64,
) -> Result<Vec<HistoryLine>, StoreError> {
    use Column::{Int, Text};
    let columns = [Int, Int, Text, Text, Text, Int, Text];
    let head = "SELECT seq, at_ms, who, kind, key, version, before FROM history WHERE seq > $1";
    let rows = match of {
        Some((kind, key)) => {
            let key = if kind == "patient" { sealing.name_of(key) } else { key.to_owned() };
            let sql = format!("{head} AND kind = $3 AND key = $4 ORDER BY seq LIMIT $2");
            tx.rows(&sql, &[after.into(), most.into(), kind.into(), key.into()], &columns).await?
        }
        None => tx.rows(&format!("{head} ORDER BY seq LIMIT $2"), &[after.into(), most.into()], &columns).await?,
    };
    rows.iter()
        .map(|row| {
            let text = |i: usize| row.get(i).and_then(Cell::text).unwrap_or_default().to_owned();
            let whole = |i: usize| row.get(i).and_then(Cell::int).unwrap_or_default();
            let (kind, key) = (text(3), text(4));
            let before = match row.get(6) {
                Some(cell) => sealing.open(&before_place(&kind, &key), cell)?,
                None => None,
            };
            Ok(HistoryLine { seq: whole(0), at_ms: whole(1), who: text(2), kind, key, version: whole(5), before })
        })
        .collect()
}

/// Row key and pseudonym of patients by row key.
///
/// # Errors
/// As [`charts`].
pub async fn patients(tx: &mut Tx, sealing: &Sealing, keys: &[String]) -> Result<Vec<(String, String)>, StoreError> {
    let list = tx.places(keys.len());
    let sql = format!("SELECT {} FROM patient WHERE key IN ({list})", PATIENT.names().join(", "));
    let cells: Vec<Cell> = keys.iter().map(|k| k.as_str().into()).collect();
    let rows = tx.rows(&sql, &cells, &PATIENT.kinds()).await?;
    rows.iter().map(|row| rows::patient(row, sealing).map(|(key, p)| (key, p.value.code))).collect()
}
