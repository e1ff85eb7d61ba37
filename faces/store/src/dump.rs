//! Everything as lines of JSON, and back to the same: records with their versions, patient by patient, then the history.

use crate::db::{Cell, Tx};
use crate::error::StoreError;
use crate::keeper::Keeper;
use crate::open::FORM;
use crate::read::{self, HistoryLine};
use crate::rows::{
    EVENT, PATIENT, RECALL, RESTORATION, STANDING, Sealing, TRY_IN, of_event, of_patient, of_recall, of_restoration,
    of_standing, of_try_in,
};
use crate::write::before_place;
use register::{Chart, Criteria, standing};
use serde::{Deserialize, Serialize};
use std::io::{BufRead, Write};

/// Patients read at once, and charts written at once.
const AT_ONCE: i64 = 500;
/// Longest line taken in, bytes.
const LONGEST_LINE: u64 = 64 * 1024 * 1024;

/// A line of an export.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Line {
    /// First line: what it is and in which form.
    BisqueRegister {
        /// Form of the tables.
        form: i64,
        /// Form of the records.
        schema: u32,
    },
    /// A patient with everything.
    Chart(Box<Chart>),
    /// A line of history.
    History(HistoryLine),
    /// Last line: how many lines of each kind stand before it, so that a cut file is seen.
    End {
        /// Charts.
        charts: u64,
        /// Lines of history.
        history: u64,
    },
}

fn unwritable(e: &std::io::Error) -> StoreError {
    if e.kind() == std::io::ErrorKind::StorageFull {
        return StoreError::Full;
    }
    StoreError::Unreadable { what: "export", why: e.to_string() }
}

fn put(out: &mut dyn Write, line: &Line) -> Result<(), StoreError> {
    serde_json::to_writer(&mut *out, line).map_err(|e| unwritable(&std::io::Error::from(e)))?;
    out.write_all(b"\n").map_err(|e| unwritable(&e))
}

impl Keeper {
    /// Writes everything as lines of JSON, unsealed, in the order of pseudonyms; the same contents give the same bytes.
    ///
    /// # Errors
    /// When the place cannot be read, or `out` not written.
    pub fn dump(&mut self, out: &mut dyn Write) -> Result<(), StoreError> {
        self.runtime.block_on(async {
            put(out, &Line::BisqueRegister { form: FORM, schema: register::SCHEMA })?;
            let (db, sealing) = (&self.db, &self.sealing);
            // One state throughout, whoever writes meanwhile.
            let mut tx = db.snapshot().await?;
            // Row keys are hashes where there is a seal: the order of pseudonyms is made here.
            let mut names: Vec<(String, String)> = Vec::new();
            let mut after = String::new();
            loop {
                let keys = read::patients_after(&mut tx, &after, AT_ONCE).await?;
                let Some(last) = keys.last() else { break };
                after.clone_from(last);
                for chart in read::patients(&mut tx, sealing, &keys).await? {
                    names.push((chart.1, chart.0));
                }
            }
            names.sort();
            for part in names.chunks(AT_ONCE as usize) {
                let keys: Vec<String> = part.iter().map(|n| n.1.clone()).collect();
                let mut charts = read::charts(&mut tx, sealing, &keys).await?;
                charts.sort_by(|a, b| a.patient.value.code.cmp(&b.patient.value.code));
                for mut chart in charts {
                    in_order(&mut chart);
                    put(out, &Line::Chart(Box::new(chart)))?;
                }
            }
            let code_of: std::collections::BTreeMap<&str, &str> =
                names.iter().map(|(code, key)| (key.as_str(), code.as_str())).collect();
            let (mut seq, mut lines) = (i64::MIN, 0);
            loop {
                let history = read::history(&mut tx, sealing, None, seq, 10_000).await?;
                let Some(last) = history.last() else { break };
                seq = last.seq;
                for mut line in history {
                    if line.kind == "patient"
                        && let Some(code) = code_of.get(line.key.as_str())
                    {
                        line.key = (*code).to_owned();
                    }
                    put(out, &Line::History(line))?;
                    lines += 1;
                }
            }
            put(out, &Line::End { charts: names.len() as u64, history: lines })?;
            out.flush().map_err(|e| unwritable(&e))
        })
    }

