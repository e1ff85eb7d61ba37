//! Command line of `bisque papers`.

use super::{At, Fidelity};
use clap::Args as ClapArgs;
use std::path::PathBuf;

/// `bisque papers`.
#[derive(Debug, ClapArgs)]
pub struct PapersArgs {
    /// The case file.
    pub case: PathBuf,
    /// The option the papers are for, by the id that `bisque plan --json` gives, or a way that is not computed by its word, e.g.
    /// `polish_or_repair` (default: what the case says was chosen, else the first of the plan).
    #[arg(long, value_name = "ID")]
    pub option: Option<String>,
    /// Only these, by name, parted by commas: record, consent, preparation, order, fit, dossier, slides, and figures (each figure and
    /// table as an SVG file with caption and sources) (default: all papers).
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    pub only: Vec<String>,
    /// Language of the papers that speak more than one; the others come in British English.
    #[arg(long, value_name = "LANG", default_value = "en-GB")]
    pub lang: String,
    /// A language of your own for what the patient reads, as a file of texts (the program's own are `faces/papers/texts`); name its tag
    /// with --lang.
    #[arg(long, value_name = "FILE")]
    pub texts: Vec<PathBuf>,
    /// PDFs beside the pages: accessible, archivable, the same bytes for the same input; made by the program `bisque-print`.
    #[arg(long)]
    pub pdf: bool,
    /// Figures and tables also as PNG files for slides and letters (three pixels a px), made by the program `bisque-print`; asks for
    /// `figures` where --only does not.
    #[arg(long)]
    pub png: bool,
    /// Search what would change the order and tell it in the dossier (takes longer).
    #[arg(long)]
    pub changes: bool,
    /// Folder for the papers, made if it is not there (default: `CASE-papers` where you are).
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Day the papers are of, `year-month-day` (default: today); the same case, seed and day give the same bytes.
    #[arg(long, value_name = "DAY")]
    pub date: Option<String>,
    /// When it is asked: before preparation or at the stump (default: as the case file says).
    #[arg(long, value_enum)]
    pub at: Option<At>,
    /// How much is computed anew.
    #[arg(long, value_enum, default_value_t = Fidelity::Quick)]
    pub fidelity: Fidelity,
    /// Seed of the draws.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Print what was written, and what each paper lacks, as JSON.
    #[arg(long)]
    pub json: bool,
}
