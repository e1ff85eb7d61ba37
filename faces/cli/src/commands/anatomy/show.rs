//! Pictures and meshes of bodies: sides as PNG, cuts to scale as SVG, meshes marked as not to cut to.

use crate::failure::Failure;
use ::anatomy::{Cutting, Part};
use papers::tissue::{CutPicture, Tissue, cut_scene};
use picture::{ColourMap, MarkedSpot, Steps, SurfacePicture, SurfaceValues, Theme, View, surface_picture};
use shape::Surface;

/// A file to be written: name and contents.
pub type File = (String, Vec<u8>);

/// Sides a tooth is looked at from: name, direction to the eye, up.
pub const SIDES: [(&str, [f64; 3], [f64; 3]); 5] = [
    ("facial", [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]),
    ("lingual", [0.0, -1.0, 0.0], [0.0, 0.0, 1.0]),
    ("mesial", [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
    ("distal", [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]),
    ("chewing", [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]),
];

/// Values on a surface.
pub struct Values<'a> {
    pub at_points: Option<&'a [Option<f64>]>,
    pub quantity: &'a str,
    pub unit: &'a str,
    pub steps: Option<Steps>,
    pub both_ways: bool,
    pub spots: Vec<MarkedSpot>,
}

impl Values<'_> {
    /// The shape alone.
    pub fn none() -> Self {
        Self { at_points: None, quantity: "", unit: "mm", steps: None, both_ways: false, spots: Vec::new() }
    }
}

/// A surface from one side.
pub fn side(
    name: &str,
    surface: &Surface,
    from: [f64; 3],
    up: [f64; 3],
    values: &Values,
    size: [usize; 2],
) -> Result<File, Failure> {
    let how = SurfacePicture {
        size,
        view: View { from, up },
        map: if values.both_ways { ColourMap::TwoWay } else { ColourMap::OneWay },
        steps: values.steps.clone(),
        quantity: values.quantity.to_owned(),
        unit: values.unit.to_owned(),
        spots: values.spots.clone(),
    };
    let given = values.at_points.map_or(SurfaceValues::Plain, SurfaceValues::AtPoints);
    let drawn = surface_picture(surface.points(), surface.facets(), given, &how).map_err(wrong)?;
    Ok((format!("{name}.png"), drawn.png().map_err(wrong)?))
}

/// A surface from all sides.
pub fn all_sides(name: &str, surface: &Surface, values: &Values) -> Result<Vec<File>, Failure> {
    SIDES
        .iter()
        .map(|(side_name, from, up)| side(&format!("{name}-{side_name}"), surface, *from, *up, values, [560, 420]))
        .collect()
}

/// The surface of a part.
pub fn surface_of(part: &Part, cell: f64) -> Result<Surface, Failure> {
    Surface::of(part, cell).map_err(wrong)
}

/// A mesh that says in its name and header what it is not for.
pub fn mesh(name: &str, surface: &Surface) -> File {
    let mut bytes = surface.to_stl();
    let words = b"bisque: average form to look at and measure, NOT TO CUT TO";
    for (slot, b) in bytes.iter_mut().zip(words) {
        *slot = *b;
    }
    (format!("{name}-not-to-cut-to.stl"), bytes)
}

/// Cuts through parts to scale: from cheek to tongue and from neighbour to neighbour; parts hindmost first.
pub fn cuts(
    name: &str,
    title: &str,
    parts: &[(Tissue, Part)],
    data: &[(String, String)],
) -> Result<Vec<File>, Failure> {
    let planes = [
        ("facio-lingual", "cut from lip or cheek (right) to tongue (left)", Cutting::facio_lingual(0.0)),
        ("mesio-distal", "cut from neighbour to neighbour, mesial at the right", Cutting::mesio_distal(0.0)),
    ];
    planes
        .iter()
        .map(|(file, words, plane)| {
            let outlines = parts.iter().map(|(tissue, part)| (*tissue, plane.outlines(part, 0.08))).collect();
            let picture =
                CutPicture { title: title.to_owned(), plane: (*words).to_owned(), outlines, data: data.to_vec() };
            let scene = cut_scene(&picture).map_err(wrong)?;
            Ok((format!("{name}-cut-{file}.svg"), picture::svg(&scene, Theme::Light).into_bytes()))
        })
        .collect()
}

/// A fault of what was asked for.
pub fn wrong(error: impl std::fmt::Display) -> Failure {
    Failure::Usage(error.to_string())
}
