//! The crown's outline: half-widths towards the four sides as a function of height, and the cross-section they span.
//!
//! At height z above the facial enamel edge the half-width towards side d runs straight from the neck to the widest place and
//! from there straight to the top:
//!
//! a_d(z) = neck_d + (widest_d - neck_d) z / z_w for z <= z_w, widest_d + (top_d - widest_d) (z - z_w) / (H - z_w) above.
//!
//! The cross-section is a superellipse of exponent p, one quarter between each two neighbouring sides; a quarter with half-axes
//! a, b has the area a b Gamma(1 + 1/p)^2 / Gamma(1 + 2/p). Over the top `roof` mm of a back tooth only cusps stand: the area falls
//! straight to nothing.
//!
//! Heights as shares of the crown, widths at the top and exponents are common practice, no source; their scatter is drawn
//! ([`crate::StandingTooth`]). The depth of the roof is the difference of raised and hollow parts in Liu 2006 (1.4 mm).

use catalogue::words::{Tooth, ToothClass};

/// Slices of a crown's volume.
pub(crate) const SLICES: usize = 24;

/// The four sides of a crown.
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

/// Form of one kind of tooth, free of size.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Form {
    /// Height of the widest place as a share of the crown: facial and lingual, proximal.
    widest_at: [f64; 2],
    /// Half-width at the top as a share of the greatest: facial and lingual, proximal.
    pub(crate) top: [f64; 2],
    /// Exponent of the cross-section.
    exponent: f64,
    /// Depth of the chewing surface below the cusps, mm.
    pub(crate) roof: f64,
}

/// Depth of the hollow parts of a molar's chewing surface below its raised parts, mm (Liu 2006, upper and lower first molar alike).
const ROOF: f64 = 1.4;

impl Form {
    pub(crate) fn of(tooth: Tooth) -> Self {
        match tooth.class() {
            ToothClass::CentralIncisor | ToothClass::LateralIncisor => {
                Self { widest_at: [0.15, 0.8], top: [0.2, 0.92], exponent: 2.2, roof: 0.0 }
            }
            ToothClass::Canine => Self { widest_at: [0.2, 0.7], top: [0.25, 0.45], exponent: 2.2, roof: 0.0 },
            ToothClass::Premolar => Self { widest_at: [0.4, 0.7], top: [0.6, 0.85], exponent: 2.3, roof: ROOF },
            ToothClass::Molar => Self { widest_at: [0.35, 0.7], top: [0.6, 0.9], exponent: 3.0, roof: ROOF },
        }
    }

    /// Gamma(1 + 1/p)^2 / Gamma(1 + 2/p): area of a quarter over the product of its half-axes.
    pub(crate) fn quarter(&self) -> f64 {
        let ln = 2.0 * numerics::gamma::ln_gamma(1.0 + 1.0 / self.exponent)
            - numerics::gamma::ln_gamma(1.0 + 2.0 / self.exponent);
        ln.exp()
    }
}

/// Outline of one crown, mm.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Outline {
    /// Height of the crown.
    pub(crate) height: f64,
    /// Greatest half-width by side.
    widest: [f64; 4],
    /// Slope of the half-width below and above the widest place, by side.
    below: [f64; 4],
    above: [f64; 4],
    /// Height of the widest place by side.
    widest_at: [f64; 4],
    /// Height of the enamel's edge by side.
    pub(crate) enamel_edge: [f64; 4],
    /// Depth of the chewing surface below the cusps.
    pub(crate) roof: f64,
    quarter: f64,
}

/// Sizes of one crown, mm, from which its outline is drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Extent {
    pub(crate) height: f64,
    pub(crate) mesiodistal: f64,
    pub(crate) mesiodistal_neck: f64,
    pub(crate) faciolingual: f64,
    pub(crate) faciolingual_neck: f64,
    pub(crate) neck_curve: [f64; 2],
    /// Factor on the widths at the top.
    pub(crate) top: f64,
}

impl Outline {
    pub(crate) fn new(form: &Form, quarter: f64, extent: &Extent) -> Self {
        let half = |fl: f64, md: f64| [0.5 * fl, 0.5 * fl, 0.5 * md, 0.5 * md];
        let share = |[fl, md]: [f64; 2]| [fl, fl, md, md];
        let widest = half(extent.faciolingual, extent.mesiodistal);
        let neck = half(extent.faciolingual_neck, extent.mesiodistal_neck);
        let top_share = share(form.top).map(|s| (s * extent.top).min(1.0));
        let widest_at = share(form.widest_at).map(|s| s * extent.height);
        let low_edge = 0.5 * extent.height;
        Self {
            height: extent.height,
            widest,
            below: std::array::from_fn(|i| (widest[i] - neck[i]) / widest_at[i]),
            above: std::array::from_fn(|i| widest[i] * (top_share[i] - 1.0) / (extent.height - widest_at[i])),
            widest_at,
            enamel_edge: [0.0, 0.0, extent.neck_curve[0].min(low_edge), extent.neck_curve[1].min(low_edge)],
            roof: form.roof.min(0.4 * extent.height),
            quarter,
        }
    }

