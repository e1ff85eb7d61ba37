//! A user's rows over the shipped ones.

use crate::{Row, Table};
use answer::Issue;

/// Where a row of an overlaid table comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// Shipped with the program.
    Shipped,
    /// The user's: it replaces a shipped row of the same key.
    Replaced,
    /// The user's: new.
    Added,
}

/// Rows of `shipped` with those of `own` laid over them by the column `key`: same key replaces, new key is added at the end.
///
/// # Errors
/// When the user's table lacks a column of the shipped one, or a key is empty or twice in one table.
pub fn overlay(shipped: &Table, own: &Table, key: &str) -> Result<Vec<(Row, Origin)>, Vec<Issue>> {
    let columns: Vec<&str> = shipped.columns().iter().map(String::as_str).collect();
    own.require(&columns)?;
    shipped.unique(key)?;
    own.unique(key)?;
    let own_row = |name: &str| own.rows().iter().find(|r| r.maybe(key) == Some(name));
    let is_shipped = |name: &str| shipped.rows().iter().any(|r| r.maybe(key) == Some(name));
    let mut rows: Vec<(Row, Origin)> = shipped
        .rows()
        .iter()
        .map(|row| match row.maybe(key).and_then(own_row) {
            Some(own) => (own.clone(), Origin::Replaced),
            None => (row.clone(), Origin::Shipped),
        })
        .collect();
    let added = own.rows().iter().filter(|r| r.maybe(key).is_some_and(|name| !is_shipped(name)));
    rows.extend(added.map(|row| (row.clone(), Origin::Added)));
    Ok(rows)
}
