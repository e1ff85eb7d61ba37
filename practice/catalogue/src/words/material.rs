//! Material classes, builds and translucency grades.

use super::words;

words! {
    /// Generic class of the material that carries the load (and, in monolithic work, shows).
    Material {
        /// Cast, milled or sintered alloy framework with fired porcelain.
        MetalCeramic = "metal_ceramic", "metal-ceramic";
        /// Alloy alone.
        Metal = "metal", "full metal";
        /// Lithium disilicate glass-ceramic, pressed or milled.
        LithiumDisilicate = "lithium_disilicate", "lithium disilicate";
        /// Zirconia with 3 mol% yttria.
        Zirconia3y = "zirconia_3y", "zirconia 3Y";
        /// Zirconia with 4 mol% yttria.
        Zirconia4y = "zirconia_4y", "zirconia 4Y";
        /// Zirconia with 5 mol% yttria.
        Zirconia5y = "zirconia_5y", "zirconia 5Y";
        /// Leucite-reinforced glass-ceramic.
        Leucite = "leucite", "leucite glass-ceramic";
        /// Feldspathic ceramic.
        Feldspathic = "feldspathic", "feldspathic ceramic";
        /// Resin composite, placed directly.
        Composite = "composite", "resin composite";
    }
}

impl Material {
    /// True for the zirconia classes.
    pub fn is_zirconia(self) -> bool {
        matches!(self, Self::Zirconia3y | Self::Zirconia4y | Self::Zirconia5y)
    }

    /// True for glass-matrix ceramics, which are etched and bonded.
    pub fn is_glass_ceramic(self) -> bool {
        matches!(self, Self::LithiumDisilicate | Self::Leucite | Self::Feldspathic)
    }

    /// True for the ceramic classes; neither an alloy nor a resin.
    pub fn is_ceramic(self) -> bool {
        self.is_zirconia() || self.is_glass_ceramic()
    }

    /// Whether a material word of the data means this class: its own word, `any`, or `any_ceramic` for a ceramic. `zirconia`
    /// without its yttria content is read as 3Y, the class such texts were written on, and never as 4Y or 5Y.
    pub fn is_meant_by(self, word: &str) -> bool {
        match word {
            "any" => true,
            "any_ceramic" => self.is_ceramic(),
            "zirconia" => self == Self::Zirconia3y,
            _ => self.word() == word,
        }
    }

    /// True where an alloy carries the load.
    pub fn has_alloy(self) -> bool {
        matches!(self, Self::MetalCeramic | Self::Metal)
    }
}

words! {
    /// How a restoration is built up.
    Build {
        /// Of one material to its full contour.
        Monolithic = "monolithic", "monolithic";
        /// Veneered only where it shows; function on the framework material.
        PartlyLayered = "partly_layered", "partly layered";
        /// A framework veneered all over.
        Layered = "layered", "layered";
    }
}

words! {
    /// Translucency grade: a band of contrast ratio at 1.0 mm, clearest first (`data/grades.csv`).
    Grade {
        /// Lets most light through.
        Clear = "clear", "clear";
        /// Lighter than the middle.
        Light = "light", "light";
        /// In the middle.
        Middle = "middle", "middle";
        /// Lets little through.
        Dense = "dense", "dense";
        /// Meant to hide what lies beneath.
        Masking = "masking", "masking";
    }
}