    /// Half-width towards a side at height z.
    pub(crate) fn half_width(&self, side: Side, z: f64) -> f64 {
        let i = side.index();
        let z = z.clamp(0.0, self.height);
        let up = z - self.widest_at[i];
        self.widest[i] + up * if up <= 0.0 { self.below[i] } else { self.above[i] }
    }

    /// Half-widths towards all sides at height z, in the order of [`Side::ALL`]; opposite sides of a whole crown are alike.
    pub(crate) fn half_widths(&self, z: f64) -> [f64; 4] {
        let (facial, mesial) = (self.half_width(Side::Facial, z), self.half_width(Side::Mesial, z));
        [facial, facial, mesial, mesial]
    }

    /// Cross-section of half-widths in the order of [`Side::ALL`], mm2.
    pub(crate) fn area(&self, half_widths: [f64; 4]) -> f64 {
        let [f, l, m, d] = half_widths;
        self.quarter * (f + l) * (m + d)
    }

    /// Share of a full cross-section that stands `below_top` mm below the top of cusps.
    pub(crate) fn standing_share(&self, below_top: f64) -> f64 {
        if self.roof <= 0.0 { 1.0 } else { (below_top / self.roof).clamp(0.0, 1.0) }
    }

    /// Thickness of a slice, mm.
    pub(crate) fn slice(&self) -> f64 {
        self.height / SLICES as f64
    }

    /// Height of the middle of slice i.
    pub(crate) fn middle(&self, i: usize) -> f64 {
        (i as f64 + 0.5) * self.slice()
    }

    /// Volume of slice i of a body with the given half-widths there, ending at height `top`, as far as it is crown, mm3.
    pub(crate) fn slice_volume(&self, i: usize, half_widths: [f64; 4], top: f64) -> f64 {
        let (z, slice) = (self.middle(i), self.slice());
        let reached = ((top - z) / slice + 0.5).clamp(0.0, 1.0);
        self.area(half_widths) * self.crown_share(z) * self.standing_share(top - z) * reached * slice
    }

    /// Volume of the whole crown, mm3: midpoint rule on [`SLICES`] slices, good to 0.5 % for such outlines.
    pub(crate) fn crown_volume(&self) -> f64 {
        let slices = (0..SLICES).map(|i| {
            let z = self.middle(i);
            self.slice_volume(i, self.half_widths(z), self.height)
        });
        slices.sum()
    }

    /// Greatest mesiodistal width.
    pub(crate) fn greatest_mesiodistal(&self) -> f64 {
        self.widest[Side::Mesial.index()] + self.widest[Side::Distal.index()]
    }

    /// Greatest faciolingual width.
    pub(crate) fn greatest_faciolingual(&self) -> f64 {
        self.widest[Side::Facial.index()] + self.widest[Side::Lingual.index()]
    }

    /// Share of a cross-section at height z that is crown, not root: the enamel's edge rises towards the neighbours, and at the
    /// facial edge's height half of the section lies below it.
    pub(crate) fn crown_share(&self, z: f64) -> f64 {
        let edge = 0.5 * (self.enamel_edge[2] + self.enamel_edge[3]);
        if edge <= 0.0 || z >= edge { 1.0 } else { 1.0 - 0.5 * (1.0 - z / edge) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quarter_of_exponent_two_is_a_quarter_ellipse() {
        let form = Form { exponent: 2.0, ..Form::of(Tooth::new(11).unwrap()) };
        // pi/4 exactly; 1e-12 leaves room for the log-gamma's rounding.
        assert!((form.quarter() - std::f64::consts::FRAC_PI_4).abs() < 1e-12);
    }

    #[test]
    fn the_outline_meets_neck_and_greatest_width() {
        let form = Form::of(Tooth::new(46).unwrap());
        let extent = Extent {
            height: 7.5,
            mesiodistal: 11.0,
            mesiodistal_neck: 9.0,
            faciolingual: 10.5,
            faciolingual_neck: 9.0,
            neck_curve: [1.0, 0.0],
            top: 1.0,
        };
        let outline = Outline::new(&form, form.quarter(), &extent);
        // One rounding of a slope: 1e-12.
        assert!((outline.half_width(Side::Mesial, 0.0) - 4.5).abs() < 1e-12);
        assert_eq!(outline.half_width(Side::Mesial, 0.7 * 7.5), 5.5);
        assert!(outline.half_width(Side::Facial, 7.5) < outline.half_width(Side::Facial, 0.0));
    }
}
