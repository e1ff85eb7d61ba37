//! Fields of a body as VTU: its surface, with displacement and stress at the corners.
//!
//! Format: VTK XML unstructured grid, text (VTK file formats, kitware documentation). Cell type 5 is a triangle.

use super::surface::Drawn;
use std::fmt::Write;

/// One body in one load case.
pub fn text(drawn: &Drawn) -> String {
    let (points, facets) = (drawn.surface.points(), drawn.surface.facets());
    let mut out = String::from(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"UnstructuredGrid\" version=\"0.1\" byte_order=\"LittleEndian\">\n",
    );
    // Writing into a string cannot fail.
    let mut line = |s: &str| {
        let _ = writeln!(out, "{s}");
    };
    line("<UnstructuredGrid>");
    line(&format!("<Piece NumberOfPoints=\"{}\" NumberOfCells=\"{}\">", points.len(), facets.len()));
    line("<Points>");
    line(&array("places", 3, points.iter().flatten().map(|x| format!("{x:.7e}"))));
    line("</Points>\n<Cells>");
    line(&whole("connectivity", "Int64", facets.iter().flatten().map(|n| u64::from(*n))));
    line(&whole("offsets", "Int64", (1..=facets.len() as u64).map(|n| 3 * n)));
    line(&whole("types", "UInt8", facets.iter().map(|_| 5)));
    line("</Cells>\n<PointData Vectors=\"displacement_mm\" Scalars=\"greatest_principal_mpa\">");
    line(&array("displacement_mm", 3, drawn.local.iter().flat_map(|l| l.displacement).map(|x| format!("{x:.7e}"))));
    line(&array(
        "stress_mpa_xx_yy_zz_xy_yz_zx",
        6,
        drawn.local.iter().flat_map(|l| l.stress).map(|x| format!("{x:.7e}")),
    ));
    line(&array("greatest_principal_mpa", 1, drawn.greatest().map(|x| format!("{x:.7e}"))));
    line("</PointData>\n</Piece>\n</UnstructuredGrid>\n</VTKFile>");
    out
}

fn array(name: &str, components: usize, values: impl Iterator<Item = String>) -> String {
    let values: Vec<String> = values.collect();
    format!(
        "<DataArray type=\"Float64\" Name=\"{name}\" NumberOfComponents=\"{components}\" format=\"ascii\">\n{}\n</DataArray>",
        values.join(" ")
    )
}

fn whole(name: &str, kind: &str, values: impl Iterator<Item = u64>) -> String {
    let values: Vec<String> = values.map(|v| v.to_string()).collect();
    format!("<DataArray type=\"{kind}\" Name=\"{name}\" format=\"ascii\">\n{}\n</DataArray>", values.join(" "))
}
