//! Command line of `bisque strength`.

use clap::{Args, Subcommand};
use std::path::PathBuf;

/// `bisque strength`.
#[derive(Debug, Subcommand)]
pub enum StrengthCommand {
    /// Stress in bodies described in a file, by finite elements: displacements, Weibull-equivalent stress of named surfaces, fields, a picture.
    Solve(SolveArgs),
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
