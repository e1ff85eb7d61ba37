//! `bisque shape align`.

use super::{SurfaceView, triple};
use clap::Args;
use std::path::PathBuf;

/// `bisque shape align`.
#[derive(Debug, Args)]
pub struct AlignArgs {
    /// Surface that moves (STL, PLY, OBJ, 3MF), mm.
    pub moving: PathBuf,
    /// Surface that stays (STL, PLY, OBJ, 3MF), mm.
    pub fixed: PathBuf,
    /// A picked place on the moving surface; three or more, in the order of their partners. Without any the shapes alone decide.
    #[arg(long = "pick", value_name = "X,Y,Z", value_parser = triple, allow_hyphen_values = true)]
    pub pick: Vec<[f64; 3]>,
    /// Its partner on the fixed surface.
    #[arg(long = "partner", value_name = "X,Y,Z", value_parser = triple, allow_hyphen_values = true)]
    pub partner: Vec<[f64; 3]>,
    /// The moving surface already lies nearly right: refine only.
    #[arg(long, conflicts_with_all = ["pick", "partner"])]
    pub near: bool,
    /// Distance up to which a place counts as lying on the fixed surface, mm.
    #[arg(long, default_value_t = 0.1, value_name = "MM")]
    pub tolerance: f64,
    /// Least share of the moving surface that must lie on the fixed one, per cent.
    #[arg(long, default_value_t = 70.0, value_name = "PERCENT")]
    pub overlap: f64,
    /// Write the moved surface; the ending chooses: .stl, .ply or .3mf.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// The picture: distances of the moved surface from the fixed one.
    #[command(flatten)]
    pub picture: SurfaceView,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
