//! Where a register is kept: SQLite in one file, or PostgreSQL for a group.
//!
//! Entry point: [`Keeper`], which is a `register::Store` (charts in, records out, all or nothing, optimistic versions, append-only
//! history) and counts where the rows are (`register::Counting`). [`Place`] tells file from server. Identifying fields and free text are
//! sealed where a passphrase is set. [`Keeper::dump`] gives everything as lines of JSON, [`Keeper::load`] takes it in again; backups are the same, sealed.

mod added;
mod backup;
mod copy;
mod count;
mod db;
mod dump;
mod error;
mod keeper;
mod open;
mod read;
mod rows;
mod seal;
mod shapes;
mod write;

pub use error::StoreError;
pub use keeper::Keeper;
pub use open::{FORM, Place};
pub use read::HistoryLine;
