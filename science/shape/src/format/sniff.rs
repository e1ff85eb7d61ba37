//! What a file is, told by its content.

use super::stl;
use std::fmt;

/// A format of surfaces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Facets as 50 bytes each.
    StlBinary,
    /// Facets as text.
    StlText,
    /// Places and polygons with named properties, as text or binary.
    Ply,
    /// Places and polygons as lines of text.
    Obj,
    /// A package with places and triangles as XML, or that XML alone.
    ThreeMf,
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::StlBinary => "binary STL",
            Self::StlText => "text STL",
            Self::Ply => "PLY",
            Self::Obj => "OBJ",
            Self::ThreeMf => "3MF",
        })
    }
}

impl Format {
    /// The format of some bytes. An STL file is binary when its length is that of the facets it names, whatever its first word says.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        let text = without_mark(bytes);
        if bytes.starts_with(b"PK\x03\x04") {
            return Some(Self::ThreeMf);
        }
        if text.starts_with(b"ply\n") || text.starts_with(b"ply\r") {
            return Some(Self::Ply);
        }
        if stl::is_whole_binary(bytes) {
            return Some(Self::StlBinary);
        }
        let head = &text[..text.len().min(1 << 16)];
        if !head.contains(&0) {
            if has_word(head, b"vertex") && has_word(head, b"facet") {
                return Some(Self::StlText);
            }
            if has_word(head, b"<model") || head.trim_ascii_start().starts_with(b"<?xml") {
                return Some(Self::ThreeMf);
            }
            if head.trim_ascii_start().starts_with(b"solid") {
                return Some(Self::StlText);
            }
            if lines(head).any(|l| l.starts_with(b"v ") || l.starts_with(b"v\t") || l.starts_with(b"f ")) {
                return Some(Self::Obj);
            }
        }
        // A count that lies, or a file cut short; text is none.
        let start = &bytes[..bytes.len().min(400)];
        (bytes.len() >= 84 && start.iter().any(|b| *b == 0 || !b.is_ascii())).then_some(Self::StlBinary)
    }
}

/// Text without the mark that some programs write before it.
pub(super) fn without_mark(bytes: &[u8]) -> &[u8] {
    bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes)
}

/// Lines ended by line feed, carriage return or both, without blanks at their ends; a pair counts as two lines of which one is empty.
pub(super) fn lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    bytes.split(|b| *b == b'\n' || *b == b'\r').map(<[u8]>::trim_ascii)
}

/// Lines that are not empty, with their numbers as an editor counts them.
pub(super) fn numbered(bytes: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
    let by_feed = bytes.contains(&b'\n');
    let end = if by_feed { b'\n' } else { b'\r' };
    (1..).zip(bytes.split(move |b| *b == end)).map(|(n, l)| (n, l.trim_ascii())).filter(|(_, l)| !l.is_empty())
}

/// Words of a line.
pub(super) fn words(line: &[u8]) -> impl Iterator<Item = &str> {
    line.split(u8::is_ascii_whitespace).filter(|w| !w.is_empty()).map(|w| std::str::from_utf8(w).unwrap_or("?"))
}

fn has_word(text: &[u8], word: &[u8]) -> bool {
    text.windows(word.len()).any(|w| w == word)
}
