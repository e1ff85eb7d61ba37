//! The risk table: at each time something happens, how many were at risk, failed by cause, were censored, entered.
//!
//! Everything without covariates is a function of this table alone, so counting may be done elsewhere (in a database) and only the table
//! moved; tables of several sources add up. `at_risk` counts units with `entry < t <= exit`.

use crate::observations::Observations;
use crate::order::{ascending, whole_range};
use thiserror::Error;

/// Why a risk table cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum TableError {
    /// No row at all.
    #[error("the risk table has no rows")]
    Empty,
    /// Times do not ascend.
    #[error("row {row} of the risk table is not later than the row before")]
    Order {
        /// Which row, from 0.
        row: usize,
    },
    /// A count is negative or not finite.
    #[error("row {row} of the risk table holds a count that is negative or no number")]
    Count {
        /// Which row, from 0.
        row: usize,
    },
    /// More happened than was at risk.
    #[error("row {row} of the risk table has more events and censorings than units at risk")]
    TooMany {
        /// Which row, from 0.
        row: usize,
    },
    /// Columns of different length.
    #[error("column {column} of the risk table has {found} rows where {expected} were expected")]
    Length {
        /// Which column.
        column: &'static str,
        /// Its length.
        found: usize,
        /// Length of the times.
        expected: usize,
    },
}

/// Counts by time, ascending.
#[derive(Debug, Clone, PartialEq)]
pub struct RiskTable {
    pub(crate) time: Vec<f64>,
    pub(crate) at_risk: Vec<f64>,
    pub(crate) events: Vec<Vec<f64>>,
    pub(crate) censored: Vec<f64>,
    pub(crate) entered: Vec<f64>,
}

impl RiskTable {
    /// From counts made elsewhere: ascending times, units at risk just before each, events by cause (`events[c][row]` of cause c + 1),
    /// censored after the events of that time.
    ///
    /// # Errors
    /// [`TableError`] where lengths differ, times do not ascend, a count is negative, or more leave than are at risk.
    pub fn from_counts(
        time: Vec<f64>,
        at_risk: Vec<f64>,
        events: Vec<Vec<f64>>,
        censored: Vec<f64>,
    ) -> Result<Self, TableError> {
        let expected = time.len();
        if expected == 0 {
            return Err(TableError::Empty);
        }
        let columns = [("at risk", at_risk.len()), ("censored", censored.len())];
        for (column, found) in columns.into_iter().chain(events.iter().map(|e| ("events", e.len()))) {
            if found != expected {
                return Err(TableError::Length { column, found, expected });
            }
        }
        for row in 0..expected {
            if row > 0 && time[row].partial_cmp(&time[row - 1]) != Some(std::cmp::Ordering::Greater) {
                return Err(TableError::Order { row });
            }
            let counts = || events.iter().map(|e| e[row]).chain([censored[row]]);
            if !(time[row].is_finite() && counts().chain([at_risk[row]]).all(|c| c.is_finite() && c >= 0.0)) {
                return Err(TableError::Count { row });
            }
            // Weighted counts add up only to rounding.
            if counts().sum::<f64>() > at_risk[row] * (1.0 + 1e-12) {
                return Err(TableError::TooMany { row });
            }
        }
        let entered = (0..expected)
            .map(|row| {
                let left = events.iter().map(|e| e[row]).sum::<f64>() + censored[row];
                at_risk.get(row + 1).map_or(0.0, |next| (next - (at_risk[row] - left)).max(0.0))
            })
            .collect();
        Ok(Self { time, at_risk, events, censored, entered })
    }

    /// Counts rows.
    pub fn count(seen: &Observations<'_>) -> Self {
        let ranges = (whole_range(seen.exit()), seen.entry().map(whole_range));
        match ranges {
            (Some(exit), None) => Self::count_whole(seen, exit.0, exit.1),
            (Some(exit), Some(Some(entry))) => {
                let low = exit.0.min(entry.0);
                let high = (exit.0 + exit.1 as f64).max(entry.0 + entry.1 as f64);
                Self::count_whole(seen, low, (high - low) as usize)
            }
            _ => Self::count_sorted(seen),
        }
    }

    /// Whole-number times of small range: one cell a time.
    fn count_whole(seen: &Observations<'_>, low: f64, cells: usize) -> Self {
        let causes = seen.causes();
        let width = causes + 1;
        let mut tally = vec![0.0; cells * width];
        let mut entered = vec![0.0; if seen.entry().is_some() { cells } else { 0 }];
        match seen.weight() {
            None => {
                let mut counts = vec![0u32; cells * width];
                for (&t, &c) in seen.exit().iter().zip(seen.cause()) {
                    counts[(t - low) as usize * width + c as usize] += 1;
                }
                tally.iter_mut().zip(&counts).for_each(|(t, &c)| *t = f64::from(c));
            }
            Some(weight) => {
                for ((&t, &c), &w) in seen.exit().iter().zip(seen.cause()).zip(weight) {
                    tally[(t - low) as usize * width + c as usize] += w;
                }
            }
        }
        for (row, &t) in seen.entry().unwrap_or(&[]).iter().enumerate() {
            entered[(t - low) as usize] += seen.weight_of(row);
        }
        let mut builder = Builder::new(causes);
        for cell in 0..cells {
            let here = &tally[cell * width..(cell + 1) * width];
            let enter = entered.get(cell).copied().unwrap_or(0.0);
            if enter != 0.0 || here.iter().any(|&c| c != 0.0) {
                builder.push(low + cell as f64, here, enter);
            }
        }
        builder.finish(seen.entry().is_some())
    }

