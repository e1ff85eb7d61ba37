//! The thickness a restoration needs on each surface.

use catalogue::words::Surface;

/// Needed thickness by surface, mm; 0 where a surface is not prepared.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Needs {
    /// Chewing surface or incisal edge.
    pub occlusal: f64,
    /// Towards lip or cheek, at mid-height.
    pub facial: f64,
    /// Towards tongue or palate, at mid-height.
    pub lingual: f64,
    /// Towards both neighbours, at mid-height.
    pub proximal: f64,
    /// At the finish line, wherever a side is prepared.
    pub margin: f64,
}

impl Needs {
    /// Usual depths of a full crown (common practice, no source): what paths are chosen for before a material is.
    pub const USUAL: Self = Self { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.7 };

    /// From values by surface; a surface not named needs nothing, negative and non-finite values count as 0.
    pub fn from_surfaces(values: impl IntoIterator<Item = (Surface, f64)>) -> Self {
        let mut needs = Self::default();
        for (surface, value) in values {
            let value = if value.is_finite() { value.max(0.0) } else { 0.0 };
            match surface {
                Surface::Occlusal => needs.occlusal = value,
                Surface::Facial => needs.facial = value,
                Surface::Lingual => needs.lingual = value,
                Surface::Proximal => needs.proximal = value,
                Surface::Margin => needs.margin = value,
            }
        }
        needs
    }

    /// Needed thickness of one surface, mm.
    pub fn of(&self, surface: Surface) -> f64 {
        match surface {
            Surface::Occlusal => self.occlusal,
            Surface::Facial => self.facial,
            Surface::Lingual => self.lingual,
            Surface::Proximal => self.proximal,
            Surface::Margin => self.margin,
        }
    }

    /// What is left to be cut where `space` mm stand open already between the tooth and its opposite, or are to be made by
    /// raising the bite: only the chewing surface gains.
    #[must_use]
    pub fn with_space(self, space: Option<f64>) -> Self {
        let space = space.filter(|s| s.is_finite()).unwrap_or(0.0).max(0.0);
        Self { occlusal: (self.occlusal - space).max(0.0), ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn space_spares_the_chewing_surface_alone() {
        let needs = Needs { occlusal: 1.5, facial: 1.0, lingual: 1.0, proximal: 1.0, margin: 0.5 };
        assert_eq!(needs.with_space(Some(0.9)).occlusal, 1.5 - 0.9);
        assert_eq!(needs.with_space(Some(4.0)).occlusal, 0.0);
        assert_eq!(needs.with_space(Some(4.0)).facial, 1.0);
        assert_eq!(needs.with_space(None), needs);
    }
}
