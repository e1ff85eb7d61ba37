//! Two-flux theory of one scattering and absorbing layer, without its boundaries.
//!
//! With S, K per mm, thickness X mm, alpha = sqrt(K (K + 2 S)), E = exp(-2 alpha X), Q = (1 - E)/alpha:
//! R0 = S Q / ((S + K) Q + 1 + E) over black, T = 2 exp(-alpha X) / ((S + K) Q + 1 + E) (Kubelka 1948, J Opt Soc Am 38:448-457,
//! doi 10.1364/JOSA.38.000448, rewritten so that K -> 0, S -> 0 and X -> 0 are regular). Over a backing: R = R0 + T^2 Rg/(1 - R0 Rg).
//! R_infinity = 1 + K/S - sqrt((K/S)^2 + 2 K/S). Inverse from two backings: linear in a and c = b coth(b S X).
//!
//! Limits: light diffuse on both ways, wide layers (no edge loss), no coherence; R-only inputs fix S and K poorly where the layer is
//! almost opaque.

use crate::lanes;
use crate::spectrum::{Spectrum, SpectrumError};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// What light meets in a medium.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Optics {
    /// Scattering S, per mm.
    pub scattering: Spectrum,
    /// Absorption K, per mm.
    pub absorption: Spectrum,
    /// Refractive index (1 or more).
    pub index: f64,
}

/// Why optics are refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OpticsError {
    /// A coefficient is negative or no number.
    #[error("{which} {value} per mm at {nm} nm; expected a number not below 0")]
    Coefficient {
        /// `scattering` or `absorption`.
        which: &'static str,
        /// Value found, per mm.
        value: f64,
        /// Wavelength, nm.
        nm: f64,
    },
    /// Index impossible.
    #[error("refractive index {0}; expected between 1 and 4")]
    Index(f64),
    /// Spectrum refused.
    #[error(transparent)]
    Spectrum(#[from] SpectrumError),
}

impl Optics {
    /// Checked optics.
    pub fn new(scattering: Spectrum, absorption: Spectrum, index: f64) -> Result<Self, OpticsError> {
        for (which, spectrum) in [("scattering", &scattering), ("absorption", &absorption)] {
            if let Some(i) = spectrum.0.iter().position(|v| !v.is_finite() || *v < 0.0) {
                let nm = crate::spectrum::wavelength(i);
                return Err(OpticsError::Coefficient { which, value: spectrum.0[i], nm });
            }
        }
        if !(1.0..=4.0).contains(&index) {
            return Err(OpticsError::Index(index));
        }
        Ok(Self { scattering, absorption, index })
    }

    /// Reflectance inside an endless thickness.
    pub fn endless(&self) -> Spectrum {
        self.scattering.zip(&self.absorption, endless)
    }
}

/// Reflectance over black and transmittance of a layer without boundaries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    /// Reflectance over black.
    pub reflectance: f64,
    /// Transmittance.
    pub transmittance: f64,
}

impl Slab {
    /// From S and K per mm and the thickness in mm.
    #[inline(always)]
    pub fn new(s: f64, k: f64, x: f64) -> Self {
        let alpha = (k * (k + 2.0 * s)).sqrt();
        let z = alpha * x;
        let e1 = lanes::exp::<false>(-z);
        let e = e1 * e1;
        // The series replaces (1 - E)/alpha where the difference loses digits; next term z^4/7.5 below 2e-13.
        let q = if z < 1e-3 { 2.0 * x * (1.0 - z + z * z * (2.0 - z) / 3.0) } else { (1.0 - e) / alpha };
        let over = 1.0 / ((s + k) * q + 1.0 + e);
        Self { reflectance: s * q * over, transmittance: 2.0 * e1 * over }
    }

    /// Reflectance over a backing.
    #[inline(always)]
    pub fn over(&self, backing: f64) -> f64 {
        self.reflectance + self.transmittance * self.transmittance * backing / (1.0 - self.reflectance * backing)
    }

    /// This layer upon another: reflectance met from above and below, and transmittance.
    pub fn upon(&self, lower: Self) -> Pair {
        Pair::from(*self).upon(Pair::from(lower))
    }
}

