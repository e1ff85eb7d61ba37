//! Round plate on a simply supported ring, loaded on a central patch or ring: both principal stresses of the tensile face.
//!
//! Thin-plate theory, support radius a, plate radius R, thickness h, load P, S = 3P/(4 pi h^2), factors of S:
//! patch radius c, outside it: r,t = 2(1+nu) ln(a/r) + (1-nu)[+-c^2/(2r^2) -+1 + (a^2 - c^2/2)/R^2] (upper sign r);
//! inside it: centre value (1+nu)[1 + 2 ln(a/c)] + (1-nu)(1 - c^2/(2a^2)) a^2/R^2, less (3+nu) r^2/(2c^2) for r, (1+3nu) r^2/(2c^2) for t;
//! ring radius b: within it the value at b; outside as the patch with b^2 for c^2/2; beyond the support (1-nu)(a^2 - k)[1/R^2 -+ 1/r^2].
//! Timoshenko, Woinowsky-Krieger 1959, Theory of plates and shells (memory); Kirstein, Woolley 1967, J Res NBS 71C:1-10 (memory).
//!
//! Limits: h under about a/3, deflection under h/2; three balls are taken as a ring; nothing under the load but the patch pressure.

use crate::error::{StrengthError, poisson, positive, within};
use crate::points::points;
use std::f64::consts::PI;

/// How the load meets the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Load {
    /// Even pressure within this radius, mm.
    Patch(f64),
    /// A ring of this radius, mm.
    Ring(f64),
}

/// A round plate on a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disk {
    /// Support radius, mm.
    pub support: f64,
    /// Plate radius, mm, at least the support's.
    pub radius: f64,
    /// Thickness, mm.
    pub thickness: f64,
    /// Poisson ratio.
    pub poisson: f64,
    /// Load.
    pub load: Load,
}

impl Disk {
    /// The disk, or the error that names its unusable measure.
    pub fn check(&self) -> Result<&Self, StrengthError> {
        positive("support radius", self.support)?;
        positive("thickness of the plate", self.thickness)?;
        within("plate radius", self.radius, self.radius >= self.support, "at least the support radius")?;
        poisson(self.poisson)?;
        let (Load::Patch(c) | Load::Ring(c)) = self.load;
        within("radius of the load", c, c > 0.0 && c < self.support, "above 0 and below the support radius")?;
        Ok(self)
    }

    /// Radial and hoop stress of the tensile face at radius `r`, MPa per N.
    pub fn stress(&self, r: f64) -> (f64, f64) {
        let scale = 3.0 / (4.0 * PI * self.thickness * self.thickness);
        let (radial, hoop) = self.factors(r);
        (scale * radial, scale * hoop)
    }

    /// Stress at the centre, MPa per N.
    pub fn centre(&self) -> f64 {
        self.stress(0.0).0
    }

    fn factors(&self, r: f64) -> (f64, f64) {
        let (a, nu, big) = (self.support, self.poisson, self.radius);
        let k = match self.load {
            Load::Patch(c) => 0.5 * c * c,
            Load::Ring(b) => b * b,
        };
        match self.load {
            Load::Ring(b) if r < b => {
                let even = 2.0 * (1.0 + nu) * (a / b).ln() + (1.0 - nu) * (a * a - b * b) / (big * big);
                (even, even)
            }
            Load::Patch(c) if r < c => {
                let centre = (1.0 + nu) * (1.0 + 2.0 * (a / c).ln()) + (1.0 - nu) * (a * a - k) / (big * big);
                let u = 0.5 * r * r / (c * c);
                (centre - (3.0 + nu) * u, centre - (1.0 + 3.0 * nu) * u)
            }
            _ if r <= a => {
                let even = 2.0 * (1.0 + nu) * (a / r).ln() + (1.0 - nu) * (a * a - k) / (big * big);
                let odd = (1.0 - nu) * (1.0 - k / (r * r));
                (even - odd, even + odd)
            }
            _ => {
                let f = (1.0 - nu) * (a * a - k);
                (f * (1.0 / (big * big) - 1.0 / (r * r)), f * (1.0 / (big * big) + 1.0 / (r * r)))
            }
        }
    }

    /// Quadrature points of the whole tensile face: (radius, area).
    pub(crate) fn rings(&self) -> Vec<(f64, f64)> {
        let (Load::Patch(c) | Load::Ring(c)) = self.load;
        let mut out: Vec<(f64, f64)> = Vec::with_capacity(96);
        for (low, high, n) in [(0.0, c, 24), (c, self.support, 48), (self.support, self.radius, 16)] {
            if high > low {
                out.extend(points(n, low, high).map(|(r, w)| (r, 2.0 * PI * r * w)));
            }
        }
        out
    }

    /// (principal stress per N, area) of the tensile face, each principal stress once.
    pub fn samples(&self) -> Vec<(f64, f64)> {
        self.rings()
            .into_iter()
            .flat_map(|(r, area)| {
                let (radial, hoop) = self.stress(r);
                [(radial, area), (hoop, area)]
            })
            .collect()
    }
}
