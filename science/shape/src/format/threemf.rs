//! 3MF: a package whose one part names objects (triangles, or copies of other objects) and what of them is built (3MF Core Specification 1.3).
//!
//! Read are unit, meshes, components and build items with their transforms; objects that are not built are left out, as are colours, materials and
//! every extension. An object in another part of the package (production extension) is refused by name. Places are given in millimetres.

use super::container::{Part, parts};
use super::error::{at_line, whole};
use super::stl::Parsed;
use super::{Format, ReadError, ReadLimits};
use crate::mesh::{LengthUnit, Mesh};
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::HashMap;

const FORMAT: Format = Format::ThreeMf;
/// Components within components.
const DEEPEST: usize = 16;
/// Copies that components and items may ask for.
const MOST_COPIES: usize = 100_000;

/// Rows of an affine map: a place (x, y, z) goes to x r0 + y r1 + z r2 + r3.
type Transform = [[f64; 3]; 4];

const SAME: Transform = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.0; 3]];

#[derive(Default)]
struct Object {
    mesh: Mesh,
    components: Vec<(String, Transform)>,
}

#[derive(Default)]
struct Model {
    unit: Option<String>,
    objects: HashMap<String, Object>,
    items: Vec<(String, Transform)>,
    extensions: Option<String>,
}

pub(super) fn read(bytes: &[u8], limits: &ReadLimits) -> Result<(Parsed, LengthUnit), ReadError> {
    let text = if bytes.starts_with(b"PK") { model_part(bytes, limits)? } else { bytes.to_vec() };
    let text = String::from_utf8(text).map_err(|_| whole(FORMAT, "the model is not UTF-8 text", "UTF-8"))?;
    let model = parse(text.trim_start_matches('\u{feff}'), limits)?;
    let word = model.unit.as_deref().unwrap_or("millimeter");
    let unit = LengthUnit::of_3mf(word).ok_or_else(|| {
        whole(FORMAT, format!("unit `{word}`"), "micron, millimeter, centimeter, inch, foot or meter")
    })?;
    let mut mesh = Mesh::default();
    let mut odd = Vec::new();
    let mut copies = 0;
    if model.items.is_empty() && !model.objects.is_empty() {
        odd.push("no object is asked to be built: all objects with triangles were read".to_owned());
        let mut ids: Vec<&String> = model.objects.keys().collect();
        ids.sort();
        for id in ids {
            append(&mut mesh, &model.objects[id].mesh, &SAME, limits)?;
        }
    }
    for (id, transform) in &model.items {
        build(&model, id, transform, 0, &mut copies, &mut mesh, limits)?;
    }
    if let Some(extensions) = model.extensions.filter(|e| !e.trim().is_empty()) {
        odd.push(format!("it requires the extensions `{extensions}`, which are not read: the surface may lack parts"));
    }
    Ok((Parsed { mesh: mesh.scaled(unit.millimetres()), odd }, unit))
}

fn model_part(bytes: &[u8], limits: &ReadLimits) -> Result<Vec<u8>, ReadError> {
    let parts = parts(bytes)?;
    let named = |name: &str| parts.iter().find(|p: &&Part| p.name.eq_ignore_ascii_case(name));
    let target = match named("_rels/.rels") {
        Some(part) => start_part(&String::from_utf8_lossy(&part.unpack(limits)?)),
        None => None,
    };
    let name = target.unwrap_or_else(|| "3D/3dmodel.model".to_owned());
    let part = named(name.trim_start_matches('/'));
    part.ok_or_else(|| whole(FORMAT, format!("the package has no part `{name}`"), "a model"))?.unpack(limits)
}

/// Name of the part that the package says to start with.
fn start_part(relations: &str) -> Option<String> {
    let mut reader = Reader::from_str(relations);
    loop {
        match reader.read_event().ok()? {
            Event::Start(e) | Event::Empty(e) if attribute(&e, "Type").is_some_and(|t| t.ends_with("/3dmodel")) => {
                return attribute(&e, "Target");
            }
            Event::Eof => return None,
            _ => {}
        }
    }
}

fn attribute(element: &BytesStart, name: &str) -> Option<String> {
    let found = element.attributes().flatten().find(|a| a.key.as_ref() == name)?;
    Some(found.value.into_owned())
}

