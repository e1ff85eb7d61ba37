//! Why a file of a surface was refused.

use super::Format;
use answer::{Issue, Place};
use thiserror::Error;

/// Where in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// Line, from 1.
    Line(usize),
    /// Byte, from 0.
    Byte(usize),
    /// The file as a whole.
    Whole,
}

/// A file that is not read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ReadError {
    /// More than is read.
    #[error("{what}: {found}, at most {most} are read")]
    TooMuch {
        /// Of what.
        what: &'static str,
        /// How much there is, or was when reading stopped.
        found: usize,
        /// How much may be.
        most: usize,
    },
    /// No format that is known.
    #[error("neither STL, PLY, OBJ nor 3MF: the content is of none of them")]
    Unknown,
    /// Something in it is wrong.
    #[error("{format}: {found}; expected {expected}")]
    Wrong {
        /// What the file was taken for.
        format: Format,
        /// Where.
        spot: Spot,
        /// What stands there.
        found: String,
        /// What should.
        expected: &'static str,
    },
    /// Nothing to measure.
    #[error("{0}: the file holds no facet")]
    Empty(Format),
}

impl ReadError {
    /// As an issue of the file `name`.
    pub fn issue(&self, name: &str) -> Issue {
        let mut place = Place::file(name);
        match self {
            Self::TooMuch { what, found, most } => Issue::error(
                place,
                format!("{what}: {found}"),
                format!("at most {most}"),
                "thin the surface out, or cut it to what matters",
            ),
            Self::Unknown => Issue::error(
                place,
                "the content is of no format that is read",
                "STL, PLY, OBJ or 3MF",
                "export the surface anew in one of these",
            ),
            Self::Wrong { format, spot, found, expected } => {
                match spot {
                    Spot::Line(line) => place.line = Some(*line),
                    Spot::Byte(byte) => place.field = format!("byte {byte}"),
                    Spot::Whole => {}
                }
                Issue::error(
                    place,
                    format!("read as {format}: {found}"),
                    *expected,
                    "export the surface anew; the file may be cut short or damaged",
                )
            }
            Self::Empty(format) => Issue::error(
                place,
                format!("read as {format}: no facet"),
                "a surface of triangles",
                "export the surface, not only its places",
            ),
        }
    }
}

/// A fault at a line.
pub(super) fn at_line(format: Format, line: usize, found: impl Into<String>, expected: &'static str) -> ReadError {
    ReadError::Wrong { format, spot: Spot::Line(line), found: shortened(found.into()), expected }
}

/// A fault at a byte.
pub(super) fn at_byte(format: Format, byte: usize, found: impl Into<String>, expected: &'static str) -> ReadError {
    ReadError::Wrong { format, spot: Spot::Byte(byte), found: shortened(found.into()), expected }
}

/// A fault of the whole.
pub(super) fn whole(format: Format, found: impl Into<String>, expected: &'static str) -> ReadError {
    ReadError::Wrong { format, spot: Spot::Whole, found: shortened(found.into()), expected }
}

/// A line of a damaged file can be all of it.
fn shortened(text: String) -> String {
    let clean: String = text.chars().take(80).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > 80 { clean + "..." } else { clean }
}
