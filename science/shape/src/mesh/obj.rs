//! Surfaces from OBJ text.
//!
//! Read are `v` (three numbers; more are ignored) and `f` (places counted from 1, or from the end when negative; what follows a `/` is ignored).
//! Facets of more than three corners are fanned from their first, which is right for convex ones. Everything else is passed over.

use crate::solid::ShapeError;
use crate::surface::Surface;

/// Most triangles: 12 million, as for STL.
const MOST: usize = 12_000_000;

impl Surface {
    /// Reads an OBJ file.
    ///
    /// # Errors
    /// Not text; a line that is not understood (told by its number); no facets; more than 12 million triangles.
    pub fn from_obj(bytes: &[u8]) -> Result<Self, ShapeError> {
        let text = std::str::from_utf8(bytes).map_err(|e| wrong(lines_before(bytes, e.valid_up_to()), "text"))?;
        let (mut points, mut facets) = (Vec::new(), Vec::new());
        for (line, words) in (1usize..).zip(text.lines().map(str::split_ascii_whitespace)) {
            let mut words = words;
            match words.next() {
                Some("v") => points.push(place(words).ok_or_else(|| wrong(line, "`v` and three finite numbers"))?),
                Some("f") => {
                    let expected = "`f` and at least three places given on earlier lines";
                    let corners: Option<Vec<u32>> = words.map(|w| named(w, points.len())).collect();
                    let corners = corners.filter(|c| c.len() >= 3).ok_or_else(|| wrong(line, expected))?;
                    facets.extend(corners[1..].windows(2).map(|pair| [corners[0], pair[0], pair[1]]));
                }
                _ => {}
            }
            if facets.len() > MOST {
                return Err(wrong(line, "at most 12 million triangles in a file"));
            }
        }
        Self::new(points, facets)
    }
}

fn place<'a>(mut words: impl Iterator<Item = &'a str>) -> Option<[f64; 3]> {
    let mut p = [0.0; 3];
    for x in &mut p {
        *x = words.next()?.parse().ok().filter(|x: &f64| x.is_finite())?;
    }
    Some(p)
}

/// Number of the place that a corner names, counted from 0.
fn named(word: &str, places: usize) -> Option<u32> {
    let number: i64 = word.split('/').next()?.parse().ok()?;
    let at = if number < 0 { (places as i64).checked_add(number)? } else { number.checked_sub(1)? };
    u32::try_from(at).ok().filter(|at| (*at as usize) < places)
}

fn lines_before(bytes: &[u8], end: usize) -> usize {
    1 + bytes[..end].iter().filter(|b| **b == b'\n').count()
}

fn wrong(line: usize, expected: &'static str) -> ShapeError {
    ShapeError::OutOfRange { quantity: "line of the OBJ file", found: line as f64, expected }
}
