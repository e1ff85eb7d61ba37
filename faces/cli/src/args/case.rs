//! Command line of `bisque case`.

use clap::Subcommand;
use std::path::PathBuf;

/// `bisque case`.
#[derive(Debug, Subcommand)]
pub enum CaseCommand {
    /// Check a case file and say everything that is wrong with it.
    Check {
        /// The case file.
        case: PathBuf,
        /// Print issues and assumptions as JSON.
        #[arg(long)]
        json: bool,
    },
    /// Print a commented template.
    New {
        /// For what.
        kind: String,
        /// File to write; it must not exist yet (default: standard output).
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
    /// Print the JSON schema of a case file.
    Schema,
}