    /// Takes an export into an empty register: records, versions and history become what they were. All or nothing.
    ///
    /// # Errors
    /// [`StoreError::NotEmpty`]; [`StoreError::Unreadable`] with the line that cannot be read.
    pub fn load(&mut self, input: &mut dyn BufRead, criteria: &Criteria) -> Result<(), StoreError> {
        let (db, sealing) = (&self.db, &self.sealing);
        self.runtime.block_on(async {
            let mut tx = db.begin().await?;
            let held = tx.rows("SELECT 1 FROM patient LIMIT 1", &[], &[]).await?.len()
                + tx.rows("SELECT 1 FROM history LIMIT 1", &[], &[]).await?.len();
            if held > 0 {
                return Err(StoreError::NotEmpty);
            }
            let mut lines = Lines { input, number: 0 };
            match lines.next()? {
                Some(Line::BisqueRegister { form, schema }) if form > FORM || schema > register::SCHEMA => {
                    return Err(StoreError::Newer { found: form.max(i64::from(schema)), known: FORM });
                }
                Some(Line::BisqueRegister { .. }) => {}
                _ => return Err(lines.refuse("the first line is not that of a register's export")),
            }
            let (mut charts, mut history) = (Vec::new(), Vec::new());
            let (mut n_charts, mut n_history, mut top) = (0, 0, 0);
            loop {
                match lines.next()? {
                    Some(Line::Chart(chart)) => {
                        charts.push(*chart);
                        n_charts += 1;
                    }
                    Some(Line::History(line)) => {
                        top = top.max(line.seq);
                        history.push(line);
                        n_history += 1;
                    }
                    Some(Line::End { charts: c, history: h }) if c == n_charts && h == n_history => break,
                    Some(Line::End { .. }) => return Err(lines.refuse("lines are missing before the last")),
                    Some(Line::BisqueRegister { .. }) => return Err(lines.refuse("a second first line")),
                    None => return Err(lines.refuse("it ends before its last line: it was cut short")),
                }
                if charts.len() as i64 >= AT_ONCE || (history.len() >= 10_000 && charts.is_empty()) {
                    keep(&mut tx, sealing, &mut charts, &mut history, criteria).await?;
                }
            }
            keep(&mut tx, sealing, &mut charts, &mut history, criteria).await?;
            if db.is_server() && top > 0 {
                let sql = "SELECT setval(pg_get_serial_sequence('history', 'seq'), $1)";
                tx.rows(sql, &[top.into()], &[]).await?;
            }
            tx.commit().await
        })
    }
}

/// Restorations and what happened to them in the order of keys, whatever the collation of the place.
fn in_order(chart: &mut Chart) {
    chart.restorations.sort_by(|a, b| a.restoration.value.key.cmp(&b.restoration.value.key));
    for held in &mut chart.restorations {
        held.try_ins.sort_by(|a, b| a.value.key.cmp(&b.value.key));
        held.recalls.sort_by(|a, b| a.value.key.cmp(&b.value.key));
        held.events.sort_by(|a, b| a.value.key.cmp(&b.value.key));
    }
}

struct Lines<'a> {
    input: &'a mut dyn BufRead,
    number: u64,
}

impl Lines<'_> {
    fn next(&mut self) -> Result<Option<Line>, StoreError> {
        let mut bytes = Vec::new();
        self.number += 1;
        let mut limited = std::io::Read::take(&mut *self.input, LONGEST_LINE);
        match limited.read_until(b'\n', &mut bytes) {
            Ok(0) => Ok(None),
            Ok(_) => serde_json::from_slice(&bytes).map(Some).map_err(|e| self.refuse(&e.to_string())),
            Err(e) => Err(self.refuse(&e.to_string())),
        }
    }

    fn refuse(&self, why: &str) -> StoreError {
        StoreError::Unreadable { what: "export", why: format!("line {}: {why}", self.number) }
    }
}

async fn keep(
    tx: &mut Tx,
    sealing: &Sealing,
    charts: &mut Vec<Chart>,
    history: &mut Vec<HistoryLine>,
    criteria: &Criteria,
) -> Result<(), StoreError> {
    let (mut patients, mut restorations) = (Vec::new(), Vec::new());
    let (mut try_ins, mut recalls, mut events) = (Vec::new(), Vec::new(), Vec::new());
    for chart in charts.drain(..) {
        patients.push(of_patient(&chart.patient.value, chart.patient.version, sealing)?);
        for held in &chart.restorations {
            let mut row = of_restoration(&held.restoration.value, held.restoration.version, sealing)?;
            row.extend(of_standing(standing(held, criteria).as_ref()));
            restorations.push(row);
            for t in &held.try_ins {
                try_ins.push(of_try_in(&t.value, t.version, sealing)?);
            }
            for r in &held.recalls {
                recalls.push(of_recall(&r.value, r.version, sealing)?);
            }
            for e in &held.events {
                events.push(of_event(&e.value, e.version, sealing)?);
            }
        }
    }
    let mut lines: Vec<Vec<Cell>> = Vec::new();
    for line in history.drain(..) {
        let key = if line.kind == "patient" { sealing.name_of(&line.key) } else { line.key };
        let before = sealing.close(&before_place(&line.kind, &key), line.before.as_deref())?;
        lines.push(vec![
            line.seq.into(),
            line.at_ms.into(),
            line.who.into(),
            line.kind.into(),
            key.into(),
            line.version.into(),
            before,
        ]);
    }
    let with_standing: Vec<&str> = RESTORATION.names().into_iter().chain(STANDING.iter().copied()).collect();
    tx.insert("patient", &PATIENT.names(), patients).await?;
    tx.insert("restoration", &with_standing, restorations).await?;
    tx.insert("try_in", &TRY_IN.names(), try_ins).await?;
    tx.insert("recall", &RECALL.names(), recalls).await?;
    tx.insert("event", &EVENT.names(), events).await?;
    tx.insert("history", &["seq", "at_ms", "who", "kind", "key", "version", "before"], lines).await
}
