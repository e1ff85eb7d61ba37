//! Rows as the partial likelihood sees them: a standardised vector and the stretch of event times at which each was at risk.

use super::{Cox, CoxError};
use crate::observations::{Observations, split};
use crate::order::whole_range;
use crate::risk_table::RiskTable;

/// More event times than this do not fit the caches: rows are then kept in order of time.
const CACHED: usize = 8_192;

/// Rows filled at once.
const FILLED: usize = 128;

/// Rows with covariates `(x - mean)/sd`, each behind a leading 1 and padded to a multiple of 4.
pub(super) struct Design {
    /// Number of covariates.
    pub p: usize,
    /// Length of a row of `x`.
    pub stride: usize,
    /// Rows: 1, covariates, zeros.
    pub x: Vec<f64>,
    /// Mean and standard deviation by covariate.
    pub mean: Vec<f64>,
    /// Standard deviation by covariate.
    pub sd: Vec<f64>,
    /// Weight by row; empty when all are 1.
    pub weight: Vec<f64>,
    /// First and last event time (index over all strata) at which the row was at risk.
    pub first: Vec<u32>,
    /// See `first`.
    pub last: Vec<u32>,
    /// Whether the row's exit is an event.
    pub event: Vec<bool>,
    /// Row number in the data.
    pub source: Vec<u32>,
    /// Event times.
    pub time: Vec<f64>,
    /// Ranges of event times by stratum, with the stratum's code.
    pub strata: Vec<(u32, std::ops::Range<usize>)>,
    /// Rows (of `x`) that were not at risk yet at the first event time of their stratum, ascending.
    pub late: Vec<u32>,
    /// Rows that end in an event, ascending.
    pub events: Vec<u32>,
}

impl Design {
    pub fn new(model: &Cox<'_>) -> Result<Self, CoxError> {
        let seen = &model.seen;
        let mut places = Places {
            time: vec![],
            first: vec![0; seen.len()],
            last: vec![0; seen.len()],
            used: vec![false; seen.len()],
            came_late: vec![false; if seen.entry().is_some() { seen.len() } else { 0 }],
        };
        let mut strata = Vec::new();
        match model.strata {
            None => {
                let range = places.add(seen, None);
                strata.push((0, range));
            }
            Some(codes) => {
                for group in split(seen, codes)? {
                    let range = places.add(&group.observations(), Some(&group.rows));
                    strata.push((group.code, range));
                }
            }
        }
        if places.time.is_empty() {
            return Err(CoxError::NoEvents);
        }
        let source = places.order();
        Ok(Self::filled(model, places, source, strata))
    }

    fn filled(model: &Cox<'_>, places: Places, source: Vec<u32>, strata: Vec<(u32, std::ops::Range<usize>)>) -> Self {
        let (p, n) = (model.covariates.len(), source.len());
        let stride = (p + 1).div_ceil(4) * 4;
        let mut x = vec![0.0; n * stride];
        let (mut mean, mut sd) = (Vec::with_capacity(p), Vec::with_capacity(p));
        for covariate in &model.covariates {
            let centre = sum_of(&source, |s| covariate.values[s]) / n as f64;
            let spread = (sum_of(&source, |s| (covariate.values[s] - centre).powi(2)) / n as f64).sqrt();
            mean.push(centre);
            sd.push(if spread > 0.0 { spread } else { 1.0 });
        }
        // Rows are filled a few at a time, so that each stays in the cache until all its covariates are there.
        for (rows, from) in x.chunks_mut(FILLED * stride).zip(source.chunks(FILLED)) {
            rows.iter_mut().step_by(stride).for_each(|one| *one = 1.0);
            for (j, covariate) in model.covariates.iter().enumerate() {
                let (centre, per) = (mean[j], 1.0 / sd[j]);
                for (row, &s) in rows.chunks_exact_mut(stride).zip(from) {
                    row[j + 1] = (covariate.values[s as usize] - centre) * per;
                }
            }
        }
        let seen = &model.seen;
        Self {
            p,
            stride,
            x,
            mean,
            sd,
            weight: seen.weight().map_or(Vec::new(), |w| source.iter().map(|&s| w[s as usize]).collect()),
            first: source.iter().map(|&s| places.first[s as usize]).collect(),
            last: source.iter().map(|&s| places.last[s as usize]).collect(),
            event: source.iter().map(|&s| seen.cause()[s as usize] > 0).collect(),
            time: places.time,
            strata,
            late: rows_where(&source, |s| places.came_late.get(s).copied().unwrap_or(false)),
            events: rows_where(&source, |s| seen.cause()[s] > 0),
            source,
        }
    }

