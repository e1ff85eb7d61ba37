//! `bisque shape mesh`.

use clap::Args;
use std::path::PathBuf;

/// `bisque shape mesh`.
#[derive(Debug, Args)]
#[command(after_help = MODEL)]
pub struct MeshArgs {
    /// Bodies (TOML; see below).
    pub model: PathBuf,
    /// Edge of a lattice cell, mm.
    #[arg(long, value_name = "MM")]
    pub cell: f64,
    /// Where the surface goes; the ending chooses: .stl, .ply or .3mf.
    #[arg(long, short, value_name = "FILE")]
    pub out: PathBuf,
    /// As JSON.
    #[arg(long)]
    pub json: bool,
}

const MODEL: &str = "The model is a list of bodies, taken in order: the first stands, each further one is added, cut away or kept in common, \
with a fillet or edge radius.

  [[body]]
  shape = \"block\"            # ball, block, ellipsoid, cylinder, frustum, capsule, torus, mesh
  centre = [0, 0, 0]
  size = [8, 6, 2]           # block; edge = 0.2 rounds its edges
  [[body]]
  shape = \"cylinder\"         # radius, height, edge; along z
  centre = [0, 0, 2]
  radius = 1.5
  height = 4
  how = \"add\"                # add, cut, keep
  fillet = 0.5               # radius of the corner between
  turn = [0, 1, 0, 15]       # axis and degrees, about the origin, then
  shift = [1, 0, 0]

ball: radius. ellipsoid: semi = [a, b, c]. frustum: low, high (radii), height. capsule: from, to, radius. torus: ring, tube. \
mesh: file = \"scan.stl\" (STL, PLY, OBJ, 3MF, beside the model).";
