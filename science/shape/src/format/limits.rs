//! How much of a file is read at most.

/// Limits of reading; the defaults hold any scan and stop any bomb.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadLimits {
    /// Bytes of a file.
    pub bytes: usize,
    /// Facets of a file, counting every copy a 3MF file makes.
    pub facets: usize,
    /// Bytes of a packed part after unpacking.
    pub unpacked: usize,
    /// Times a packed part may grow.
    pub ratio: f64,
    /// Extent (mm) that bodies of the reader's use have: outside it the unit is doubted.
    pub extent: [f64; 2],
}

impl Default for ReadLimits {
    fn default() -> Self {
        Self { bytes: 700 << 20, facets: 12_000_000, unpacked: 1 << 30, ratio: 200.0, extent: [1.0, 500.0] }
    }
}
