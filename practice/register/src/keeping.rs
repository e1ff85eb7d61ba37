//! What a place of keeping must be able to do. How it does it (files, servers, seals) is its own affair; no query language here.

use crate::chart::Chart;
use crate::record::{Kept, Record};
use crate::standing::Standing;
use serde::{Deserialize, Serialize};

/// Who writes, and when: told by the face, since nothing here reads a clock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Author {
    /// Who, by a code.
    pub who: String,
    /// When: milliseconds since 1970-01-01 UTC.
    pub at_ms: i64,
}

/// Records of one patient to be written together, against the chart's version that was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Writing {
    /// Pseudonym.
    pub patient: String,
    /// Version of the patient when the chart was read; 0 for one that was not there.
    pub seen: i64,
    /// Records to add (version 0) or to change (version as seen).
    pub records: Vec<Kept<Record>>,
    /// How each restoration of the chart stands after that.
    pub standings: Vec<(String, Option<Standing>)>,
}

/// How the history tells of what is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told<'a> {
    /// A line for each record.
    Each,
    /// A line for the whole batch of new records, with where they came from; changes still get their own.
    Batch(&'a str),
}

/// Why nothing was written, as far as the trade has to tell cases apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Trouble {
    /// Somebody else changed the chart since it was read.
    Conflict,
    /// Anything else.
    Other,
}

/// A place where a register is kept.
pub trait Store {
    /// Its errors.
    type Error: std::error::Error;

    /// Which kind of trouble an error is.
    fn trouble(error: &Self::Error) -> Trouble;

    /// The charts of these patients; those that are not there are left out.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn charts(&mut self, patients: &[String]) -> Result<Vec<Chart>, Self::Error>;

    /// Patient of a restoration.
    ///
    /// # Errors
    /// When the place cannot be read.
    fn patient_of(&mut self, restoration: &str) -> Result<Option<String>, Self::Error>;

    /// Writes all or nothing; refused where a chart or record is no longer as it was seen.
    ///
    /// # Errors
    /// When the place cannot be written, or on a conflict.
    fn write(&mut self, author: &Author, writings: &[Writing], told: Told<'_>) -> Result<(), Self::Error>;
}
