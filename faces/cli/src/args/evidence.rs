//! Command line of `bisque evidence`.

use clap::Subcommand;
use std::path::PathBuf;

/// `bisque evidence`.
#[derive(Debug, Subcommand)]
pub enum EvidenceCommand {
    /// The study arms, used or not and why.
    List {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// Fit the posterior anew from the study arms.
    Refit {
        /// File to write.
        #[arg(long, value_name = "FILE")]
        out: PathBuf,
    },
}
