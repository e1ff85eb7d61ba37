//! Command line of `bisque anatomy least`.

use super::{NeedsArgs, ScansArgs};
use clap::Args;
use std::path::PathBuf;

/// `bisque anatomy least`.
#[derive(Debug, Args)]
pub struct LeastArgs {
    /// The tooth (ISO 3950).
    #[arg(required_unless_present = "case", conflicts_with = "case")]
    pub tooth: Option<u8>,
    /// A case file: the least preparation of every abutment for every option, side by side.
    #[arg(long, value_name = "FILE")]
    pub case: Option<PathBuf>,
    /// Thicknesses.
    #[command(flatten)]
    pub needs: NeedsArgs,
    /// Space that is open already over the tooth, or is made by raising the bite, mm.
    #[arg(long, default_value_t = 0.0)]
    pub space: f64,
    /// Crown that stands above the gum, mm (default: drawn).
    #[arg(long)]
    pub crown: Option<f64>,
    /// Age of the person, years (default: 20 to 75).
    #[arg(long)]
    pub age: Option<f64>,
    /// Surfaces at hand.
    #[command(flatten)]
    pub scans: ScansArgs,
    /// Draws.
    #[arg(long, default_value_t = 256)]
    pub draws: usize,
    /// Seed.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