fn parse(text: &str, limits: &ReadLimits) -> Result<Model, ReadError> {
    let mut reader = Reader::from_str(text);
    let mut model = Model::default();
    let mut object: Option<(String, Object)> = None;
    loop {
        let before = reader.buffer_position() as usize;
        let wrong = |found: &str, expected| {
            let line = 1 + text.as_bytes()[..before.min(text.len())].iter().filter(|b| **b == b'\n').count();
            at_line(FORMAT, line, found, expected)
        };
        match reader.read_event().map_err(|e| wrong(&e.to_string(), "XML"))? {
            Event::Start(e) | Event::Empty(e) => {
                let what = e.local_name();
                let here = object.as_mut().map(|o| &mut o.1);
                match (what.as_ref(), here) {
                    ("model", _) => {
                        model.unit = attribute(&e, "unit");
                        model.extensions = attribute(&e, "requiredextensions");
                    }
                    ("object", _) => {
                        let id = attribute(&e, "id").ok_or_else(|| wrong("an object without id", "`id`"))?;
                        object = Some((id, Object::default()));
                    }
                    ("vertex", Some(o)) => {
                        let place = ["x", "y", "z"].map(|a| number(&e, a));
                        let [Some(x), Some(y), Some(z)] = place else {
                            return Err(wrong("a vertex", "finite numbers x, y and z"));
                        };
                        o.mesh.points.push([x, y, z]);
                    }
                    ("triangle", Some(o)) => {
                        let corner = |a| attribute(&e, a).and_then(|w| w.trim().parse::<u32>().ok());
                        let [Some(a), Some(b), Some(c)] = ["v1", "v2", "v3"].map(corner) else {
                            return Err(wrong("a triangle", "whole numbers v1, v2 and v3"));
                        };
                        if [a, b, c].iter().any(|v| *v as usize >= o.mesh.points.len()) {
                            return Err(wrong("a triangle names a vertex there is not", "vertices given before"));
                        }
                        o.mesh.facets.push([a, b, c]);
                        if o.mesh.facets.len() > limits.facets {
                            return Err(ReadError::TooMuch {
                                what: "facets",
                                found: o.mesh.facets.len(),
                                most: limits.facets,
                            });
                        }
                    }
                    ("component", Some(o)) => o.components.push(
                        copy(&e).ok_or_else(|| wrong("a component", "`objectid` in this part and twelve numbers"))?,
                    ),
                    ("item", None) => {
                        model.items.push(
                            copy(&e).ok_or_else(|| wrong("an item", "`objectid` in this part and twelve numbers"))?,
                        );
                    }
                    _ => {}
                }
            }
            Event::End(e) if e.local_name().as_ref() == "object" => model.objects.extend(object.take()),
            Event::Eof => break,
            _ => {}
        }
    }
    if object.is_some() || text.trim_end().ends_with("</model>") == text.trim_end().ends_with("/>") {
        return Err(whole(FORMAT, "the model does not end", "`</model>`: the file is cut short"));
    }
    Ok(model)
}

fn number(element: &BytesStart, name: &str) -> Option<f64> {
    let x: f64 = attribute(element, name)?.trim().parse().ok()?;
    (x.is_finite() && x.abs() < 1e30).then_some(x + 0.0)
}

/// Object and transform of a component or item; none for an object in another part.
fn copy(element: &BytesStart) -> Option<(String, Transform)> {
    if element.attributes().flatten().any(|a| a.key.as_ref().ends_with(":path")) {
        return None;
    }
    let id = attribute(element, "objectid")?;
    let Some(text) = attribute(element, "transform") else { return Some((id, SAME)) };
    let numbers: Vec<f64> =
        text.split_ascii_whitespace().map(|w| w.parse().ok().filter(|x: &f64| x.is_finite())).collect::<Option<_>>()?;
    let twelve: [f64; 12] = numbers.try_into().ok()?;
    Some((id, std::array::from_fn(|r| std::array::from_fn(|c| twelve[3 * r + c]))))
}

fn apply(t: &Transform, p: [f64; 3]) -> [f64; 3] {
    std::array::from_fn(|i| p[0] * t[0][i] + p[1] * t[1][i] + p[2] * t[2][i] + t[3][i])
}

/// First `inner`, then `outer`.
fn after(inner: &Transform, outer: &Transform) -> Transform {
    let turned = |v: [f64; 3]| std::array::from_fn(|i| v[0] * outer[0][i] + v[1] * outer[1][i] + v[2] * outer[2][i]);
    [turned(inner[0]), turned(inner[1]), turned(inner[2]), apply(outer, inner[3])]
}

fn build(
    model: &Model,
    id: &str,
    transform: &Transform,
    depth: usize,
    copies: &mut usize,
    into: &mut Mesh,
    limits: &ReadLimits,
) -> Result<(), ReadError> {
    let object = model
        .objects
        .get(id)
        .ok_or_else(|| whole(FORMAT, format!("object {id} is asked for and not there"), "objects there are"))?;
    *copies += 1;
    if depth > DEEPEST {
        return Err(ReadError::TooMuch { what: "components within components", found: depth, most: DEEPEST });
    }
    if *copies > MOST_COPIES {
        return Err(ReadError::TooMuch { what: "copies of objects", found: *copies, most: MOST_COPIES });
    }
    append(into, &object.mesh, transform, limits)?;
    for (part, own) in &object.components {
        build(model, part, &after(own, transform), depth + 1, copies, into, limits)?;
    }
    Ok(())
}

fn append(into: &mut Mesh, mesh: &Mesh, t: &Transform, limits: &ReadLimits) -> Result<(), ReadError> {
    let facets = into.facets.len() + mesh.facets.len();
    if facets > limits.facets || into.points.len() + mesh.points.len() > 3 * limits.facets {
        return Err(ReadError::TooMuch { what: "facets", found: facets, most: limits.facets });
    }
    let first = into.points.len() as u32;
    into.points.extend(mesh.points.iter().map(|p| apply(t, *p).map(|x| x + 0.0)));
    if into.points[first as usize..].iter().flatten().any(|x| !x.is_finite() || x.abs() >= 1e30) {
        return Err(whole(FORMAT, "a transform throws places out of all bounds", "finite places"));
    }
    // A mirror turns facets inside out.
    let mirrored = crate::vector::dot(crate::vector::cross(t[0], t[1]), t[2]) < 0.0;
    let turned = |f: &[u32; 3]| if mirrored { [f[0], f[2], f[1]] } else { *f };
    into.facets.extend(mesh.facets.iter().map(|f| turned(f).map(|v| v + first)));
    Ok(())
}
