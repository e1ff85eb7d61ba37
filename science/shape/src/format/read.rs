//! A surface from the bytes of a file.
//!
//! Steps: limits; what the file is; its places and facets; places that are the same become one; facets that lose a side by it are dropped; facets
//! that disagree with their neighbours, and closed shells inside out, are turned. Every step that changed anything, and every flaw left, is told.

use super::error::ReadError;
use super::stl::{self, Parsed};
use super::{Format, ReadLimits, issues, obj, ply, threemf};
use crate::mesh::{Edges, Flaws, Hole, LengthUnit, Mesh, Oriented, Welder, orient};
use answer::Issue;

/// What a file holds, and how it came out of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// Places and facets; in millimetres if the file names its unit, else in its own numbers.
    pub mesh: Mesh,
    /// What the file is.
    pub format: Format,
    /// Unit that the file names.
    pub unit: Option<LengthUnit>,
    /// How the surface hangs together after reading.
    pub flaws: Flaws,
    /// Rims, longest first.
    pub holes: Vec<Hole>,
    /// What was changed or is wrong, in words.
    pub issues: Vec<Issue>,
}

/// Reads a surface; `name` is the file's name as the person knows it, for the issues.
///
/// # Errors
/// A file that cannot be read rightly, with line or byte; more than the limits allow. Never a part of a file that is cut short.
///
/// ```
/// let ball = shape::Surface::of(&shape::Ball::new([0.0; 3], 2.0).unwrap(), 0.5).unwrap();
/// let read = shape::read(&ball.to_ply(), "ball.ply", &shape::ReadLimits::default()).unwrap();
/// assert!(read.flaws.is_closed() && read.issues.is_empty());
/// ```
pub fn read(bytes: &[u8], name: &str, limits: &ReadLimits) -> Result<Read, ReadError> {
    if bytes.len() > limits.bytes {
        return Err(ReadError::TooMuch { what: "bytes of the file", found: bytes.len(), most: limits.bytes });
    }
    let format = Format::of(bytes).ok_or(ReadError::Unknown)?;
    let (parsed, unit) = match format {
        Format::StlBinary => (stl::binary(bytes, limits)?, None),
        Format::StlText => (stl::text(bytes, limits)?, None),
        Format::Ply => (ply::read(bytes, limits)?, None),
        Format::Obj => (obj::read(bytes, limits)?, None),
        Format::ThreeMf => {
            let (parsed, unit) = threemf::read(bytes, limits)?;
            (parsed, Some(unit))
        }
    };
    let Parsed { mut mesh, odd } = parsed;
    if mesh.facets.is_empty() {
        return Err(ReadError::Empty(format));
    }
    let told = mesh.facets.len();
    if !matches!(format, Format::StlBinary | Format::StlText) {
        weld(&mut mesh);
    }
    mesh.facets.retain(|f| f[0] != f[1] && f[1] != f[2] && f[2] != f[0]);
    if mesh.facets.is_empty() {
        return Err(ReadError::Empty(format));
    }
    let mut edges = Edges::new(mesh.points.len(), &mesh.facets);
    let mut flaws = Flaws::of(&mesh.facets, &edges);
    let mut oriented = Oriented::default();
    // One shell whose facets agree can only be wrong as a whole.
    if flaws.wound_against > 0 || flaws.shells > 1 || flaws.open_edges == 0 && mesh.volume() < 0.0 {
        let partner = edges.partners(mesh.facets.len());
        oriented = orient(&mesh.points, &mut mesh.facets, &partner);
        if oriented.flipped + oriented.turned_shells > 0 {
            edges = Edges::new(mesh.points.len(), &mesh.facets);
            flaws = Flaws::of(&mesh.facets, &edges);
        }
    }
    let holes = if flaws.open_edges > 0 { crate::mesh::holes(&mesh.points, &mesh.facets, &edges) } else { Vec::new() };
    let mut read = Read { mesh, format, unit, flaws, holes, issues: Vec::new() };
    let dropped = told - read.mesh.facets.len();
    read.issues = issues::of(&read, name, &odd, dropped, &oriented, limits);
    Ok(read)
}

/// Places of the same numbers become one; places no facet names are left out.
fn weld(mesh: &mut Mesh) {
    let mut welder = Welder::double(mesh.points.len());
    let points = &mesh.points;
    for v in mesh.facets.iter_mut().flatten() {
        *v = welder.number(points[*v as usize]);
    }
    mesh.points = welder.into_places();
}
