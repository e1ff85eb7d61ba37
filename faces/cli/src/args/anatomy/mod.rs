//! Command line of `bisque anatomy`.

mod built;
mod check;
mod cut;
mod design;
mod least;
mod unit;

pub use built::{EndocrownArgs, ImplantArgs};
pub use check::CheckArgs;
pub use cut::{CutArgs, NeedsArgs, ScansArgs};
pub use design::DesignArgs;
pub use least::LeastArgs;
pub use unit::{PonticArg, UnitArgs};

use clap::{Args as ClapArgs, Subcommand};
use std::path::PathBuf;

/// `bisque anatomy`.
#[derive(Debug, Subcommand)]
pub enum AnatomyCommand {
    /// A tooth of average size with its enamel, dentine and pulp: measures, pictures, meshes.
    Tooth(ToothArgs),
    /// One preparation as a body: measured and drawn, with the restoration that fills it.
    Preparation(CutArgs),
    /// A restoration on its teeth in the arch: retainers, pontics, connectors, one path of placement.
    Unit(UnitArgs),
    /// An endocrown: the tooth cut to a butt, its pulp chamber opened, the crown that reaches into it.
    Endocrown(EndocrownArgs),
    /// A crown on an implant's abutment in place of a tooth.
    Implant(ImplantArgs),
    /// The least preparation: for needs given, or for all options of a case side by side.
    Least(LeastArgs),
    /// Planned against achieved: a scanned preparation beside the plan, and what it still allows.
    Check(CheckArgs),
    /// A restoration as designed: thickness by surface, spots below what its material needs, connectors, clearance.
    Design(DesignArgs),
}

/// Where pictures and meshes go, and the form of the answer.
#[derive(Debug, ClapArgs)]
pub struct OutArgs {
    /// Folder for pictures: sides (PNG) and cuts to scale (SVG).
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Meshes of all parts as well (STL), marked as not to cut to.
    #[arg(long, requires = "out")]
    pub meshes: bool,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque anatomy tooth`.
#[derive(Debug, ClapArgs)]
pub struct ToothArgs {
    /// The tooth (ISO 3950: 11-18, 21-28, 31-38, 41-48).
    pub tooth: u8,
    /// Age of the person, years: the pulp shrinks with it.
    #[arg(long, default_value_t = 40.0)]
    pub age: f64,
    /// Edge length of the lattice it is measured and drawn on, mm.
    #[arg(long, default_value_t = 0.2)]
    pub cell: f64,
    /// Pictures, meshes, JSON.
    #[command(flatten)]
    pub shown: OutArgs,
}
