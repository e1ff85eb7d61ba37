//! Command line of `bisque strength`.

use clap::{Args, Subcommand};
use std::path::PathBuf;
use strength::designs::Family;

/// `bisque strength`.
#[derive(Debug, Subcommand)]
pub enum StrengthCommand {
    /// Stress in bodies described in a file, by finite elements: displacements, Weibull-equivalent stress of named surfaces, fields, a picture.
    Solve(SolveArgs),
    /// Smallest connector, height first, that keeps the risk of fracture under a level, for each material of a case.
    Connector(LevelArgs),
    /// Thinnest chewing wall that keeps the risk of fracture under a level, for each material of a case.
    Wall(LevelArgs),
    /// Risk of framework fracture over the years with its band, for the options of a case, as planned or in other dimensions.
    Years(YearsArgs),
    /// Risk over years of a body with a given stress spectrum, load and strength: for any body, anchored on nothing.
    Lifetime(LifetimeArgs),
    /// Stress of one option of a case by finite elements of its own form, five places of the bite, and what that makes of its risk. A job of a minute.
    Full(FullArgs),
    /// Designs over dimensions solved by finite elements into a file, and what surfaces fitted to them are worth. May be stopped and gone on with.
    Surfaces(SurfacesArgs),
    /// Weibull-equivalent stress of a neck in bending under a unit load.
    Neck {
        /// Height, mm.
        #[arg(long)]
        height: f64,
        /// Width, mm.
        #[arg(long)]
        width: f64,
        /// Span between the supports, mm.
        #[arg(long)]
        span: f64,
        /// Fillet radius, mm.
        #[arg(long, default_value_t = 0.5)]
        radius: f64,
        /// Weibull modulus.
        #[arg(long, default_value_t = 10.0)]
        modulus: f64,
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
}

/// `bisque strength connector` and `wall`.
#[derive(Debug, Args)]
pub struct LevelArgs {
    /// The case file.
    pub case: PathBuf,
    /// Highest risk of framework fracture that is accepted, in 100.
    #[arg(long, default_value_t = 2.0, value_name = "IN_100")]
    pub level: f64,
    /// By which year: 5, 10 or 15.
    #[arg(long, default_value_t = 10)]
    pub years: u8,
    /// Only these materials (e.g. zirconia_3y,lithium_disilicate); all unless given.
    #[arg(long, value_delimiter = ',')]
    pub materials: Vec<String>,
    /// Draws of what is not known.
    #[arg(long, default_value_t = 512)]
    pub draws: usize,
    /// Seed of the draws.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draws the risk against the dimension for each material as SVG.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque strength years`.
#[derive(Debug, Args)]
pub struct YearsArgs {
    /// The case file.
    pub case: PathBuf,
    /// Option by its id, as `bisque plan` lists them; may be given again. Unless given: the five that break least, each of another construct or material, of the construct the case asks for.
    #[arg(long = "option", value_name = "OPTION")]
    pub options: Vec<String>,
    /// Thickness of the chewing wall, mm, in place of the planned one.
    #[arg(long)]
    pub thickness: Option<f64>,
    /// Height of the connector, mm, in place of the planned one.
    #[arg(long)]
    pub height: Option<f64>,
    /// Width of the connector, mm.
    #[arg(long)]
    pub width: Option<f64>,
    /// Radius of the embrasure, mm.
    #[arg(long)]
    pub radius: Option<f64>,
    /// Draws of what is not known.
    #[arg(long, default_value_t = 512)]
    pub draws: usize,
    /// Seed of the draws.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draws the risk over the years with its band (5 to 95 %) as SVG.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque strength lifetime`.
#[derive(Debug, Args)]
pub struct LifetimeArgs {
    /// Spectrum of the body: CSV with the columns stress_mpa and area_mm2, stress under 1 N.
    pub spectrum: PathBuf,
    /// Peak force and how often a day, N:TIMES, as often as there are kinds of load.
    #[arg(long = "load", value_name = "N:TIMES", required = true)]
    pub loads: Vec<String>,
    /// Seconds that a load lasts.
    #[arg(long, default_value_t = 0.3)]
    pub contact: f64,
    /// Characteristic strength of 1 mm2 under even tension, wet, at a constant rate, MPa.
    #[arg(long)]
    pub strength: f64,
    /// Weibull modulus of that strength.
    #[arg(long)]
    pub modulus: f64,
    /// Crack growth exponent n.
    #[arg(long)]
    pub exponent: f64,
    /// Stress rate of the strength test, MPa/s.
    #[arg(long, default_value_t = 100.0)]
    pub rate: f64,
    /// Wet over dry strength, where the strength was tested dry.
    #[arg(long, default_value_t = 1.0)]
    pub wet: f64,
    /// Years.
    #[arg(long, value_delimiter = ',', default_values_t = [1.0, 5.0, 10.0, 15.0, 20.0])]
    pub years: Vec<f64>,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque strength full`.
#[derive(Debug, Args)]
pub struct FullArgs {
    /// The case file.
    pub case: PathBuf,
    /// Option by its id, as `bisque plan` lists them; the first with a brittle body unless given.
    #[arg(long)]
    pub option: Option<String>,
    /// Edge of a cell, mm.
    #[arg(long, default_value_t = plan::FULL_CELL)]
    pub cell: f64,
    /// Edge of a cell around the connector or under the bite, mm; 0 looks no closer.
    #[arg(long, default_value_t = 0.3)]
    pub zoom: f64,
    /// By which year: 5, 10 or 15.
    #[arg(long, default_value_t = 10)]
    pub years: u8,
    /// Draws of what is not known.
    #[arg(long, default_value_t = 512)]
    pub draws: usize,
    /// Seed of the draws.
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Draws the governing spot on the restoration as PNG: greatest principal stress under the first bite.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Direction from the restoration to the eye, x,y,z.
    #[arg(long, value_name = "X,Y,Z", value_parser = super::shape::triple, default_value = "1,-2,-1", allow_hyphen_values = true)]
    pub eye: [f64; 3],
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque strength surfaces`.
#[derive(Debug, Args)]
pub struct SurfacesArgs {
    /// File of the designs; those that stand in it are not solved again.
    pub file: PathBuf,
    /// Designs of each family that the surfaces are fitted to; 0 only tells what the file is worth.
    #[arg(long, default_value_t = 0)]
    pub designs: usize,
    /// Designs that are kept out of the fit, to check it.
    #[arg(long, default_value_t = 0)]
    pub fresh: usize,
    /// Only this family.
    #[arg(long, value_parser = Family::ALL.map(Family::word))]
    pub family: Option<String>,
    /// Divides all cells: for checks of the solver; such designs are not fitted to.
    #[arg(long, default_value_t = 1.0)]
    pub finer: f64,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

/// `bisque strength solve`.
#[derive(Debug, Args)]
#[command(after_help = SOLVE_HELP)]
pub struct SolveArgs {
    /// The model, TOML.
    pub model: PathBuf,
    /// Edge of a cell, mm, in place of the file's.
    #[arg(long)]
    pub cell: Option<f64>,
    /// Relative residual at which a solution counts as converged.
    #[arg(long, default_value_t = 1e-8)]
    pub tolerance: f64,
    /// Also solves with cells 1/1.4 of the size, and gives the change as an estimate of the error.
    #[arg(long)]
    pub check: bool,
    /// Writes the fields as VTU (XML, text), one file a body and load case, into this folder.
    #[arg(long, value_name = "DIR")]
    pub vtu: Option<PathBuf>,
    /// Draws the greatest principal stress on the surface of all bodies as PNG.
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
    /// Load case to draw, by name; the first unless given.
    #[arg(long)]
    pub case: Option<String>,
    /// Direction from the bodies to the eye, x,y,z.
    #[arg(long, value_name = "X,Y,Z", value_parser = super::shape::triple, default_value = "1,-2,1", allow_hyphen_values = true)]
    pub eye: [f64; 3],
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

const SOLVE_HELP: &str = "\
The model file is explained with a worked example in docs/strength-model.md. In short (mm, N, MPa, K):

  cell = 0.3
  moduli = [5, 10, 15]
  [material.core]
  young = 210000.0
  poisson = 0.3
  [[body]]
  name = \"bar\"
  material = \"core\"
  parts = [{ shape = \"block\", size = [10, 2, 2] }]
  [[support]]
  name = \"left\"
  body = \"bar\"
  region = [{ shape = \"block\", centre = [-5, 0, 0], size = [0.001, 3, 3] }]
  clamp = true
  [[load]]
  name = \"right\"
  body = \"bar\"
  region = [{ shape = \"block\", centre = [5, 0, 0], size = [0.001, 3, 3] }]
  force = [0, 0, -10]
  [[group]]
  name = \"top\"
  body = \"bar\"
  region = [{ shape = \"block\", centre = [0, 0, 1], size = [6, 3, 0.001] }]";
