//! Reflection of diffuse light at a smooth boundary between two media, and what it does to a reflectance measured or met through it.
//!
//! rho(n), n = n_dense / n_thin >= 1, is the Fresnel reflectance averaged over Lambertian light from the thin side
//! (closed form: Walsh 1926; Duntley 1942, J Opt Soc Am 32:61-70, doi 10.1364/JOSA.32.000061); from the dense side
//! 1 - (1 - rho)/n^2 (total reflection included). The corrections are those of Saunderson 1942, J Opt Soc Am 32:727-736, doi 10.1364/JOSA.32.000727:
//! R_measured = a k1 + (1 - k1)(1 - k2) R / (1 - k2 R), a = 1 with, 0 without the specular part.
//!
//! Limits: smooth boundaries without absorption; the light inside is taken as diffuse, which thin clear layers break.

use crate::spectrum::Spectrum;
use serde::{Deserialize, Serialize};

/// Reflectances of a boundary for diffuse light from each side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interface {
    /// For light that comes from the upper medium.
    pub from_above: f64,
    /// For light that comes from the lower medium.
    pub from_below: f64,
}

impl Interface {
    /// The boundary between an upper and a lower medium of the given refractive indices.
    pub fn between(upper: f64, lower: f64) -> Self {
        if lower >= upper {
            let n = lower / upper;
            let rho = diffuse(n);
            Self { from_above: rho, from_below: 1.0 - (1.0 - rho) / (n * n) }
        } else {
            let turned = Self::between(lower, upper);
            Self { from_above: turned.from_below, from_below: turned.from_above }
        }
    }

    /// Reflectance met from above when what lies under the boundary reflects `below` (as met from the lower medium).
    pub fn through(&self, below: f64) -> f64 {
        self.from_above + (1.0 - self.from_above) * (1.0 - self.from_below) * below / (1.0 - self.from_below * below)
    }
}

/// Fresnel reflectance at normal incidence between media of relative index `n`.
pub fn normal(n: f64) -> f64 {
    ((n - 1.0) / (n + 1.0)).powi(2)
}

/// Fresnel reflectance averaged over diffuse light from the thin side of a boundary of relative index `n` >= 1.
pub fn diffuse(n: f64) -> f64 {
    // Below this the closed form loses more digits than the straight line from (1, 0) loses accuracy (both about 1e-9).
    const NEAR: f64 = 1e-5;
    if n - 1.0 < NEAR {
        return (n - 1.0).max(0.0) / NEAR * closed_form(1.0 + NEAR);
    }
    closed_form(n)
}

fn closed_form(n: f64) -> f64 {
    let n2 = n * n;
    let n4 = n2 * n2;
    0.5 + (n - 1.0) * (3.0 * n + 1.0) / (6.0 * (n + 1.0).powi(2))
        + n2 * (n2 - 1.0).powi(2) / (n2 + 1.0).powi(3) * ((n - 1.0) / (n + 1.0)).ln()
        - 2.0 * n * n2 * (n2 + 2.0 * n - 1.0) / ((n2 + 1.0) * (n4 - 1.0))
        + 8.0 * n4 * (n4 + 1.0) / ((n2 + 1.0) * (n4 - 1.0).powi(2)) * n.ln()
}

/// Light that an instrument sends in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Incidence {
    /// From all sides (integrating sphere).
    Diffuse,
    /// A narrow beam near the normal.
    Normal,
}

/// Geometry of an instrument, or of an eye.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Instrument {
    /// Light sent in.
    pub incidence: Incidence,
    /// Whether the mirror-like reflection at the surface is counted.
    pub specular_included: bool,
}

impl Instrument {
    /// Integrating sphere with gloss trap.
    pub const SPHERE_WITHOUT_SPECULAR: Self = Self { incidence: Incidence::Diffuse, specular_included: false };
    /// Integrating sphere, everything counted.
    pub const SPHERE_WITH_SPECULAR: Self = Self { incidence: Incidence::Diffuse, specular_included: true };
    /// Narrow light, the mirror reflection away from the detector.
    pub const BEAM: Self = Self { incidence: Incidence::Normal, specular_included: false };

    /// Loss at entry k1 and reflection back k2 of a body of index `n` in air.
    pub fn corrections(&self, n: f64) -> Saunderson {
        let surface = Interface::between(1.0, n);
        let k1 = match self.incidence {
            Incidence::Diffuse => surface.from_above,
            Incidence::Normal => normal(n),
        };
        Saunderson { k1, k2: surface.from_below, specular_included: self.specular_included }
    }
}

/// Surface corrections of one body under one instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saunderson {
    /// Share of the incoming light reflected at the surface.
    pub k1: f64,
    /// Share of the diffuse light from inside reflected back.
    pub k2: f64,
    /// Whether k1 is counted in the reading.
    pub specular_included: bool,
}

impl Saunderson {
    /// Reading of a body whose reflectance inside is `inside`.
    pub fn measured(&self, inside: f64) -> f64 {
        self.specular() + (1.0 - self.k1) * (1.0 - self.k2) * inside / (1.0 - self.k2 * inside)
    }

    /// Reflectance inside of a body that reads `measured`; outside 0..1 when no such body exists.
    pub fn inside(&self, measured: f64) -> f64 {
        let y = measured - self.specular();
        y / ((1.0 - self.k1) * (1.0 - self.k2) + self.k2 * y)
    }

    /// Every band measured.
    pub fn measured_spectrum(&self, inside: &Spectrum) -> Spectrum {
        inside.map(|r| self.measured(r))
    }

    fn specular(&self) -> f64 {
        if self.specular_included { self.k1 } else { 0.0 }
    }
}
