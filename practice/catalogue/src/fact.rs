//! One figure with its row, sources and basis.

use crate::words::words_of;
use answer::{Basis, Issue, Provenance};
use table::{Range, Row};

/// A figure as the data give it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// File of its table as given (`own ...` for a practice's).
    pub table: String,
    /// Row id within its table.
    pub id: String,
    /// Value and range, in `unit`.
    pub figure: Range,
    /// Unit as written in the table.
    pub unit: String,
    /// Ids of the sources.
    pub sources: Vec<String>,
    /// How the figure came into the data.
    pub basis: Basis,
    /// Remarks.
    pub note: String,
}

impl Fact {
    /// From the usual columns of a row (`id`, `value`, `low`, `high`, `unit`, `source`, `basis`, `note`).
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        Ok(Self {
            table: row.file().to_owned(),
            id: row.text("id")?.to_owned(),
            figure: row.figure()?,
            unit: row.maybe("unit").unwrap_or("").to_owned(),
            sources: words_of(row, "source"),
            basis: basis(row)?,
            note: row.maybe("note").unwrap_or("").to_owned(),
        })
    }

    /// Where it is found again: `data/<file>#<id>`, or `own/<file>#<id>` for a practice's row. [`crate::Catalogue::find`] takes it.
    pub fn trace(&self) -> String {
        match self.table.strip_prefix("own ") {
            Some(own) => format!("own/{own}#{}", self.id),
            None => format!("data/{}#{}", self.table, self.id),
        }
    }

    /// What an answer that uses it rests on.
    pub fn provenance(&self) -> Provenance {
        provenance(&self.sources, self.basis)
    }
}

/// Sources and basis as a provenance.
pub(crate) fn provenance(sources: &[String], basis: Basis) -> Provenance {
    Provenance { ids: sources.iter().cloned().collect(), weakest: Some(basis) }
}

/// The `basis` cell.
pub(crate) fn basis(row: &Row) -> Result<Basis, Issue> {
    let cell = row.text("basis")?.replace('_', " ");
    Basis::parse(&cell).ok_or_else(|| {
        row.complain(
            "basis",
            format!("`{cell}` is no basis"),
            "read, computed, common_practice, memory or own",
            "say how the figure came into the table",
        )
    })
}
