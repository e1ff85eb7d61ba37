//! Surfaces as bytes of a file: STL, PLY, 3MF.

use super::container::pack;
use crate::surface::Surface;
use std::fmt::Write;

const TYPES: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    "\n",
    r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">"#,
    r#"<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>"#,
    r#"<Default Extension="model" ContentType="application/vnd.ms-package.3dmanufacturing-3dmodel+xml"/></Types>"#
);

const RELATIONS: &str = concat!(
    r#"<?xml version="1.0" encoding="UTF-8"?>"#,
    "\n",
    r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">"#,
    r#"<Relationship Id="rel0" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>"#
);

impl Surface {
    /// The surface as a binary STL file; places are rounded to 32-bit numbers.
    pub fn to_stl(&self) -> Vec<u8> {
        let mut out = Vec::with_capacity(84 + 50 * self.facets().len());
        out.resize(80, 0u8);
        out.extend((self.facets().len() as u32).to_le_bytes());
        for (f, normal) in self.normals().iter().enumerate() {
            for v in std::iter::once(*normal).chain(self.corners(f as u32)) {
                for x in v {
                    out.extend((x as f32).to_le_bytes());
                }
            }
            out.extend([0, 0]);
        }
        out
    }

    /// The surface as a binary little-endian PLY file; places keep all their digits.
    pub fn to_ply(&self) -> Vec<u8> {
        let mut out = format!(
            "ply\nformat binary_little_endian 1.0\ncomment unit millimetre\nelement vertex {}\nproperty double x\nproperty double y\n\
             property double z\nelement face {}\nproperty list uchar int vertex_indices\nend_header\n",
            self.points().len(),
            self.facets().len()
        )
        .into_bytes();
        out.reserve(24 * self.points().len() + 13 * self.facets().len());
        for x in self.points().iter().flatten() {
            out.extend(x.to_le_bytes());
        }
        for f in self.facets() {
            out.push(3);
            f.iter().for_each(|v| out.extend(v.to_le_bytes()));
        }
        out
    }

    /// The surface as a 3MF file in millimetres; places keep all their digits.
    pub fn to_3mf(&self) -> Vec<u8> {
        let mut text = String::with_capacity(64 * (self.points().len() + self.facets().len()) + 512);
        text.push_str(concat!(
            r#"<?xml version="1.0" encoding="UTF-8"?>"#,
            "\n",
            r#"<model unit="millimeter" xml:lang="en-GB" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">"#,
            r#"<resources><object id="1" type="model"><mesh><vertices>"#
        ));
        // Writing to a string cannot fail.
        for [x, y, z] in self.points() {
            let _ = write!(text, r#"<vertex x="{x}" y="{y}" z="{z}"/>"#);
        }
        text.push_str("</vertices><triangles>");
        for [a, b, c] in self.facets() {
            let _ = write!(text, r#"<triangle v1="{a}" v2="{b}" v3="{c}"/>"#);
        }
        text.push_str("</triangles></mesh></object></resources><build><item objectid=\"1\"/></build></model>\n");
        pack(&[
            ("[Content_Types].xml", TYPES.into()),
            ("_rels/.rels", RELATIONS.into()),
            ("3D/3dmodel.model", text.into_bytes()),
        ])
    }
}
