//! Command line of `bisque anatomy preparation`, and what it shares with `check` and `least`.

use super::OutArgs;
use clap::Args;
use std::path::PathBuf;

/// Thickness needed by surface.
#[derive(Debug, Args)]
pub struct NeedsArgs {
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
}

/// Surfaces at hand, all in millimetres and in one frame; what they do not show is filled by forms.
#[derive(Debug, Args)]
pub struct ScansArgs {
    /// Scan of the tooth as it stands (STL).
    #[arg(long, value_name = "FILE")]
    pub present: Option<PathBuf>,
    /// Place on the tooth's chewing surface in the scan's frame, where the scan shows more than this tooth.
    #[arg(long, value_name = "X,Y,Z", value_delimiter = ',', allow_hyphen_values = true)]
    pub at: Vec<f64>,
    /// Wax-up or wished outer form (STL).
    #[arg(long, value_name = "FILE")]
    pub wax_up: Option<PathBuf>,
    /// Without a wax-up: a sound tooth that shows how large this one should be (ISO 3950), best the same one of the other side.
    #[arg(long, value_name = "TOOTH")]
    pub neighbour: Option<u8>,
    /// Height of that tooth's crown above the gum, mm.
    #[arg(long, value_name = "MM", requires = "neighbour")]
    pub neighbour_crown: Option<f64>,
    /// Width of that tooth between its contacts, mm.
    #[arg(long, value_name = "MM", requires = "neighbour")]
    pub neighbour_width: Option<f64>,
    /// Scan of the opposing teeth (STL), in the same frame as the present tooth.
    #[arg(long, value_name = "FILE", requires = "present")]
    pub antagonist: Option<PathBuf>,
}

/// `bisque anatomy preparation`.
#[derive(Debug, Args)]
pub struct CutArgs {
    /// The tooth (ISO 3950).
    pub tooth: u8,
    /// Thicknesses.
    #[command(flatten)]
    pub needs: NeedsArgs,
    /// Total convergence of opposite walls, degrees.
    #[arg(long, default_value_t = 16.0)]
    pub convergence: f64,
    /// Tilt of the path of placement towards mesial and towards lip or cheek, degrees.
    #[arg(long, value_name = "MESIAL,FACIAL", value_delimiter = ',', allow_hyphen_values = true)]
    pub path: Vec<f64>,
    /// Height of the finish line above the enamel's edge, mm.
    #[arg(long, default_value_t = 0.5, allow_negative_numbers = true)]
    pub finish: f64,
    /// Width of the cement gap, mm.
    #[arg(long, default_value_t = 0.06)]
    pub gap: f64,
    /// Age of the person, years.
    #[arg(long, default_value_t = 40.0)]
    pub age: f64,
    /// A wax-up that adds this thickness to the form all round, mm.
    #[arg(long, default_value_t = 0.0, conflicts_with = "wax_up")]
    pub added: f64,
    /// Surfaces at hand.
    #[command(flatten)]
    pub scans: ScansArgs,
    /// Edge length of the lattice, mm.
    #[arg(long, default_value_t = 0.2)]
    pub cell: f64,
    /// Pictures, meshes, JSON.
    #[command(flatten)]
    pub shown: OutArgs,
}
