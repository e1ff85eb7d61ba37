//! Publications, standards and bodies by id.

use crate::Catalogue;
use crate::fact::basis;
use answer::{Issue, Source};
use std::collections::BTreeMap;
use table::{Origin, Row};

pub(crate) fn read(row: &Row) -> Result<Source, Issue> {
    Ok(Source {
        id: row.text("id")?.to_owned(),
        citation: row.text("citation")?.to_owned(),
        doi: row.maybe("doi").map(str::to_owned),
        basis: basis(row)?,
    })
}

/// An issue for every source id that no row of `sources.csv` has.
pub(crate) fn unresolved(
    rows: &BTreeMap<String, Vec<(Row, Origin)>>,
    sources: &BTreeMap<String, Source>,
) -> Vec<Issue> {
    let mut issues = Vec::new();
    for (row, _) in rows.iter().filter(|(name, _)| *name != "sources.csv").flat_map(|(_, list)| list) {
        for id in row.list("source") {
            if !sources.contains_key(id) {
                issues.push(row.complain(
                    "source",
                    format!("no source is named `{id}`"),
                    "an id of sources.csv",
                    "add the source to sources.csv, or correct the id",
                ));
            }
        }
    }
    issues
}

impl Catalogue {
    /// A source by its id.
    pub fn source(&self, id: &str) -> Option<&Source> {
        self.sources.get(id)
    }

    /// All sources by id.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        self.sources.values()
    }
}