/// Lays a layer `x` mm thick over a reflectance, band by band: `reflectance[i]` inside becomes that met above the layer. Stops at the
/// shortest of the three lists.
///
/// With z = alpha x and U = tanh(z)/alpha, R = (S U + (1 - (S + K) U) g) / (1 + (S + K) U - S U g): Kubelka's hyperbolic form times
/// tanh z. U/x is even in z and so a function of w = z^2 alone: neither root nor exponential is needed. As P(w)/Q(w) of degree 5
/// through Chebyshev nodes it errs by less than 3e-13 of itself for z up to 6; thicker layers come from thinner ones by
/// tanh 2z = 2 tanh z/(1 + tanh^2 z). All terms of P, Q and that are positive, and w = 0 (no absorption) is a regular case.
pub fn lay(reflectance: &mut [f64], s: &[f64], k: &[f64], x: f64) {
    // The widest vector units the machine has, products fused where it can: the same bytes on every machine of a kind.
    simd::Arch::new().dispatch(Lay { reflectance, s, k, x });
}

struct Lay<'a> {
    reflectance: &'a mut [f64],
    s: &'a [f64],
    k: &'a [f64],
    x: f64,
}

impl simd::WithSimd for Lay<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: simd::Simd>(self, simd: S) {
        let n = self.reflectance.len().min(self.s.len()).min(self.k.len());
        let (light, light_rest) = S::as_mut_simd_f64s(&mut self.reflectance[..n]);
        let (s, s_rest) = S::as_simd_f64s(&self.s[..n]);
        let (k, k_rest) = S::as_simd_f64s(&self.k[..n]);
        // Lanes beyond the last band hold noughts, which lay nothing over nothing.
        let rest = (simd.partial_load_f64s(s_rest), simd.partial_load_f64s(k_rest));
        // Loops, not closures: what is called in here is compiled for the vector units only where it is inlined.
        let mut greatest = alpha_squared(simd, rest.0, rest.1);
        for (s, k) in s.iter().zip(k) {
            greatest = simd.max_f64s(greatest, alpha_squared(simd, *s, *k));
        }
        let sheet = Sheet::new(self.x, simd.reduce_max_f64s(greatest));
        for ((g, s), k) in light.iter_mut().zip(s).zip(k) {
            *g = sheet.over(simd, *s, *k, *g);
        }
        if !light_rest.is_empty() {
            let met = sheet.over(simd, rest.0, rest.1, simd.partial_load_f64s(light_rest));
            simd.partial_store_f64s(light_rest, met);
        }
    }
}

/// alpha^2 = K (K + 2 S).
#[inline(always)]
fn alpha_squared<S: simd::Simd>(simd: S, s: S::f64s, k: S::f64s) -> S::f64s {
    simd.mul_f64s(k, simd.mul_add_e_f64s(simd.splat_f64s(2.0), s, k))
}

/// A thickness, halved until the quotient of polynomials holds in every band.
struct Sheet {
    x: f64,
    halved: u32,
}

impl Sheet {
    /// Greatest w of the quotient.
    const FAR: f64 = 36.0;
    /// P, highest power first.
    const P: [f64; 6] = [
        5.3428036413225016e-11,
        1.346579093066035e-07,
        4.6079244146332177e-05,
        0.004568976799521888,
        0.1420555892204793,
        1.0,
    ];
    /// Q, highest power first.
    const Q: [f64; 6] = [
        3.872462409003628e-09,
        2.968126441275765e-06,
        0.0005286827552457947,
        0.029698617650869157,
        0.4753889225538114,
        1.0,
    ];

    /// From the thickness (mm) and the greatest alpha^2 of the bands.
    #[inline(always)]
    fn new(mut x: f64, alpha_squared: f64) -> Self {
        let mut halved = 0;
        while alpha_squared * x * x > Self::FAR && halved < 64 {
            x *= 0.5;
            halved += 1;
        }
        Self { x, halved }
    }

    /// Bands laid over `g`.
    #[inline(always)]
    fn over<S: simd::Simd>(&self, simd: S, s: S::f64s, k: S::f64s, g: S::f64s) -> S::f64s {
        let one = simd.splat_f64s(1.0);
        let mut w = simd.mul_f64s(alpha_squared(simd, s, k), simd.splat_f64s(self.x * self.x));
        let (mut p, mut q) = (simd.splat_f64s(Self::P[0]), simd.splat_f64s(Self::Q[0]));
        for i in 1..6 {
            p = simd.mul_add_e_f64s(p, w, simd.splat_f64s(Self::P[i]));
            q = simd.mul_add_e_f64s(q, w, simd.splat_f64s(Self::Q[i]));
        }
        let mut x = simd.splat_f64s(self.x);
        for _ in 0..self.halved {
            p = simd.div_f64s(p, q);
            q = simd.mul_add_e_f64s(simd.mul_f64s(p, p), w, one);
            w = simd.mul_f64s(w, simd.splat_f64s(4.0));
            x = simd.add_f64s(x, x);
        }
        let u = simd.mul_f64s(x, p);
        let scattered = simd.mul_f64s(s, u);
        let lost = simd.mul_f64s(simd.add_f64s(s, k), u);
        simd.div_f64s(
            simd.mul_add_e_f64s(simd.sub_f64s(q, lost), g, scattered),
            simd.negate_mul_add_e_f64s(scattered, g, simd.add_f64s(q, lost)),
        )
    }
}

