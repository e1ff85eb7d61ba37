//! The four sides of a crown.

/// A side of a crown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    Facial,
    Lingual,
    Mesial,
    Distal,
}

impl Side {
    pub(crate) const ALL: [Self; 4] = [Self::Facial, Self::Lingual, Self::Mesial, Self::Distal];

    pub(crate) fn index(self) -> usize {
        self as usize
    }
}
