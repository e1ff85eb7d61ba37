//! `bisque shape thickness` and `bisque shape distance`.

use super::SurfaceView;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Which thickness counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ThicknessBy {
    /// Along the inward normal.
    Ray,
    /// Largest inscribed ball that touches.
    Ball,
}

/// `bisque shape thickness`.
#[derive(Debug, Args)]
pub struct ThicknessArgs {
    /// Surface (STL, PLY, OBJ, 3MF), mm.
    pub file: PathBuf,
    /// Thickness needed, mm: spots below it are listed.
    #[arg(long, value_name = "MM")]
    pub need: Option<f64>,
    /// Which thickness is compared with the need and drawn.
    #[arg(long, value_enum, default_value = "ball")]
    pub by: ThicknessBy,
    /// Write place, ray and ball of every facet (CSV).
    #[arg(long, value_name = "FILE")]
    pub values: Option<PathBuf>,
    /// The picture.
    #[command(flatten)]
    pub picture: SurfaceView,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque shape distance`.
#[derive(Debug, Args)]
pub struct DistanceArgs {
    /// Surface to measure (STL, PLY, OBJ, 3MF), mm.
    pub measured: PathBuf,
    /// Surface it is measured from (STL, PLY, OBJ, 3MF), mm; distances are positive where its normals point.
    pub reference: PathBuf,
    /// The picture.
    #[command(flatten)]
    pub picture: SurfaceView,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
