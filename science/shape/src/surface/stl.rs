//! Surfaces from and to STL.
//!
//! A file is binary when its length is that of the number of facets it names (84 + 50 n), whatever its first word says; else it is read as text.
//! Places that are the same to the last bit of the file's 32-bit numbers become one; facets that lose a side by it are dropped.

use super::Surface;
use crate::solid::ShapeError;
use std::collections::HashMap;

/// Most facets: 12 million.
const MOST: usize = 12_000_000;

impl Surface {
    /// Reads an STL file.
    ///
    /// # Errors
    /// Neither a whole binary file nor text with facets; numbers that are not finite; more than 12 million facets.
    pub fn from_stl(bytes: &[u8]) -> Result<Self, ShapeError> {
        let corners = binary(bytes).map_or_else(|| text(bytes), Ok)?;
        let mut seen: HashMap<[u32; 3], u32> = HashMap::with_capacity(corners.len() / 2);
        let (mut points, mut facets) = (Vec::new(), Vec::with_capacity(corners.len() / 3));
        for facet in corners.chunks_exact(3) {
            let mut f = [0u32; 3];
            for (slot, corner) in f.iter_mut().zip(facet) {
                if let Some(&found) = corner.iter().find(|x| !x.is_finite()) {
                    let found = f64::from(found);
                    return Err(ShapeError::OutOfRange {
                        quantity: "place in the file",
                        found,
                        expected: "finite numbers",
                    });
                }
                // Adding 0 makes -0 and 0 the same place.
                *slot = *seen.entry(corner.map(|x| (x + 0.0).to_bits())).or_insert_with(|| {
                    points.push(corner.map(f64::from));
                    points.len() as u32 - 1
                });
            }
            if f[0] != f[1] && f[1] != f[2] && f[2] != f[0] {
                facets.push(f);
            }
        }
        Self::new(points, facets)
    }

    /// The surface as a binary STL file; places are rounded to 32-bit numbers.
    pub fn to_stl(&self) -> Vec<u8> {
        let mut out = vec![0u8; 80];
        out.extend((self.facets.len() as u32).to_le_bytes());
        for (f, normal) in self.normals.iter().enumerate() {
            for v in std::iter::once(*normal).chain(self.corners(f as u32)) {
                for x in v {
                    out.extend((x as f32).to_le_bytes());
                }
            }
            out.extend([0, 0]);
        }
        out
    }
}

fn binary(bytes: &[u8]) -> Option<Vec<[f32; 3]>> {
    let count = u32::from_le_bytes(bytes.get(80..84)?.try_into().ok()?) as usize;
    if count > MOST || bytes.len() != 84 + 50 * count {
        return None;
    }
    let number = |b: &[u8]| f32::from_le_bytes([b[0], b[1], b[2], b[3]]);
    let facets = bytes[84..].chunks_exact(50);
    Some(facets.flat_map(|f| (0..3).map(move |c| std::array::from_fn(|i| number(&f[12 + 12 * c + 4 * i..])))).collect())
}

fn text(bytes: &[u8]) -> Result<Vec<[f32; 3]>, ShapeError> {
    let not_stl = |found: usize| ShapeError::OutOfRange {
        quantity: "corners read from the file",
        found: found as f64,
        expected: "three for each facet: neither a whole binary STL file (84 + 50 n bytes) nor text with `vertex` lines was found",
    };
    let text = std::str::from_utf8(bytes).map_err(|_| not_stl(0))?;
    let mut corners = Vec::new();
    for line in text.lines() {
        let mut words = line.split_whitespace();
        if words.next() != Some("vertex") {
            continue;
        }
        let mut corner = [0.0f32; 3];
        for x in &mut corner {
            *x = words.next().and_then(|w| w.parse().ok()).ok_or_else(|| not_stl(corners.len()))?;
        }
        corners.push(corner);
        if corners.len() > 3 * MOST {
            return Err(not_stl(corners.len()));
        }
    }
    if corners.is_empty() || corners.len() % 3 != 0 { Err(not_stl(corners.len())) } else { Ok(corners) }
}