/// Several layers as one: unlike a single layer it looks different from its two sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Reflectance from above over black.
    pub above: f64,
    /// Reflectance from below over black.
    pub below: f64,
    /// Transmittance, the same both ways.
    pub transmittance: f64,
}

impl From<Slab> for Pair {
    fn from(slab: Slab) -> Self {
        Self { above: slab.reflectance, below: slab.reflectance, transmittance: slab.transmittance }
    }
}

impl Pair {
    /// The adding formula (Kubelka 1954, J Opt Soc Am 44:330-335, doi 10.1364/JOSA.44.000330).
    pub fn upon(&self, lower: Self) -> Self {
        let bounce = 1.0 / (1.0 - self.below * lower.above);
        Self {
            above: self.above + self.transmittance.powi(2) * lower.above * bounce,
            below: lower.below + lower.transmittance.powi(2) * self.below * bounce,
            transmittance: self.transmittance * lower.transmittance * bounce,
        }
    }

    /// Reflectance from above over a backing.
    pub fn over(&self, backing: f64) -> f64 {
        self.above + self.transmittance.powi(2) * backing / (1.0 - self.below * backing)
    }
}

/// Reflectance of an endless thickness.
pub fn endless(s: f64, k: f64) -> f64 {
    if s <= 0.0 {
        return 0.0;
    }
    let u = k / s;
    // 1/(1 + u + root) is the same number without the difference of two large ones.
    1.0 / (1.0 + u + (u * u + 2.0 * u).sqrt())
}

/// K/S of a body whose endless thickness reflects `r` inside.
pub fn ratio(r: f64) -> f64 {
    (1.0 - r).powi(2) / (2.0 * r)
}

/// Why two readings of a layer cannot be turned into S and K.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum InverseError {
    /// The reading over the light backing is not above the one over the dark.
    #[error("reads {light} over the lighter backing and {dark} over the darker; expected the first to be greater")]
    Order {
        /// Reading over the lighter backing.
        light: f64,
        /// Reading over the darker backing.
        dark: f64,
    },
    /// No layer of positive S and K reads so.
    #[error(
        "no layer can read {light} over {over_light} and {dark} over {over_dark}; check backings, thickness and instrument"
    )]
    Impossible {
        /// Reading over the lighter backing.
        light: f64,
        /// The lighter backing.
        over_light: f64,
        /// Reading over the darker backing.
        dark: f64,
        /// The darker backing.
        over_dark: f64,
    },
}

/// S and K per mm of a layer `x` mm thick that reflects `r1` over a backing `g1` and `r2` over `g2` (all inside the layer).
pub fn inverse(r1: f64, g1: f64, r2: f64, g2: f64, x: f64) -> Result<(f64, f64), InverseError> {
    let (dark, over_dark, light, over_light) = if g1 <= g2 { (r1, g1, r2, g2) } else { (r2, g2, r1, g1) };
    if light.partial_cmp(&dark) != Some(std::cmp::Ordering::Greater) {
        return Err(InverseError::Order { light, dark });
    }
    let impossible = InverseError::Impossible { light, over_light, dark, over_dark };
    // R (a - g + c) = 1 - g (a - c), once for each backing.
    let (p1, q1, y1) = (r1 + g1, r1 - g1, 1.0 + r1 * g1);
    let (p2, q2, y2) = (r2 + g2, r2 - g2, 1.0 + r2 * g2);
    let det = p1 * q2 - p2 * q1;
    let (a, c) = ((y1 * q2 - y2 * q1) / det, (p1 * y2 - p2 * y1) / det);
    // A layer without absorption has a = 1; rounding may put it a hair below.
    if !(a.is_finite() && c.is_finite()) || a < 1.0 - 1e-9 {
        return Err(impossible);
    }
    let b = (a * a - 1.0).max(0.0).sqrt();
    if c <= b || x <= 0.0 {
        return Err(impossible);
    }
    let ratio = b / c;
    let s = if ratio < 1e-6 { 1.0 / (c * x) } else { ratio.atanh() / (b * x) };
    Ok((s, s * (a - 1.0).max(0.0)))
}
