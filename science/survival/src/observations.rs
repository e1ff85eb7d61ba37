//! Columns of times, events and clusters, checked once.
//!
//! One row is one unit, or one stretch of it: watched over `(entry, exit]`, ending in an event of cause 1, 2, ... or, with cause 0, cut off
//! (right-censored) at `exit`. A unit is at risk at t when `entry < t <= exit`; at a tie events come before censorings, and a unit that
//! enters at t is at risk only after t. Rows of one cluster may depend on each other; clusters may not. A row of weight w stands for w
//! alike rows (a count).

use thiserror::Error;

/// Why columns cannot be taken. Rows are counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum DataError {
    /// No row at all.
    #[error("there are no rows")]
    Empty,
    /// Columns of different length.
    #[error("column {column} has {found} values where {expected} were expected")]
    Length {
        /// Which column.
        column: &'static str,
        /// Its length.
        found: usize,
        /// Length of the first column.
        expected: usize,
    },
    /// A value that is not a finite number.
    #[error("column {column} is not a finite number in row {row}")]
    NotFinite {
        /// Which column.
        column: &'static str,
        /// Which row.
        row: usize,
    },
    /// A negative time without an entry time.
    #[error("the time is negative in row {row}; without entry times every unit is watched from 0")]
    Negative {
        /// Which row.
        row: usize,
    },
    /// Entry is not before exit.
    #[error("entry is not before the end of row {row}")]
    Backwards {
        /// Which row.
        row: usize,
    },
    /// A weight below zero.
    #[error("the weight is negative in row {row}")]
    Weight {
        /// Which row.
        row: usize,
    },
}

impl DataError {
    /// The row the error points at, where there is one.
    pub fn row(&self) -> Option<usize> {
        match *self {
            Self::NotFinite { row, .. } | Self::Negative { row } | Self::Backwards { row } | Self::Weight { row } => {
                Some(row)
            }
            Self::Empty | Self::Length { .. } => None,
        }
    }
}

/// Checked columns of equal length, borrowed.
///
/// ```
/// use survival::Observations;
/// let (exit, cause, cluster) = ([3.0, 5.0, 5.0, 8.0], [1, 0, 1, 0], [0, 0, 1, 2]);
/// let seen = Observations::new(&exit, &cause)?.with_clusters(&cluster)?;
/// assert_eq!(seen.len(), 4);
/// # Ok::<(), survival::DataError>(())
/// ```
#[derive(Debug, Clone, Copy)]
pub struct Observations<'a> {
    exit: &'a [f64],
    cause: &'a [u32],
    entry: Option<&'a [f64]>,
    weight: Option<&'a [f64]>,
    cluster: Option<&'a [u32]>,
}

impl<'a> Observations<'a> {
    /// Times of exit and causes (0 = censored), every unit watched from time 0.
    ///
    /// # Errors
    /// [`DataError`] for no rows, unequal lengths, a time that is not finite or is negative.
    pub fn new(exit: &'a [f64], cause: &'a [u32]) -> Result<Self, DataError> {
        let seen = Self::from_any_time(exit, cause)?;
        // Both tests in one pass without branches: a million rows are read at the speed of memory.
        if exit.iter().all(|&t| t >= 0.0) {
            return Ok(seen);
        }
        Err(exit.iter().position(|&t| t < 0.0).map_or(DataError::Empty, |row| DataError::Negative { row }))
    }

    /// Times of entry and exit and causes (0 = censored): delayed entry, or several stretches of one unit.
    ///
    /// # Errors
    /// [`DataError`] as for [`Observations::new`] (times may be negative), and where entry is not before exit.
    pub fn with_entry(entry: &'a [f64], exit: &'a [f64], cause: &'a [u32]) -> Result<Self, DataError> {
        let seen = Self::from_any_time(exit, cause)?;
        same_length("entry", entry.len(), exit.len())?;
        all_finite("entry", entry)?;
        match entry.iter().zip(exit).position(|(a, b)| a >= b) {
            Some(row) => Err(DataError::Backwards { row }),
            None => Ok(Self { entry: Some(entry), ..seen }),
        }
    }

    fn from_any_time(exit: &'a [f64], cause: &'a [u32]) -> Result<Self, DataError> {
        if exit.is_empty() {
            return Err(DataError::Empty);
        }
        same_length("event", cause.len(), exit.len())?;
        all_finite("time", exit)?;
        Ok(Self { exit, cause, entry: None, weight: None, cluster: None })
    }

    /// Adds counts: row i stands for `weight[i]` alike rows.
    ///
    /// # Errors
    /// [`DataError`] for unequal lengths, weights that are negative or not finite.
    pub fn with_weights(self, weight: &'a [f64]) -> Result<Self, DataError> {
        same_length("weight", weight.len(), self.len())?;
        all_finite("weight", weight)?;
        match weight.iter().position(|&w| w < 0.0) {
            Some(row) => Err(DataError::Weight { row }),
            None => Ok(Self { weight: Some(weight), ..self }),
        }
    }

