//! PLY: elements of named properties, as text, little-endian or big-endian (Turk 1994, The PLY polygon file format, version 1.0, memory); no unit.
//!
//! Read are `x`, `y`, `z` of `vertex` and the list `vertex_indices` (or `vertex_index`) of `face`; other elements and properties are passed over.

use super::error::{at_byte, at_line, whole};
use super::obj::push_polygon;
use super::sniff::without_mark;
use super::stl::Parsed;
use super::{Format, ReadError, ReadLimits};
use crate::mesh::Mesh;

const FORMAT: Format = Format::Ply;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Scalar {
    Int(usize, bool),
    Float(usize),
}

#[derive(Debug, Clone, PartialEq)]
enum Property {
    One(String, Scalar),
    List(String, Scalar, Scalar),
}

#[derive(Debug, Clone)]
struct Element {
    name: String,
    count: usize,
    properties: Vec<Property>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Coding {
    Text,
    Little,
    Big,
}

pub(super) fn read(bytes: &[u8], limits: &ReadLimits) -> Result<Parsed, ReadError> {
    let bytes = without_mark(bytes);
    let (coding, elements, body) = head(bytes)?;
    let mut source = Source { bytes, at: body, coding };
    let (mut points, mut polygons): (Vec<[f64; 3]>, Vec<u32>) = (Vec::new(), Vec::new());
    let mut ends = Vec::new();
    for element in &elements {
        if element.name == "face" && element.count > limits.facets {
            return Err(ReadError::TooMuch { what: "facets", found: element.count, most: limits.facets });
        }
        match element.name.as_str() {
            "vertex" => vertices(&mut source, element, limits, &mut points)?,
            "face" => faces(&mut source, element, limits, &mut polygons, &mut ends)?,
            _ => (0..element.count).try_for_each(|_| element.properties.iter().try_for_each(|p| source.pass(p)))?,
        }
    }
    if let Some(v) = polygons.iter().find(|v| **v as usize >= points.len()) {
        return Err(whole(
            FORMAT,
            format!("a face names place {v} of {}", points.len()),
            "places there are, counted from 0",
        ));
    }
    let mut facets = Vec::with_capacity(ends.len());
    let mut start = 0;
    for end in ends {
        push_polygon(&mut facets, &points, &polygons[start..end]);
        start = end;
    }
    let left = source.rest();
    let odd = if left > 2 { vec![format!("{left} bytes follow the elements that it names")] } else { Vec::new() };
    Ok(Parsed { mesh: Mesh { points, facets }, odd })
}

/// Coding, elements, and where the body begins.
fn head(bytes: &[u8]) -> Result<(Coding, Vec<Element>, usize), ReadError> {
    let (mut coding, mut elements, mut at): (_, Vec<Element>, _) = (None, Vec::new(), 0);
    for line in 1..=10_000usize {
        let rest = &bytes[at..];
        let Some(end) = rest.iter().position(|b| *b == b'\n' || *b == b'\r') else { break };
        let text =
            std::str::from_utf8(&rest[..end]).map_err(|_| at_line(FORMAT, line, "not text", "a head of text"))?;
        at += end + 1 + usize::from(rest[end] == b'\r' && rest.get(end + 1) == Some(&b'\n'));
        let words: Vec<&str> = text.split_ascii_whitespace().collect();
        let wrong = |expected| at_line(FORMAT, line, text, expected);
        match words[..] {
            ["format", "ascii", _] => coding = Some(Coding::Text),
            ["format", "binary_little_endian", _] => coding = Some(Coding::Little),
            ["format", "binary_big_endian", _] => coding = Some(Coding::Big),
            ["element", name, count] => {
                let count = count.parse().map_err(|_| wrong("`element`, a name and a number"))?;
                elements.push(Element { name: name.to_owned(), count, properties: Vec::new() });
            }
            ["property", ref rest @ ..] => {
                let property = property(rest).ok_or_else(|| wrong("`property`, a known type and a name"))?;
                elements.last_mut().ok_or_else(|| wrong("an `element` first"))?.properties.push(property);
            }
            ["end_header"] => {
                let coding =
                    coding.ok_or_else(|| wrong("`format` ascii, binary_little_endian or binary_big_endian before"))?;
                if elements.iter().any(|e| e.count > bytes.len()) {
                    return Err(whole(FORMAT, "an element of more items than the file has bytes", "a whole file"));
                }
                return Ok((coding, elements, at));
            }
            ["ply"] | ["comment", ..] | ["obj_info", ..] | [] => {}
            _ => return Err(wrong("`format`, `element`, `property`, `comment` or `end_header`")),
        }
    }
    Err(whole(FORMAT, "the head does not end", "`end_header` within 10,000 lines"))
}

fn property(words: &[&str]) -> Option<Property> {
    match *words {
        ["list", count, item, name] => match scalar(count)? {
            Scalar::Float(_) => None,
            count => Some(Property::List(name.to_owned(), count, scalar(item)?)),
        },
        [kind, name] => Some(Property::One(name.to_owned(), scalar(kind)?)),
        _ => None,
    }
}

fn scalar(word: &str) -> Option<Scalar> {
    Some(match word {
        "char" | "int8" => Scalar::Int(1, true),
        "uchar" | "uint8" => Scalar::Int(1, false),
        "short" | "int16" => Scalar::Int(2, true),
        "ushort" | "uint16" => Scalar::Int(2, false),
        "int" | "int32" => Scalar::Int(4, true),
        "uint" | "uint32" => Scalar::Int(4, false),
        "float" | "float32" => Scalar::Float(4),
        "double" | "float64" => Scalar::Float(8),
        _ => return None,
    })
}

fn vertices(
    source: &mut Source,
    element: &Element,
    limits: &ReadLimits,
    points: &mut Vec<[f64; 3]>,
) -> Result<(), ReadError> {
    let most = limits.facets.saturating_mul(3);
    if element.count > most {
        return Err(ReadError::TooMuch { what: "places", found: element.count, most });
    }
    let axis = |name: &str| ["x", "y", "z"].iter().position(|a| *a == name);
    let axes: Vec<Option<usize>> =
        element.properties.iter().map(|p| if let Property::One(name, _) = p { axis(name) } else { None }).collect();
    if (0..3).any(|a| axes.iter().filter(|x| **x == Some(a)).count() != 1) {
        return Err(whole(FORMAT, "`vertex` lacks one of x, y, z or has it twice", "properties x, y and z"));
    }
    points.reserve(element.count);
    for n in 0..element.count {
        let mut place = [0.0; 3];
        for (property, axis) in element.properties.iter().zip(&axes) {
            match (axis, property) {
                (Some(a), Property::One(_, kind)) => place[*a] = 0.0 + source.number(*kind)?,
                _ => source.pass(property)?,
            }
        }
        if !place.iter().all(|x| x.is_finite() && x.abs() < 1e30) {
            return Err(at_byte(FORMAT, source.at, format!("place {n} is not of finite numbers"), "finite numbers"));
        }
        points.push(place);
    }
    Ok(())
}

fn faces(
    source: &mut Source,
    element: &Element,
    limits: &ReadLimits,
    polygons: &mut Vec<u32>,
    ends: &mut Vec<usize>,
) -> Result<(), ReadError> {
    let is_list = |p: &Property| matches!(p, Property::List(n, _, Scalar::Int(..)) if n == "vertex_indices" || n == "vertex_index");
    let Some(which) = element.properties.iter().position(is_list) else {
        return Err(whole(FORMAT, "`face` has no list of places", "`property list` vertex_indices"));
    };
    for n in 0..element.count {
        for (k, property) in element.properties.iter().enumerate() {
            let Property::List(_, count, item) = property else {
                source.pass(property)?;
                continue;
            };
            if k != which {
                source.pass(property)?;
                continue;
            }
            let corners = source.count(*count)?;
            for _ in 0..corners {
                let v = source.number(*item)?;
                if !(0.0..4294967295.0).contains(&v) {
                    return Err(at_byte(
                        FORMAT,
                        source.at,
                        format!("face {n} names place {v}"),
                        "places there are, counted from 0",
                    ));
                }
                polygons.push(v as u32);
            }
            if corners < 3 {
                // A line or a point: no facet.
                polygons.truncate(polygons.len() - corners);
            } else {
                ends.push(polygons.len());
            }
        }
        // A polygon of n corners gives n - 2 triangles.
        let triangles = polygons.len() - 2 * ends.len();
        if triangles > limits.facets {
            return Err(ReadError::TooMuch { what: "facets", found: triangles, most: limits.facets });
        }
    }
    Ok(())
}

/// The body, item after item.
struct Source<'a> {
    bytes: &'a [u8],
    at: usize,
    coding: Coding,
}

