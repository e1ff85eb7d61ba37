//! What an order to the laboratory must or should hold.

use crate::Catalogue;
use crate::fact::{basis, provenance};
use crate::words::words_of;
use answer::{Issue, Provenance};
use table::Row;

/// A row of `work_order.csv`.
#[derive(Debug, Clone, PartialEq)]
pub struct OrderItem {
    /// Row id.
    pub id: String,
    /// What is to be told.
    pub item: String,
    /// `identity`, `design`, `colour`, `statement` ...
    pub group: String,
    /// The law or usage that asks for it.
    pub required_by: String,
    /// `law`, `good practice` ...
    pub duty: String,
    /// Sources and basis.
    pub provenance: Provenance,
}

impl OrderItem {
    pub(crate) fn read(row: &Row) -> Result<Self, Issue> {
        let text = |column: &str| row.maybe(column).unwrap_or("").to_owned();
        Ok(Self {
            id: row.text("id")?.to_owned(),
            item: row.text("item")?.to_owned(),
            group: text("group"),
            required_by: text("required_by"),
            duty: text("level_of_duty"),
            provenance: provenance(&words_of(row, "source"), basis(row)?),
        })
    }
}

impl Catalogue {
    /// Every row, in file order.
    pub fn order_items(&self) -> &[OrderItem] {
        &self.order_items
    }
}
