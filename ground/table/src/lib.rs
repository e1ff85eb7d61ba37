//! Tables and trees that know where everything stands: CSV rows with line and column, TOML values with line and column, ranges
//! as values, overlays of a user's rows over shipped ones.
//!
//! Works on text, never on disk; every complaint is an [`answer::Issue`] with file, line, column, field, what was expected and what
//! to do.

mod csv_table;
mod overlay;
mod range;
mod row;
mod text;
pub mod toml_tree;

pub use csv_table::Table;
pub use overlay::{Origin, overlay};
pub use range::Range;
pub use row::Row;
