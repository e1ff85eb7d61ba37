//! Surfaces straight from the bytes of one known format. [`crate::read`] tells the format by itself and says what is wrong.

use super::Surface;
use crate::format::{Format, ReadError, ReadLimits, read};
use crate::solid::ShapeError;

impl Surface {
    /// Reads an STL file, binary or text.
    ///
    /// # Errors
    /// As [`crate::read`], in the words of [`ShapeError::File`].
    pub fn from_stl(bytes: &[u8]) -> Result<Self, ShapeError> {
        of(bytes, "STL", |f| matches!(f, Format::StlBinary | Format::StlText))
    }

    /// Reads an OBJ file. Errors as [`Surface::from_stl`].
    pub fn from_obj(bytes: &[u8]) -> Result<Self, ShapeError> {
        of(bytes, "OBJ", |f| f == Format::Obj)
    }
}

fn of(bytes: &[u8], name: &str, is: fn(Format) -> bool) -> Result<Surface, ShapeError> {
    let wrong = |e: ReadError| ShapeError::File(e.issue(name).to_string());
    let read = read(bytes, name, &ReadLimits::default()).map_err(wrong)?;
    if !is(read.format) {
        return Err(ShapeError::File(format!("expected {name}, the content is {}", read.format)));
    }
    Surface::from_mesh(read.mesh)
}
