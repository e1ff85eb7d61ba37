//! `bisque shape`: surfaces and bodies, for measuring and for checking against other programs.

mod align;
mod mesh;
pub(super) mod model;
mod read;
mod sections;
mod thickness;
mod undercut;

use crate::args::{ShapeCommand, SurfaceView};
use crate::complaint;
use crate::failure::Failure;
use ::shape::{Read, ReadLimits, ShapeError, Surface};
use answer::{Issue, Place, six_figures};
use picture::{ColourMap, MarkedSpot, Steps, SurfacePicture, SurfaceValues, View, surface_picture};
use std::fs;
use std::path::Path;

/// Runs a `shape` command.
pub fn run(command: ShapeCommand) -> Result<(), Failure> {
    match command {
        ShapeCommand::Read(args) => read::read(&args),
        ShapeCommand::Repair(args) => read::mend(&args),
        ShapeCommand::Thickness(args) => thickness::thickness(&args),
        ShapeCommand::Distance(args) => thickness::distance(&args),
        ShapeCommand::Sections(args) => sections::run(&args),
        ShapeCommand::Undercut(args) => undercut::run(&args),
        ShapeCommand::Align(args) => align::run(&args),
        ShapeCommand::Mesh(args) => mesh::run(&args),
    }
}

/// A file with what is said of it.
fn read_file(path: &Path) -> Result<Read, Failure> {
    let limits = ReadLimits::default();
    let failed = |source| Failure::Read { path: path.to_owned(), source };
    if fs::metadata(path).map_err(failed)?.len() > limits.bytes as u64 {
        let text = format!("it has more than the {} bytes that are read", limits.bytes);
        return Err(failed(std::io::Error::new(std::io::ErrorKind::FileTooLarge, text)));
    }
    let bytes = fs::read(path).map_err(failed)?;
    let name = name(path);
    ::shape::read(&bytes, &name, &limits).map_err(|e| Failure::Input { issues: vec![e.issue(&name)], text: None })
}

/// A surface to measure; what is wrong with it goes to standard error.
pub(super) fn read_surface(path: &Path) -> Result<Surface, Failure> {
    let read = read_file(path)?;
    complaint::print_warnings(&read.issues, "");
    Surface::from_mesh(read.mesh).map_err(|e| bad(path, "surface", &e))
}

/// A surface in the format that the file's ending chooses.
fn write_surface(path: &Path, surface: &Surface) -> Result<(), Failure> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "stl" => write(path, &surface.to_stl()),
        "ply" => write(path, &surface.to_ply()),
        "3mf" => write(path, &surface.to_3mf()),
        _ => Err(Failure::Usage(format!("{}: end the name with .stl, .ply or .3mf", path.display()))),
    }
}

fn name(path: &Path) -> String {
    path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default()
}

/// A fault in what a file holds.
fn bad(path: &Path, field: &str, error: &ShapeError) -> Failure {
    let place = Place { field: field.to_owned(), ..Place::file(name(path)) };
    let issue = Issue::error(place, error.to_string(), "a surface or body that can be measured so", "see the message");
    Failure::Input { issues: vec![issue], text: None }
}

/// A fault in what was asked for.
fn usage(error: ShapeError) -> Failure {
    Failure::Usage(error.to_string())
}

fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    fs::write(path, bytes).map_err(|source| Failure::Write { path: path.to_owned(), source })
}

fn rounded(p: [f64; 3]) -> [f64; 3] {
    p.map(six_figures)
}

fn in_words(p: [f64; 3]) -> String {
    format!("({:.3}, {:.3}, {:.3})", p[0], p[1], p[2])
}

/// What to draw.
struct Drawn<'a> {
    values: &'a [Option<f64>],
    at_points: bool,
    quantity: &'a str,
    unit: &'a str,
    spots: Vec<MarkedSpot>,
    either_side: bool,
}

fn draw(surface: &Surface, args: &SurfaceView, drawn: Drawn) -> Result<(), Failure> {
    let Some(path) = &args.picture else { return Ok(()) };
    let upright = args.eye[0].hypot(args.eye[1]) > 1e-6 * args.eye[2].abs();
    let range =
        drawn.values.iter().flatten().fold([f64::INFINITY, f64::NEG_INFINITY], |r, v| [r[0].min(*v), r[1].max(*v)]);
    let how = SurfacePicture {
        size: [900, 640],
        view: View { from: args.eye, up: if upright { [0.0, 0.0, 1.0] } else { [0.0, 1.0, 0.0] } },
        map: if drawn.either_side { ColourMap::TwoWay } else { ColourMap::OneWay },
        steps: (drawn.either_side && range[0] <= range[1]).then(|| Steps::either_side(range, 10)),
        quantity: drawn.quantity.to_owned(),
        unit: drawn.unit.to_owned(),
        spots: drawn.spots,
    };
    let values =
        if drawn.at_points { SurfaceValues::AtPoints(drawn.values) } else { SurfaceValues::AtFacets(drawn.values) };
    let canvas =
        surface_picture(surface.points(), surface.facets(), values, &how).map_err(|e| Failure::Usage(e.to_string()))?;
    let bytes = canvas.png().map_err(|e| Failure::Usage(e.to_string()))?;
    write(path, &bytes)
}
