//! Command lines of `bisque anatomy endocrown` and `bisque anatomy implant`.

use super::OutArgs;
use clap::Args;

/// `bisque anatomy endocrown`.
#[derive(Debug, Args)]
pub struct EndocrownArgs {
    /// The tooth (ISO 3950), root-filled.
    pub tooth: u8,
    /// Height of the butt above the facial enamel edge, mm.
    #[arg(long, default_value_t = 2.0)]
    pub height: f64,
    /// Depth of the recess below the butt, mm.
    #[arg(long, default_value_t = 2.5)]
    pub depth: f64,
    /// How far each wall of the recess opens, degrees.
    #[arg(long, default_value_t = 8.0)]
    pub opening: f64,
    /// Width of the cement gap, mm.
    #[arg(long, default_value_t = 0.06)]
    pub gap: f64,
    /// Edge length of the lattice, mm.
    #[arg(long, default_value_t = 0.2)]
    pub cell: f64,
    /// Pictures, meshes, JSON.
    #[command(flatten)]
    pub shown: OutArgs,
}

/// `bisque anatomy implant`.
#[derive(Debug, Args)]
pub struct ImplantArgs {
    /// The tooth that is replaced (ISO 3950).
    pub tooth: u8,
    /// Radius of the abutment's cone at the shoulder, mm.
    #[arg(long, default_value_t = 2.0)]
    pub radius: f64,
    /// Height of the cone above the shoulder, mm.
    #[arg(long, default_value_t = 4.0)]
    pub height: f64,
    /// Total convergence of the cone, degrees.
    #[arg(long, default_value_t = 12.0)]
    pub convergence: f64,
    /// Width of the shoulder, mm.
    #[arg(long, default_value_t = 0.8)]
    pub shoulder: f64,
    /// Level of the shoulder above the enamel's edge of the tooth that stood there, mm (below 0: under it).
    #[arg(long, default_value_t = -0.5, allow_negative_numbers = true)]
    pub level: f64,
    /// Radius of the screw's channel through the crown, mm; 0 for a cemented crown.
    #[arg(long, default_value_t = 0.0)]
    pub channel: f64,
    /// Width of the cement gap, mm.
    #[arg(long, default_value_t = 0.06)]
    pub gap: f64,
    /// Edge length of the lattice, mm.
    #[arg(long, default_value_t = 0.2)]
    pub cell: f64,
    /// Pictures, meshes, JSON.
    #[command(flatten)]
    pub shown: OutArgs,
}
