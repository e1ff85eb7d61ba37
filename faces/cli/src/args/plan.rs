//! Command line of `bisque plan`.

use clap::{Args as ClapArgs, ValueEnum};
use std::path::PathBuf;

/// `bisque plan`.
#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    /// The case file.
    pub case: PathBuf,
    /// Further cases of the same smile, planned with it as a set that must match.
    #[arg(value_name = "CASE", num_args = 0..=5)]
    pub others: Vec<PathBuf>,
    /// When it is asked: before preparation or at the stump (default: as the case file says).
    #[arg(long, value_enum)]
    pub at: Option<At>,
    /// Folder for the dossier, the report and the record; made if it is not there.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print the whole report as JSON instead of the summary.
    #[arg(long)]
    pub json: bool,
    /// Search what would change the order, too (takes longer).
    #[arg(long)]
    pub changes: bool,
    /// Argue against this option (id as in the JSON, e.g. crown.zirconia_3y.monolithic) as if it were chosen.
    #[arg(long, value_name = "ID")]
    pub option: Option<String>,
    /// How much is computed anew.
    #[arg(long, value_enum, default_value_t = Fidelity::Quick)]
    pub fidelity: Fidelity,
    /// Seed of the draws; the same seed gives the same bytes.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Plain ASCII output.
    #[arg(long)]
    pub ascii: bool,
}

/// Moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum At {
    /// Before preparation.
    Plan,
    /// At the prepared tooth.
    Stump,
}

/// Fidelity of the mechanics and the number of draws.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Fidelity {
    /// Surfaces and closed forms, an eighth of the draws, no open questions.
    Instant,
    /// Surfaces and closed forms, all draws, open questions re-computed.
    Quick,
    /// As quick, and all open questions with all their answers.
    Full,
}
