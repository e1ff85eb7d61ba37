//! The tables as they stand, for people who want to see them.

use crate::Catalogue;
use answer::Basis;
use serde::Serialize;
use table::{Origin, Row};

/// One table at a glance.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TableSummary {
    /// File name.
    pub name: String,
    /// Rows.
    pub rows: usize,
    /// Rows the practice replaced or added.
    pub own: usize,
    /// Rows that rest on memory.
    pub from_memory: usize,
    /// Weakest basis.
    pub weakest: Option<Basis>,
}

impl Catalogue {
    /// All tables.
    pub fn index(&self) -> Vec<TableSummary> {
        self.rows
            .iter()
            .map(|(name, rows)| {
                let bases: Vec<Basis> = rows
                    .iter()
                    .filter_map(|(row, _)| row.maybe("basis").and_then(|b| Basis::parse(&b.replace('_', " "))))
                    .collect();
                TableSummary {
                    name: name.clone(),
                    rows: rows.len(),
                    own: rows.iter().filter(|(_, origin)| *origin != Origin::Shipped).count(),
                    from_memory: bases.iter().filter(|b| **b == Basis::Memory).count(),
                    weakest: bases.into_iter().max(),
                }
            })
            .collect()
    }

    /// Rows of a table, by its file name with or without `.csv`.
    pub fn table(&self, name: &str) -> Option<&[(Row, Origin)]> {
        self.rows.get(name).or_else(|| self.rows.get(&format!("{name}.csv"))).map(Vec::as_slice)
    }

    /// Rows of any table that have this id, with the table's name. A trace (`data/<file>#<id>`) finds the row of that table only.
    pub fn find(&self, id: &str) -> Vec<(&str, &Row)> {
        let (file, id) = match id.split_once('#') {
            Some((path, id)) => (path.rsplit('/').next(), id),
            None => (None, id),
        };
        self.rows
            .iter()
            .filter(|(name, _)| file.is_none_or(|f| f == name.as_str()))
            .flat_map(|(name, rows)| rows.iter().map(move |(row, _)| (name.as_str(), row)))
            .filter(|(_, row)| row.maybe("id") == Some(id))
            .collect()
    }
}
