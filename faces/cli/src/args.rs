//! The command line.

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Plans an indirect restoration: ranked options with honest odds, and the papers that go with them.
///
/// Decision support for licensed professionals; not a certified medical device. Local rules, the instructions of the material
/// actually used, and the dentist's judgement come first.
#[derive(Debug, Parser)]
#[command(name = "bisque", version, after_help = EXIT_CODES)]
pub struct Args {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,

    /// Folder with own tables (same names and columns as the shipped ones) that add or override rows.
    #[arg(long, global = true, value_name = "DIR")]
    pub data: Option<PathBuf>,
}

const EXIT_CODES: &str = "Exit codes: 0 done; 1 the input has errors; 2 the command line is wrong; 3 a file could not be read \
or written; 4 stopped before it was done.";

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Plan a case: rank the options, and write the dossier.
    Plan(PlanArgs),
    /// Check a case file, make a new one, or print its schema.
    #[command(subcommand)]
    Case(CaseCommand),
    /// The facts the program rests on.
    #[command(subcommand)]
    Catalogue(CatalogueCommand),
    /// Colour differences and layered colour.
    #[command(subcommand)]
    Colour(ColourCommand),
    /// Clinical evidence: list arms, refit the posterior.
    #[command(subcommand)]
    Evidence(EvidenceCommand),
    /// Strength of simple bodies.
    #[command(subcommand)]
    Strength(StrengthCommand),
    /// Print the schema of the plan's JSON.
    Schema,
}

/// `bisque plan`.
#[derive(Debug, ClapArgs)]
pub struct PlanArgs {
    /// The case file.
    pub case: PathBuf,
    /// When it is asked: before preparation or at the stump (default: as the case file says).
    #[arg(long, value_enum)]
    pub at: Option<At>,
    /// Folder for the dossier, the report and the record; made if it is not there.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Print the whole report as JSON instead of the summary.
    #[arg(long)]
    pub json: bool,
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
    /// Closed forms, an eighth of the draws, no open questions.
    Instant,
    /// Closed forms, all draws, open questions re-computed.
    Quick,
    /// As quick, and all open questions with all their answers.
    Full,
}

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

/// `bisque colour`.
#[derive(Debug, Subcommand)]
pub enum ColourCommand {
    /// CIEDE2000 and CIE76 between two CIELAB colours.
    Difference {
        /// L* a* b* L* a* b*
        #[arg(num_args = 6, allow_negative_numbers = true, required = true)]
        lab: Vec<f64>,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}

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

/// `bisque strength`.
#[derive(Debug, Subcommand)]
pub enum StrengthCommand {
    /// Weibull-equivalent stress of a neck in bending under a unit load.
    Neck {
        /// Height, mm.
        #[arg(long)]
        height: f64,
        /// Width, mm.
        #[arg(long)]
        width: f64,
        /// Span between the supports, mm.
        #[arg(long)]
        span: f64,
        /// Fillet radius, mm.
        #[arg(long, default_value_t = 0.5)]
        radius: f64,
        /// Weibull modulus.
        #[arg(long, default_value_t = 10.0)]
        modulus: f64,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}
