//! Stops and verdict limits: data the practice may change.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::{Build, Construct, Material, Question, words_of};
use answer::{Basis, Issue, Provenance, Verdict};
use table::Row;

/// What a stop does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StopAction {
    /// Forbids (unless overridden with a reason).
    Stop,
    /// Warns.
    Warn,
}

/// A row of `stops.csv`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StopRow {
    /// Id, the key under which its condition is recognised.
    pub id: String,
    /// Condition in words.
    pub condition: String,
    /// Constructs it applies to; empty: all.
    pub constructs: Vec<Construct>,
    /// Materials; empty: all.
    pub materials: Vec<Material>,
    /// Builds; empty: all.
    pub builds: Vec<Build>,
    /// What it does.
    pub action: StopAction,
    /// What to do instead.
    pub remedy: String,
    /// Sources.
    pub source_ids: Vec<String>,
    /// Basis.
    pub basis: Basis,
}

impl StopRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let action = match row.text("action")? {
            "stop" => StopAction::Stop,
            "warn" => StopAction::Warn,
            other => {
                return Err(row.complain(
                    "action",
                    format!("`{other}` is no action"),
                    "stop or warn",
                    "write one of them",
                ));
            }
        };
        Ok(Self {
            id: row.text("id")?.to_owned(),
            condition: row.text("condition")?.to_owned(),
            constructs: row.words("applies_to_construct", Construct::ALL, Construct::word)?,
            materials: row.words("applies_to_material", Material::ALL, Material::word)?,
            builds: row.words("applies_to_build", Build::ALL, Build::word)?,
            action,
            remedy: row.text("remedy")?.to_owned(),
            source_ids: words_of(row, "source"),
            basis: basis(row)?,
        })
    }

    /// Whether it can apply to an option of this kind at all.
    pub fn applies_to(&self, construct: Construct, material: Material, build: Build) -> bool {
        (self.constructs.is_empty() || self.constructs.contains(&construct))
            && (self.materials.is_empty() || self.materials.contains(&material))
            && (self.builds.is_empty() || self.builds.contains(&build))
    }
}

/// A row of `verdicts.csv`: a limit between suits, with care and unsuitable.
#[derive(Debug, Clone, PartialEq)]
pub struct VerdictRow {
    /// Id.
    pub id: String,
    /// Question it belongs to.
    pub question: Question,
    /// Constructs; empty: all.
    pub constructs: Vec<Construct>,
    /// Suits at this value or better.
    pub suits: f64,
    /// Unsuitable beyond this value.
    pub unsuitable: f64,
    /// True when less is better.
    pub lower_better: bool,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl VerdictRow {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let lower_better = match row.text("direction")? {
            "lower_better" => true,
            "higher_better" => false,
            other => {
                let found = format!("`{other}` is no direction");
                return Err(row.complain("direction", found, "lower_better or higher_better", "write one of them"));
            }
        };
        let (suits, unsuitable) = (row.number("suits")?, row.number("unsuitable")?);
        if (lower_better && suits > unsuitable) || (!lower_better && suits < unsuitable) {
            return Err(row.complain(
                "unsuitable",
                format!("the limits {suits} and {unsuitable} run against the direction"),
                "the limit of unsuitable on the worse side of the limit of suits",
                "exchange the two limits, or correct the direction",
            ));
        }
        Ok(Self {
            id: row.text("id")?.to_owned(),
            question: row.word("question", Question::ALL, Question::word)?,
            constructs: row.words("applies_to_construct", Construct::ALL, Construct::word)?,
            suits,
            unsuitable,
            lower_better,
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }

    /// Verdict on a value.
    pub fn judge(&self, value: f64) -> Verdict {
        let sign = if self.lower_better { 1.0 } else { -1.0 };
        if sign * value <= sign * self.suits {
            Verdict::Suits
        } else if sign * value > sign * self.unsuitable {
            Verdict::Unsuitable
        } else {
            Verdict::WithCare
        }
    }
}

impl Catalogue {
    /// All stops and warnings.
    pub fn stops(&self) -> &[StopRow] {
        &self.stops
    }

    /// All verdict limits.
    pub fn verdicts(&self) -> &[VerdictRow] {
        &self.verdicts
    }

    /// A verdict limit by its id.
    pub fn verdict(&self, id: &str) -> Option<&VerdictRow> {
        self.verdicts.iter().find(|v| v.id == id)
    }
}
