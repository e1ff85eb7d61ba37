//! Half-width of a crown towards one side as a function of height.
//!
//! From neck to crest a cubic (Hermite) that leaves the neck at the emergence angle and reaches the crest level; from crest to top
//! a(u) = crest - (crest - top) u^q (bulging), or crest - (crest - top) (1 - (1 - u)^q) (hollow), u the share of the way. Below the
//! neck the root narrows by 3 in 100 (common practice, no source).

/// Outline towards one side, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Profile {
    /// Half-width at the neck.
    pub(crate) neck: f64,
    /// Greatest half-width.
    pub(crate) crest: f64,
    /// Half-width at the top.
    pub(crate) top: f64,
    /// Height of the crest above the neck.
    pub(crate) crest_height: f64,
    /// Height of the crown.
    pub(crate) height: f64,
    /// Exponent of the fall to the top: above 0 bulging, below 0 hollow.
    pub(crate) bow: f64,
    /// Tangent of the angle at which the crown leaves the root.
    pub(crate) emergence: f64,
}

/// Narrowing of the root, mm per mm.
const ROOT_TAPER: f64 = 0.03;

impl Profile {
    /// Half-width at height z above the neck; below 0 the root.
    pub(crate) fn half_width(&self, z: f64) -> f64 {
        if z < 0.0 {
            return (self.neck + ROOT_TAPER * z).max(0.3 * self.neck);
        }
        let rise = self.crest - self.neck;
        if z < self.crest_height {
            let u = z / self.crest_height;
            // Never so steep that the outline would overshoot its crest.
            let first = (self.emergence * self.crest_height).min(2.0 * rise);
            return self.neck + first * u * (1.0 - u) * (1.0 - u) + rise * u * u * (3.0 - 2.0 * u);
        }
        let u = ((z - self.crest_height) / (self.height - self.crest_height)).min(1.0);
        let fallen = if self.bow > 0.0 { u.powf(self.bow) } else { 1.0 - (1.0 - u).powf(-self.bow) };
        self.crest - (self.crest - self.top) * fallen
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_meets_neck_crest_and_top_and_never_passes_the_crest(
            crest_at in 0.1f64..0.9, bow in prop_oneof![-3.0f64..-1.0, 1.0f64..3.0], z in 0.0f64..1.0
        ) {
            let p = Profile { neck: 3.0, crest: 3.6, top: 1.0, crest_height: 9.0 * crest_at, height: 9.0, bow, emergence: 0.24 };
            // One rounding each.
            prop_assert!((p.half_width(0.0) - 3.0).abs() < 1e-12);
            prop_assert!((p.half_width(p.crest_height) - 3.6).abs() < 1e-12);
            prop_assert!((p.half_width(9.0) - 1.0).abs() < 1e-12);
            prop_assert!(p.half_width(9.0 * z) <= 3.6 + 1e-12);
        }
    }
}
