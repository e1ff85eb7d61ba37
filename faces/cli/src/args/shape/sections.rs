//! `bisque shape sections`.

use super::triple;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What is to be smallest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SmallestBy {
    /// Area.
    Area,
    /// Section modulus for bending about the width axis.
    Modulus,
}

/// `bisque shape sections`.
#[derive(Debug, Args)]
pub struct SectionsArgs {
    /// Closed surface (STL, PLY, OBJ, 3MF), mm.
    pub file: PathBuf,
    /// A place of the path; give two or more, in order.
    #[arg(long = "through", value_name = "X,Y,Z", value_parser = triple, required = true, allow_hyphen_values = true)]
    pub through: Vec<[f64; 3]>,
    /// What counts as height.
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, default_value = "0,0,1", allow_hyphen_values = true)]
    pub up: [f64; 3],
    /// Sections along the path.
    #[arg(long, default_value_t = 11)]
    pub count: usize,
    /// Greatest tilt of the planes tried for the smallest section, degrees.
    #[arg(long, default_value_t = 20.0, value_name = "DEGREES")]
    pub tilt: f64,
    /// What is to be smallest.
    #[arg(long, value_enum, default_value = "area")]
    pub smallest: SmallestBy,
    /// Only the part of each section around the path, where a plane cuts several.
    #[arg(long)]
    pub around_path: bool,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}
