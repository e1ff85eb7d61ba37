//! OBJ: places and polygons as lines of text; no unit.
//!
//! Read are `v` (three numbers; more are ignored) and `f` (places counted from 1, or from the end when negative; what follows a `/` is ignored).
//! Polygons are parted into triangles. Everything else is passed over.

use super::error::at_line;
use super::sniff::{numbered, words};
use super::stl::Parsed;
use super::{Format, ReadError, ReadLimits};
use crate::mesh::{Mesh, triangulate};

pub(super) fn read(bytes: &[u8], limits: &ReadLimits) -> Result<Parsed, ReadError> {
    let (mut points, mut facets) = (Vec::new(), Vec::new());
    let mut polygon: Vec<u32> = Vec::new();
    let wrong = |line, content: &[u8], expected| at_line(Format::Obj, line, String::from_utf8_lossy(content), expected);
    for (line, content) in numbered(bytes) {
        let mut words = words(content);
        match words.next() {
            Some("v") => points.push(place(words).ok_or_else(|| wrong(line, content, "`v` and three finite numbers"))?),
            Some("f") => {
                polygon.clear();
                for word in words.take_while(|w| !w.starts_with('#')) {
                    let corner = named(word, points.len());
                    polygon.push(corner.ok_or_else(|| wrong(line, content, "`f` and places given on earlier lines"))?);
                }
                if polygon.len() < 3 {
                    return Err(wrong(line, content, "`f` and at least three places"));
                }
                push_polygon(&mut facets, &points, &polygon);
            }
            _ => {}
        }
        if facets.len() > limits.facets {
            return Err(ReadError::TooMuch { what: "facets", found: facets.len(), most: limits.facets });
        }
    }
    Ok(Parsed { mesh: Mesh { points, facets }, odd: Vec::new() })
}

/// A polygon as triangles; one of more than a thousand corners is fanned.
pub(super) fn push_polygon(facets: &mut Vec<[u32; 3]>, points: &[[f64; 3]], polygon: &[u32]) {
    match *polygon {
        [a, b, c] => facets.push([a, b, c]),
        [first, ref rest @ ..] if rest.len() >= 1000 => {
            facets.extend(rest.windows(2).map(|pair| [first, pair[0], pair[1]]));
        }
        _ => {
            let corners: Vec<[f64; 3]> = polygon.iter().map(|v| points[*v as usize]).collect();
            facets.extend(triangulate(&corners).into_iter().map(|t| t.map(|i| polygon[i])));
        }
    }
}

fn place<'a>(mut words: impl Iterator<Item = &'a str>) -> Option<[f64; 3]> {
    let mut p = [0.0; 3];
    for x in &mut p {
        *x = 0.0 + words.next()?.parse().ok().filter(|x: &f64| x.is_finite() && x.abs() < 1e30)?;
    }
    Some(p)
}

/// Number of the place that a corner names, counted from 0.
fn named(word: &str, places: usize) -> Option<u32> {
    let number: i64 = word.split('/').next()?.parse().ok()?;
    let at = if number < 0 { (places as i64).checked_add(number)? } else { number.checked_sub(1)? };
    u32::try_from(at).ok().filter(|at| (*at as usize) < places)
}