    pub fn rows(&self) -> usize {
        self.source.len()
    }

    #[inline(always)]
    pub fn weight_of(&self, i: usize) -> f64 {
        self.weight.get(i).copied().unwrap_or(1.0)
    }
}

/// Sum over rows in four lanes, which do not wait for each other.
fn sum_of(source: &[u32], value: impl Fn(usize) -> f64) -> f64 {
    let mut lanes = [0.0; 4];
    for four in source.chunks(4) {
        for (lane, &s) in lanes.iter_mut().zip(four) {
            *lane += value(s as usize);
        }
    }
    (lanes[0] + lanes[2]) + (lanes[1] + lanes[3])
}

/// Rows for whose source something holds.
fn rows_where(source: &[u32], holds: impl Fn(usize) -> bool) -> Vec<u32> {
    source.iter().enumerate().filter(|(_, s)| holds(**s as usize)).map(|(i, _)| i as u32).collect()
}

/// Event times of all strata and each row's stretch of them.
struct Places {
    time: Vec<f64>,
    first: Vec<u32>,
    last: Vec<u32>,
    used: Vec<bool>,
    came_late: Vec<bool>,
}

impl Places {
    fn add(&mut self, seen: &Observations<'_>, rows: Option<&[usize]>) -> std::ops::Range<usize> {
        let start = self.time.len();
        let table = RiskTable::count(seen);
        let times: Vec<f64> = (0..table.len()).filter(|&r| table.all_events(r) > 0.0).map(|r| table.time[r]).collect();
        let exits = up_to(seen.exit(), &times);
        let entries = seen.entry().map(|e| up_to(e, &times));
        for i in 0..seen.len() {
            let row = rows.map_or(i, |r| r[i]);
            let first = entries.as_ref().map_or(0, |e| e[i]);
            // A row is of use when at least one event time lies within it.
            if exits[i] > first {
                self.first[row] = start as u32 + first;
                self.last[row] = start as u32 + exits[i] - 1;
                self.used[row] = true;
                if first > 0 {
                    self.came_late[row] = true;
                }
            }
        }
        self.time.extend(times);
        start..self.time.len()
    }

    /// Rows of use, in order of their last event time where times are too many for the caches.
    fn order(&self) -> Vec<u32> {
        let used = (0..self.used.len() as u32).filter(|&r| self.used[r as usize]);
        if self.time.len() <= CACHED {
            return used.collect();
        }
        let lasts: Vec<f64> = self.last.iter().map(|&l| f64::from(l)).collect();
        crate::order::ascending(&lasts).into_iter().filter(|&r| self.used[r as usize]).collect()
    }
}

/// Number of event times at or before each value.
fn up_to(values: &[f64], times: &[f64]) -> Vec<u32> {
    if let (Some((low, range)), Some(_)) = (whole_range(values), whole_range(times)) {
        let mut count = vec![0u32; range];
        let mut next = 0;
        for (cell, c) in count.iter_mut().enumerate() {
            while times.get(next).is_some_and(|&t| t <= low + cell as f64) {
                next += 1;
            }
            *c = next as u32;
        }
        return values.iter().map(|&v| count[(v - low) as usize]).collect();
    }
    values.iter().map(|&v| times.partition_point(|&t| t <= v) as u32).collect()
}
