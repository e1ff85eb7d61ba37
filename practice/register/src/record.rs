//! What is kept, record by record. Every record has a key that never changes; a restoration belongs to a patient, the others to a
//! restoration. Patients stand under a pseudonym: no record has a place for a name.

use crate::day::Day;
use crate::words::{Consequence, EventKind, Fit, Misfit, Scheme, Stage};
use catalogue::words::{Build, Construct, Grade, Material, Region, Tooth};
use serde::{Deserialize, Serialize};

/// Version of the records' form.
pub const SCHEMA: u32 = 1;

/// A patient under a pseudonym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Patient {
    /// Pseudonym: a code, never a name.
    pub code: String,
    /// Year of birth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub birth_year: Option<i32>,
    /// Day of death.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub died: Option<Day>,
    /// Day from which the patient is known not to come any more (moved away, another practice).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left: Option<Day>,
    /// Number under which the practice's own record is found; identifying, so sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub record_number: Option<String>,
    /// Free text; sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A restoration as planned, ordered and placed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Restoration {
    /// Key.
    pub key: String,
    /// Pseudonym of the patient.
    pub patient: String,
    /// Every tooth it covers, standing or missing.
    pub teeth: Vec<Tooth>,
    /// Construct.
    pub construct: Construct,
    /// Material class.
    pub material: Material,
    /// Build.
    pub build: Build,
    /// Translucency grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<Grade>,
    /// Dimensions that were ordered: what, and millimetres (or mm2 for a section).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub dimensions: Vec<(String, f64)>,
    /// Laboratory, by the practice's own short name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub laboratory: Option<String>,
    /// Cement, by a generic name (`resin`, `glass_ionomer`, `screw`).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cement: Option<String>,
    /// Who placed it, by a code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub operator: Option<String>,
    /// Day of the plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<Day>,
    /// Day of the order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ordered: Option<Day>,
    /// Day of placing; none while it is not in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placed: Option<Day>,
    /// Option of the plan it was made by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub option: Option<String>,
    /// Free text; sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Restoration {
    /// Front where all its teeth are, else back, as studies divide it.
    pub fn region(&self) -> Region {
        let front = !self.teeth.is_empty() && self.teeth.iter().all(|t| t.region() == Region::Anterior);
        if front { Region::Anterior } else { Region::Posterior }
    }

    /// Teeth parted by a point, e.g. `45.46.47`.
    pub fn teeth_words(&self) -> String {
        self.teeth.iter().map(ToString::to_string).collect::<Vec<_>>().join(".")
    }
}

/// A try-in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TryIn {
    /// Key.
    pub key: String,
    /// Restoration.
    pub restoration: String,
    /// Day.
    pub day: Day,
    /// Stage.
    pub stage: Stage,
    /// How it went.
    pub fit: Fit,
    /// Why it did not fit at once.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub causes: Vec<Misfit>,
    /// Minutes of adjustment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Free text; sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A score of one criterion.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Score {
    /// Code or name of the criterion in its scheme.
    pub criterion: String,
    /// Score as the scheme writes it.
    pub score: String,
}

/// A recall: the restoration was seen in place.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Recall {
    /// Key.
    pub key: String,
    /// Restoration.
    pub restoration: String,
    /// Day.
    pub day: Day,
    /// Who looked, by a code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub examiner: Option<String>,
    /// Scheme of the scores; none where nothing was scored (uneventful).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scheme: Option<Scheme>,
    /// Scores.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub scores: Vec<Score>,
    /// Whether the pulp answered; none where it was not tested.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vital: Option<bool>,
    /// Free text; sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// Something that went wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Event {
    /// Key.
    pub key: String,
    /// Restoration.
    pub restoration: String,
    /// Day on which it was found.
    pub found: Day,
    /// Day on which it happened, where that is known; failures found at a recall have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub happened: Option<Day>,
    /// What.
    pub kind: EventKind,
    /// Grade of a chip, 1 to 3 by the treatment needed (Heintze and Rousson 2010, J Adhes Dent).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grade: Option<u8>,
    /// What was done.
    pub consequence: Consequence,
    /// Free text; sealed where a passphrase is set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

impl Event {
    /// Day that counts in curves: when it happened, else when it was found.
    pub fn day(&self) -> Day {
        self.happened.unwrap_or(self.found)
    }
}

/// Any record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "record", rename_all = "snake_case")]
pub enum Record {
    /// Patient.
    Patient(Patient),
    /// Restoration.
    Restoration(Restoration),
    /// Try-in.
    TryIn(TryIn),
    /// Recall.
    Recall(Recall),
    /// Event.
    Event(Event),
}

impl Record {
    /// Key.
    pub fn key(&self) -> &str {
        match self {
            Self::Patient(r) => &r.code,
            Self::Restoration(r) => &r.key,
            Self::TryIn(r) => &r.key,
            Self::Recall(r) => &r.key,
            Self::Event(r) => &r.key,
        }
    }

    /// Kind in a word.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Patient(_) => "patient",
            Self::Restoration(_) => "restoration",
            Self::TryIn(_) => "try_in",
            Self::Recall(_) => "recall",
            Self::Event(_) => "event",
        }
    }
}

/// A record with the version it has in the store; 0 for one that is not there yet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Kept<T> {
    /// Version: rises by one with each change.
    pub version: i64,
    /// The record.
    pub value: T,
}

impl<T> Kept<T> {
    /// A record that is not in the store yet.
    pub fn new(value: T) -> Self {
        Self { version: 0, value }
    }
}
