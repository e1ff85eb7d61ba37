//! STL: facets of three places each, as 50 bytes or as text; no unit, no shared places.
//!
//! Layout as in common use: 80 bytes of anything, the number of facets, then per facet normal and three places as little-endian 32-bit numbers and two
//! bytes. Normals are not read: the order of the places tells the side.

use super::error::{at_byte, at_line, whole};
use super::sniff::{numbered, words};
use super::{Format, ReadError, ReadLimits};
use crate::mesh::{Mesh, Welder};

const HEAD: usize = 84;
const FACET: usize = 50;

/// What was read, and what was odd about it.
pub(super) struct Parsed {
    pub(super) mesh: Mesh,
    pub(super) odd: Vec<String>,
}

/// Facets named in a binary head.
fn named(bytes: &[u8]) -> Option<usize> {
    let count: [u8; 4] = bytes.get(80..HEAD)?.try_into().ok()?;
    usize::try_from(u32::from_le_bytes(count)).ok()
}

/// The length is that of the facets named.
pub(super) fn is_whole_binary(bytes: &[u8]) -> bool {
    named(bytes).is_some_and(|n| n > 0 && n.checked_mul(FACET).and_then(|x| x.checked_add(HEAD)) == Some(bytes.len()))
}

pub(super) fn binary(bytes: &[u8], limits: &ReadLimits) -> Result<Parsed, ReadError> {
    let format = Format::StlBinary;
    let named =
        named(bytes).ok_or_else(|| whole(format, "no 84 bytes of head", "80 bytes and the number of facets"))?;
    let held = (bytes.len() - HEAD) / FACET;
    let mut odd = Vec::new();
    let count = if named == held || named < held && named > 0 {
        if (bytes.len() - HEAD) != named * FACET {
            odd.push(format!("{} bytes follow the {named} facets that it names", bytes.len() - HEAD - named * FACET));
        }
        named
    } else if (bytes.len() - HEAD).is_multiple_of(FACET) && held > 0 && (named == 0 || named == u32::MAX as usize) {
        // Written before the number was known.
        odd.push(format!("it names {named} facets and holds {held}: all were read"));
        held
    } else {
        return Err(whole(
            format,
            format!("it names {named} facets and holds {held}"),
            "as many as it names: the file is cut short or damaged",
        ));
    };
    if count > limits.facets {
        return Err(ReadError::TooMuch { what: "facets", found: count, most: limits.facets });
    }
    let number = |b: &[u8]| f32::from_le_bytes([b[0], b[1], b[2], b[3]]);
    let mut welder = Welder::single(count / 2 + 8);
    let mut facets = Vec::with_capacity(count);
    for (n, bytes) in bytes[HEAD..HEAD + count * FACET].chunks_exact(FACET).enumerate() {
        let mut f = [0; 3];
        for (k, slot) in f.iter_mut().enumerate() {
            // Adding 0 makes -0 and 0 the same place.
            let place: [f32; 3] = std::array::from_fn(|i| number(&bytes[12 + 12 * k + 4 * i..]) + 0.0);
            if !place.iter().all(|x| x.is_finite()) {
                return Err(at_byte(
                    format,
                    HEAD + FACET * n + 12 + 12 * k,
                    format!("facet {n} has a place that is not a number"),
                    "finite numbers",
                ));
            }
            *slot = welder.number(place);
        }
        facets.push(f);
    }
    let points = welder.into_places().into_iter().map(|p| p.map(f64::from)).collect();
    Ok(Parsed { mesh: Mesh { points, facets }, odd })
}

pub(super) fn text(bytes: &[u8], limits: &ReadLimits) -> Result<Parsed, ReadError> {
    let format = Format::StlText;
    let mut welder = Welder::double(bytes.len() / 500 + 8);
    let (mut facets, mut corners) = (Vec::new(), Vec::with_capacity(3));
    let (mut odd, mut ended, mut last) = (Vec::new(), false, 0);
    for (line, content) in numbered(bytes) {
        last = line;
        let mut words = words(content);
        match words.next().map(str::to_ascii_lowercase).as_deref() {
            Some("vertex") => {
                let mut place = [0.0f64; 3];
                for x in &mut place {
                    // Places of STL are 32-bit numbers; text may carry more digits.
                    let read =
                        words.next().and_then(|w| w.parse::<f64>().ok()).filter(|x| x.is_finite() && x.abs() < 1e30);
                    *x = 0.0
                        + read.ok_or_else(|| {
                            at_line(format, line, String::from_utf8_lossy(content), "`vertex` and three finite numbers")
                        })?;
                }
                corners.push(welder.number(place));
            }
            Some("endfacet") => {
                let found = || format!("a facet of {} corners", corners.len());
                let f = corners[..].try_into().map_err(|_| at_line(format, line, found(), "three corners a facet"))?;
                facets.push(f);
                corners.clear();
                if facets.len() > limits.facets {
                    return Err(ReadError::TooMuch { what: "facets", found: facets.len(), most: limits.facets });
                }
            }
            Some("endsolid") => ended = true,
            Some("facet") if !corners.is_empty() => {
                return Err(at_line(format, line, "a facet within a facet", "`endfacet` before the next `facet`"));
            }
            _ => {}
        }
    }
    if !corners.is_empty() {
        return Err(at_line(format, last, "the text ends within a facet", "`endfacet`: the file is cut short"));
    }
    if !ended && !facets.is_empty() {
        odd.push("it does not end with `endsolid`: it may be cut short".to_owned());
    }
    Ok(Parsed { mesh: Mesh { points: welder.into_places(), facets }, odd })
}