    fn count_sorted(seen: &Observations<'_>) -> Self {
        let causes = seen.causes();
        let exits = ascending(seen.exit());
        let entries = seen.entry().map(ascending).unwrap_or_default();
        let entry = seen.entry().unwrap_or(&[]);
        let mut builder = Builder::new(causes);
        let mut here = vec![0.0; causes + 1];
        let (mut i, mut j) = (0, 0);
        loop {
            let next_exit = exits.get(i).map(|&r| seen.exit()[r as usize]);
            let next_entry = entries.get(j).map(|&r| entry[r as usize]);
            let time = match (next_exit, next_entry) {
                (Some(a), Some(b)) => a.min(b),
                (Some(a), None) | (None, Some(a)) => a,
                (None, None) => break,
            };
            here.fill(0.0);
            while let Some(row) = exits.get(i).map(|&r| r as usize).filter(|&r| seen.exit()[r] == time) {
                here[seen.cause()[row] as usize] += seen.weight_of(row);
                i += 1;
            }
            let mut enter = 0.0;
            while let Some(row) = entries.get(j).map(|&r| r as usize).filter(|&r| entry[r] == time) {
                enter += seen.weight_of(row);
                j += 1;
            }
            builder.push(time, &here, enter);
        }
        builder.finish(seen.entry().is_some())
    }

    /// Number of rows.
    #[allow(clippy::len_without_is_empty)] // Never empty by construction.
    pub fn len(&self) -> usize {
        self.time.len()
    }

    /// Times, ascending.
    pub fn time(&self) -> &[f64] {
        &self.time
    }

    /// Units at risk just before each time.
    pub fn at_risk(&self) -> &[f64] {
        &self.at_risk
    }

    /// Number of causes.
    pub fn causes(&self) -> usize {
        self.events.len()
    }

    /// Events of a cause (from 1) by row; empty for a cause that never occurred.
    pub fn events(&self, cause: usize) -> &[f64] {
        cause.checked_sub(1).and_then(|c| self.events.get(c)).map_or(&[], Vec::as_slice)
    }

    /// Censored by row.
    pub fn censored(&self) -> &[f64] {
        &self.censored
    }

    /// Entered by row (at risk only after that time).
    pub fn entered(&self) -> &[f64] {
        &self.entered
    }

    /// Events of all causes in a row.
    pub fn all_events(&self, row: usize) -> f64 {
        self.events.iter().map(|e| e[row]).sum()
    }

    /// Units at risk just before any time.
    pub fn at_risk_at(&self, time: f64) -> f64 {
        self.at_risk.get(self.time.partition_point(|&t| t < time)).copied().unwrap_or(0.0)
    }

    /// Units that were ever watched.
    pub fn units(&self) -> f64 {
        self.censored.iter().chain(self.events.iter().flatten()).sum()
    }

    /// With one cause as the event and all others as censorings.
    pub fn only(&self, cause: usize) -> Self {
        let events = self.events(cause).to_vec();
        let events = if events.is_empty() { vec![0.0; self.len()] } else { events };
        let censored = (0..self.len()).map(|r| self.censored[r] + (self.all_events(r) - events[r])).collect();
        Self { events: vec![events], censored, ..self.clone() }
    }

    /// With all causes as one event.
    pub fn any(&self) -> Self {
        let events = (0..self.len()).map(|r| self.all_events(r)).collect();
        Self { events: vec![events], ..self.clone() }
    }

    /// Table of several sources together.
    ///
    /// # Errors
    /// [`TableError::Empty`] when no table is given.
    pub fn sum(tables: &[Self]) -> Result<Self, TableError> {
        let causes = tables.iter().map(Self::causes).max().ok_or(TableError::Empty)?;
        let mut time: Vec<f64> = tables.iter().flat_map(|t| t.time.iter().copied()).collect();
        time.sort_by(f64::total_cmp);
        time.dedup();
        let n = time.len();
        let mut all = Self {
            at_risk: time.iter().map(|&t| tables.iter().map(|table| table.at_risk_at(t)).sum()).collect(),
            events: vec![vec![0.0; n]; causes],
            censored: vec![0.0; n],
            entered: vec![0.0; n],
            time,
        };
        for table in tables {
            for row in 0..table.len() {
                let at = all.time.partition_point(|&t| t < table.time[row]);
                all.censored[at] += table.censored[row];
                all.entered[at] += table.entered[row];
                for (sum, own) in all.events.iter_mut().zip(&table.events) {
                    sum[at] += own[row];
                }
            }
        }
        Ok(all)
    }
}

/// Rows as they come in order of time; the units at risk are known only at the end.
struct Builder {
    table: RiskTable,
}

impl Builder {
    fn new(causes: usize) -> Self {
        let empty = Vec::new;
        let table = RiskTable {
            time: empty(),
            at_risk: empty(),
            events: vec![Vec::new(); causes],
            censored: empty(),
            entered: empty(),
        };
        Self { table }
    }

    /// `here`: censored, then events by cause.
    fn push(&mut self, time: f64, here: &[f64], entered: f64) {
        let t = &mut self.table;
        t.time.push(time);
        t.censored.push(here[0]);
        t.entered.push(entered);
        for (events, &count) in t.events.iter_mut().zip(&here[1..]) {
            events.push(count);
        }
    }

    /// Counts back from the end: at risk here = at risk in the next row + left here - entered here.
    fn finish(self, late: bool) -> RiskTable {
        let mut t = self.table;
        let mut after = 0.0;
        t.at_risk = vec![0.0; t.time.len()];
        for row in (0..t.time.len()).rev() {
            let left: f64 = t.censored[row] + t.events.iter().map(|e| e[row]).sum::<f64>();
            after += left - if late { t.entered[row] } else { 0.0 };
            // Sums of weights return to zero only to rounding.
            t.at_risk[row] = f64::max(after, left);
        }
        t
    }
}
