//! What the patient wants.

use catalogue::words;

words! {
    /// What can matter, each a criterion of the ranking.
    Matter {
        /// That little goes wrong.
        Harm = "harm", "that little goes wrong";
        /// That nobody sees it.
        Looks = "looks", "that nobody sees it";
        /// That little tooth is cut.
        Tissue = "tissue", "that little tooth is cut";
        /// What it costs.
        Money = "money", "what it costs";
    }
}

words! {
    /// A wish against the neighbour's colour.
    Against {
        /// Higher lightness.
        Lighter = "lighter", "lighter";
        /// Lower lightness.
        Darker = "darker", "darker";
        /// Lower chroma.
        Paler = "paler", "paler";
        /// Higher chroma.
        Richer = "richer", "richer";
        /// Hue towards yellow.
        Yellower = "yellower", "yellower";
        /// Hue towards red.
        Redder = "redder", "redder";
    }
}

impl Against {
    /// The word that says the contrary.
    pub fn contrary(self) -> Self {
        match self {
            Self::Lighter => Self::Darker,
            Self::Darker => Self::Lighter,
            Self::Paler => Self::Richer,
            Self::Richer => Self::Paler,
            Self::Yellower => Self::Redder,
            Self::Redder => Self::Yellower,
        }
    }
}
