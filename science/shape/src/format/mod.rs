//! Surfaces from the bytes of a file and back: STL, PLY, OBJ, 3MF.
//!
//! What a file is its content decides, not its name. Limits on bytes, facets and unpacking stand before any work; a file that cannot be read rightly
//! is refused with the line or byte, one that can is returned with a list of what is wrong with it.

mod container;
mod error;
mod issues;
mod limits;
mod obj;
mod ply;
mod read;
mod sniff;
mod stl;
mod threemf;
mod write;

pub use error::{ReadError, Spot as FileSpot};
pub use limits::ReadLimits;
pub use read::{Read, read};
pub use sniff::Format;
