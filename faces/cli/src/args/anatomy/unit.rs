//! Command line of `bisque anatomy unit`.

use super::{NeedsArgs, OutArgs};
use clap::{Args, ValueEnum};

/// How a pontic meets the ridge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PonticArg {
    /// Egg-shaped, in a socket of the ridge.
    Ovate,
    /// On the facial half of the crest, relieved towards the tongue.
    ModifiedRidgeLap,
    /// Off the ridge.
    Hygienic,
}

/// `bisque anatomy unit`.
#[derive(Debug, Args)]
pub struct UnitArgs {
    /// Teeth it covers in their order, standing and missing (ISO 3950, e.g. 45,46,47).
    #[arg(value_delimiter = ',', required = true)]
    pub teeth: Vec<u8>,
    /// Which of them are missing.
    #[arg(long, value_delimiter = ',')]
    pub missing: Vec<u8>,
    /// Thicknesses of the retainers.
    #[command(flatten)]
    pub needs: NeedsArgs,
    /// Lean of standing teeth towards mesial, degrees, as TOOTH=DEGREES.
    #[arg(long, value_name = "TOOTH=DEGREES", value_delimiter = ',', allow_hyphen_values = true)]
    pub tilt: Vec<String>,
    /// How pontics meet the ridge.
    #[arg(long, value_enum, default_value = "modified-ridge-lap")]
    pub pontic: PonticArg,
    /// Height, width and embrasure radius of connectors, mm.
    #[arg(long, value_name = "H,W,R", value_delimiter = ',')]
    pub connector: Vec<f64>,
    /// Veneer over an anatomic core, mm; without it the unit is of one material.
    #[arg(long, value_name = "MM")]
    pub veneer: Option<f64>,
    /// Total convergence, degrees.
    #[arg(long, default_value_t = 16.0)]
    pub convergence: f64,
    /// Age of the person, years.
    #[arg(long, default_value_t = 40.0)]
    pub age: f64,
    /// Edge length of the lattice, mm.
    #[arg(long, default_value_t = 0.3)]
    pub cell: f64,
    /// Pictures, meshes, JSON.
    #[command(flatten)]
    pub shown: OutArgs,
}
