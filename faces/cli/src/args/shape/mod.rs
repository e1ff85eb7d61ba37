//! Command line of `bisque shape`.

mod align;
mod mesh;
mod read;
mod sections;
mod thickness;
mod undercut;

pub use align::AlignArgs;
pub use mesh::MeshArgs;
pub use read::{ReadArgs, RepairArgs};
pub use sections::{SectionsArgs, SmallestBy};
pub use thickness::{DistanceArgs, ThicknessArgs, ThicknessBy};
pub use undercut::UndercutArgs;

use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `bisque shape`.
#[derive(Debug, Subcommand)]
pub enum ShapeCommand {
    /// What a file of a surface holds: format, unit, shells, holes with length and place, facets that cut each other, needles.
    Read(ReadArgs),
    /// Mend a surface (weld, drop, turn, close small holes), each step told, and write it as STL, PLY or 3MF.
    Repair(RepairArgs),
    /// Wall thickness everywhere, by ray and by inscribed ball; thin spots with their place.
    Thickness(ThicknessArgs),
    /// Signed distances of one surface from another.
    Distance(DistanceArgs),
    /// Sections along a path: area, height, width, second moments, section modulus; the smallest of all planes.
    Sections(SectionsArgs),
    /// What a direction of withdrawal leaves behind, and how the walls converge.
    Undercut(UndercutArgs),
    /// Lay one surface on another, with the quality of the fit.
    Align(AlignArgs),
    /// A closed triangle surface out of bodies described in a file.
    Mesh(MeshArgs),
}

/// How a surface is drawn.
#[derive(Debug, Args)]
pub struct SurfaceView {
    /// Write a picture (PNG).
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Direction from the surface to the eye in the picture.
    #[arg(long, value_name = "X,Y,Z", value_parser = triple, default_value = "1,-1.5,1", allow_hyphen_values = true)]
    pub eye: [f64; 3],
}

/// Three numbers with commas between.
pub fn triple(text: &str) -> Result<[f64; 3], String> {
    let numbers: Vec<f64> = text.split(',').filter_map(|w| w.trim().parse().ok()).collect();
    match numbers[..] {
        [x, y, z] if text.split(',').count() == 3 && numbers.iter().all(|n| n.is_finite()) => Ok([x, y, z]),
        _ => Err("give three numbers with commas between, such as 0,0,1".to_owned()),
    }
}