impl Source<'_> {
    fn number(&mut self, kind: Scalar) -> Result<f64, ReadError> {
        if self.coding == Coding::Text {
            let rest = &self.bytes[self.at..];
            let start = rest.iter().position(|b| !b.is_ascii_whitespace()).ok_or_else(|| self.cut())?;
            let end = rest[start..].iter().position(u8::is_ascii_whitespace).map_or(rest.len(), |e| start + e);
            self.at += end;
            let word = &rest[start..end];
            let number = std::str::from_utf8(word).ok().and_then(|w| w.parse().ok());
            return number
                .ok_or_else(|| at_byte(FORMAT, self.at, format!("`{}`", String::from_utf8_lossy(word)), "a number"));
        }
        let size = match kind {
            Scalar::Int(size, _) | Scalar::Float(size) => size,
        };
        let raw = self.bytes.get(self.at..self.at + size).ok_or_else(|| self.cut())?;
        self.at += size;
        let mut eight = [0u8; 8];
        for (k, b) in raw.iter().enumerate() {
            eight[if self.coding == Coding::Little { k } else { size - 1 - k }] = *b;
        }
        let whole = u64::from_le_bytes(eight);
        Ok(match kind {
            Scalar::Float(4) => f64::from(f32::from_bits(whole as u32)),
            Scalar::Float(_) => f64::from_bits(whole),
            Scalar::Int(_, false) => whole as f64,
            Scalar::Int(size, true) => {
                let shift = 64 - 8 * size as u32;
                (((whole << shift) as i64) >> shift) as f64
            }
        })
    }

    fn count(&mut self, kind: Scalar) -> Result<usize, ReadError> {
        let count = self.number(kind)?;
        let most = self.bytes.len() as f64;
        if !(0.0..=most).contains(&count) || count.fract() != 0.0 {
            return Err(at_byte(FORMAT, self.at, format!("a list of {count}"), "a whole number of items"));
        }
        Ok(count as usize)
    }

    fn pass(&mut self, property: &Property) -> Result<(), ReadError> {
        match property {
            Property::One(_, kind) => self.number(*kind).map(drop),
            Property::List(_, count, item) => {
                let count = self.count(*count)?;
                (0..count).try_for_each(|_| self.number(*item).map(drop))
            }
        }
    }

    fn rest(&self) -> usize {
        self.bytes[self.at..].trim_ascii().len()
    }

    fn cut(&self) -> ReadError {
        at_byte(FORMAT, self.at, "the file ends here", "all items of the elements it names: the file is cut short")
    }
}
