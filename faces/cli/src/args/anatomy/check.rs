//! Command line of `bisque anatomy check`.

use super::{NeedsArgs, ScansArgs};
use clap::Args;
use std::path::PathBuf;

/// `bisque anatomy check`.
#[derive(Debug, Args)]
pub struct CheckArgs {
    /// The tooth (ISO 3950).
    pub tooth: u8,
    /// Scan of the preparation (STL).
    #[arg(long, value_name = "FILE")]
    pub achieved: PathBuf,
    /// Thicknesses planned.
    #[command(flatten)]
    pub needs: NeedsArgs,
    /// Path of placement planned: tilt towards mesial and towards lip or cheek, degrees.
    #[arg(long, value_name = "MESIAL,FACIAL", value_delimiter = ',', allow_hyphen_values = true)]
    pub path: Vec<f64>,
    /// Surfaces at hand.
    #[command(flatten)]
    pub scans: ScansArgs,
    /// A case file: tells which of its options the preparation still allows.
    #[arg(long, value_name = "FILE")]
    pub case: Option<PathBuf>,
    /// Folder for pictures of too little and too much (PNG).
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