    /// Adds clusters: any ids, equal for rows that may depend on each other (see [`crate::codes_of`] for words).
    ///
    /// # Errors
    /// [`DataError`] for unequal lengths.
    pub fn with_clusters(self, cluster: &'a [u32]) -> Result<Self, DataError> {
        same_length("cluster", cluster.len(), self.len())?;
        Ok(Self { cluster: Some(cluster), ..self })
    }

    /// Without clusters: every row for itself.
    pub fn without_clusters(self) -> Self {
        Self { cluster: None, ..self }
    }

    /// Number of rows (at least 1).
    #[allow(clippy::len_without_is_empty)] // Never empty: the constructors refuse it.
    pub fn len(&self) -> usize {
        self.exit.len()
    }

    /// Times of exit.
    pub fn exit(&self) -> &'a [f64] {
        self.exit
    }

    /// Causes, 0 = censored.
    pub fn cause(&self) -> &'a [u32] {
        self.cause
    }

    /// Times of entry, where units enter late.
    pub fn entry(&self) -> Option<&'a [f64]> {
        self.entry
    }

    /// Counts, where rows stand for several.
    pub fn weight(&self) -> Option<&'a [f64]> {
        self.weight
    }

    /// Ids of clusters.
    pub fn cluster(&self) -> Option<&'a [u32]> {
        self.cluster
    }

    /// Weight of a row, 1 where none are given.
    pub(crate) fn weight_of(&self, row: usize) -> f64 {
        self.weight.map_or(1.0, |w| w[row])
    }

    /// Greatest cause, 0 when everything is censored.
    pub fn causes(&self) -> usize {
        self.cause.iter().copied().max().unwrap_or(0) as usize
    }

    /// Clusters as dense codes 0..m with their number; every row its own where no clusters are given.
    pub(crate) fn dense_clusters(&self) -> (Vec<u32>, usize) {
        match self.cluster {
            None => ((0..self.len() as u32).collect(), self.len()),
            Some(ids) => crate::codes::dense(ids),
        }
    }
}

pub(crate) fn same_length(column: &'static str, found: usize, expected: usize) -> Result<(), DataError> {
    if found == expected { Ok(()) } else { Err(DataError::Length { column, found, expected }) }
}

pub(crate) fn all_finite(column: &'static str, values: &[f64]) -> Result<(), DataError> {
    // A sum of absolute values is finite only if all are; it is vectorised where a search is not.
    if values.iter().map(|v| v * 0.0).sum::<f64>() == 0.0 {
        return Ok(());
    }
    match values.iter().position(|v| !v.is_finite()) {
        Some(row) => Err(DataError::NotFinite { column, row }),
        None => Ok(()),
    }
}

/// Rows of one group, copied out of the columns of all.
#[derive(Debug, Clone)]
pub struct Group {
    /// Code of the group.
    pub code: u32,
    /// Row numbers in the columns of all.
    pub rows: Vec<usize>,
    exit: Vec<f64>,
    cause: Vec<u32>,
    entry: Option<Vec<f64>>,
    weight: Option<Vec<f64>>,
    cluster: Option<Vec<u32>>,
}

impl Group {
    /// The group's columns.
    pub fn observations(&self) -> Observations<'_> {
        Observations {
            exit: &self.exit,
            cause: &self.cause,
            entry: self.entry.as_deref(),
            weight: self.weight.as_deref(),
            cluster: self.cluster.as_deref(),
        }
    }
}

/// Splits rows by group code, groups in ascending order of code.
///
/// # Errors
/// [`DataError::Length`] when the codes are not as many as the rows.
pub fn split(seen: &Observations<'_>, group: &[u32]) -> Result<Vec<Group>, DataError> {
    same_length("group", group.len(), seen.len())?;
    let mut codes: Vec<u32> = group.to_vec();
    codes.sort_unstable();
    codes.dedup();
    let mut rows: Vec<Vec<usize>> = vec![Vec::new(); codes.len()];
    for (row, code) in group.iter().enumerate() {
        if let Ok(place) = codes.binary_search(code) {
            rows[place].push(row);
        }
    }
    let take = |column: &[f64], rows: &[usize]| rows.iter().map(|&r| column[r]).collect::<Vec<f64>>();
    Ok(codes
        .into_iter()
        .zip(rows)
        .map(|(code, rows)| Group {
            code,
            exit: take(seen.exit, &rows),
            cause: rows.iter().map(|&r| seen.cause[r]).collect(),
            entry: seen.entry.map(|c| take(c, &rows)),
            weight: seen.weight.map(|c| take(c, &rows)),
            cluster: seen.cluster.map(|c| rows.iter().map(|&r| c[r]).collect()),
            rows,
        })
        .collect())
}
