//! `bisque shape undercut`.

use super::{SurfaceView, triple};
use clap::Args;
use std::path::PathBuf;

/// `bisque shape undercut`.
#[derive(Debug, Args)]
pub struct UndercutArgs {
    /// Surface (STL, PLY, OBJ, 3MF), mm; an open one is fine.
    pub file: PathBuf,
    /// Direction of withdrawal.
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, default_value = "0,0,1", allow_hyphen_values = true)]
    pub direction: [f64; 3],
    /// Look for the direction with the least undercut within this angle of the one given, degrees.
    #[arg(long, value_name = "DEGREES")]
    pub search: Option<f64>,
    /// Facets within this angle of facing straight away, with nothing under them, are the underside and not counted, degrees.
    #[arg(long, default_value_t = 30.0, value_name = "DEGREES")]
    pub floor: f64,
    /// Undercuts less deep are not counted, mm.
    #[arg(long, default_value_t = 0.01, value_name = "MM")]
    pub least: f64,
    /// Facets that lean less than this from the direction are walls, degrees.
    #[arg(long, default_value_t = 30.0, value_name = "DEGREES")]
    pub wall: f64,
    /// The picture.
    #[command(flatten)]
    pub picture: SurfaceView,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
