//! Command line of `bisque catalogue`.

use clap::Subcommand;

/// `bisque catalogue`.
#[derive(Debug, Subcommand)]
pub enum CatalogueCommand {
    /// The tables, with rows and weakest basis.
    List {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Rows of a table, or one row by its id.
    Show {
        /// A table's name or a row's id.
        what: String,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// The sources.
    Sources {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}
