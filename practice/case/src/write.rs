//! A case as the text of its file.

use crate::Case;

/// A case that has no written form.
#[derive(Debug, thiserror::Error)]
#[error("the case cannot be written as a file: {0}")]
pub struct NotWritable(#[from] toml::ser::Error);

impl Case {
    /// The case file. Read again it gives the same case.
    ///
    /// # Errors
    /// [`NotWritable`] when a value has no TOML form; no case that was read has one.
    pub fn to_toml(&self) -> Result<String, NotWritable> {
        Ok(toml::to_string(self)?)
    }
}
