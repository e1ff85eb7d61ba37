//! `bisque shape read` and `bisque shape repair`.

use clap::Args;
use shape::LengthUnit;
use std::path::PathBuf;

/// `bisque shape read`.
#[derive(Debug, Args)]
pub struct ReadArgs {
    /// Surface (STL, PLY, OBJ or 3MF; told by its content).
    pub file: PathBuf,
    /// Unit the file is written in: um, mm, cm, m, inch, foot. Without it the file's numbers are taken as mm, or the unit it names.
    #[arg(long)]
    pub unit: Option<LengthUnit>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque shape repair`.
#[derive(Debug, Args)]
pub struct RepairArgs {
    /// Surface (STL, PLY, OBJ or 3MF; told by its content).
    pub file: PathBuf,
    /// Where the mended surface goes, in mm; the ending chooses: .stl, .ply or .3mf.
    pub out: PathBuf,
    /// Unit the file is written in: um, mm, cm, m, inch, foot.
    #[arg(long)]
    pub unit: Option<LengthUnit>,
    /// Places within this distance become one, mm; 0 joins only the same ones.
    #[arg(long, default_value_t = 0.001, value_name = "MM")]
    pub weld: f64,
    /// Longest rim that is closed, mm; 0 closes none.
    #[arg(long, default_value_t = 3.0, value_name = "MM")]
    pub fill: f64,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
