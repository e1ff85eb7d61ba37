//! Command line of `bisque anatomy`.

use clap::{Args as ClapArgs, Subcommand};
use std::path::PathBuf;

/// `bisque anatomy`.
#[derive(Debug, Subcommand)]
pub enum AnatomyCommand {
    /// The form of a tooth of average size: its measures, and pictures of it.
    Tooth(ToothArgs),
    /// The least preparation of a tooth for the thickness a restoration needs: what it takes and what stays.
    Least(LeastArgs),
}

/// `bisque anatomy tooth`.
#[derive(Debug, ClapArgs)]
pub struct ToothArgs {
    /// The tooth (ISO 3950: 11-18, 21-28, 31-38, 41-48).
    pub tooth: u8,
    /// Edge length of the lattice it is measured and drawn on, mm.
    #[arg(long, default_value_t = 0.2)]
    pub cell: f64,
    /// Folder for pictures (PNG) of its facial, lingual, mesial and chewing side.
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque anatomy least`.
#[derive(Debug, ClapArgs)]
pub struct LeastArgs {
    /// The tooth (ISO 3950).
    pub tooth: u8,
    /// Thickness needed at the chewing surface or edge, mm.
    #[arg(long, default_value_t = 0.0)]
    pub occlusal: f64,
    /// Thickness needed towards lip or cheek, mm.
    #[arg(long, default_value_t = 0.0)]
    pub facial: f64,
    /// Thickness needed towards tongue or palate, mm.
    #[arg(long, default_value_t = 0.0)]
    pub lingual: f64,
    /// Thickness needed towards the neighbours, mm.
    #[arg(long, default_value_t = 0.0)]
    pub proximal: f64,
    /// Depth of the finish line, mm.
    #[arg(long, default_value_t = 0.5)]
    pub margin: f64,
    /// Space that is open already over the tooth, or is added by a wax-up, mm.
    #[arg(long, default_value_t = 0.0)]
    pub space: f64,
    /// Crown that stands above the gum, mm (default: drawn).
    #[arg(long)]
    pub crown: Option<f64>,
    /// Age of the person, years (default: 20 to 75).
    #[arg(long)]
    pub age: Option<f64>,
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
