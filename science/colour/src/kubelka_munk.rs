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
    fn with_simd<S: simd::Simd>(self, _: S) {
        if S::IS_SCALAR { self.blocks::<false>() } else { self.blocks::<true>() }
    }
}

impl Lay<'_> {
    #[inline(always)]
    fn blocks<const FUSED: bool>(self) {
        let n = self.reflectance.len().min(self.s.len()).min(self.k.len());
        let (light, rest) = self.reflectance[..n].as_chunks_mut::<WIDTH>();
        let (s, s_rest) = self.s[..n].as_chunks::<WIDTH>();
        let (k, k_rest) = self.k[..n].as_chunks::<WIDTH>();
        for ((g, s), k) in light.iter_mut().zip(s).zip(k) {
            block::<FUSED>(g, s, k, self.x);
        }
        // The last block is filled up: a remainder band by band would cost as much as all before it.
        if !rest.is_empty() {
            let (mut g, mut s, mut k) = ([0.0; WIDTH], [1.0; WIDTH], [0.0; WIDTH]);
            for (i, slot) in rest.iter().enumerate() {
                (g[i], s[i], k[i]) = (*slot, s_rest[i], k_rest[i]);
            }
            block::<FUSED>(&mut g, &s, &k, self.x);
            for (i, slot) in rest.iter_mut().enumerate() {
                *slot = g[i];
            }
        }
    }
}

#[inline(always)]
fn block<const FUSED: bool>(g: &mut [f64; WIDTH], s: &[f64; WIDTH], k: &[f64; WIDTH], x: f64) {
    for i in 0..WIDTH {
        g[i] = over::<FUSED>(s[i], k[i], x, g[i]);
    }
}

/// Bands in one block.
const WIDTH: usize = 8;

/// Reflectance of a layer over `g`, [`Slab::new`] and [`Slab::over`] in one fraction: with P = 1 - E, D = (S + K) P + alpha (1 + E),
/// R = (S P (D - S P g) + 4 E alpha^2 g) / (D (D - S P g)). A hair (1e-30 per mm) on alpha makes K = 0 a regular case: P and D are then
/// proportional to alpha, which cancels; P comes from e^-z - 1 and so keeps its digits.
#[inline(always)]
fn over<const FUSED: bool>(s: f64, k: f64, x: f64, g: f64) -> f64 {
    let mul_add = lanes::mul_add::<FUSED>;
    let alpha = mul_add(k, k + 2.0 * s, 1e-60).sqrt();
    let less = lanes::exp_less_one::<FUSED>(alpha * x);
    let e1 = less + 1.0;
    let p = -less * (1.0 + e1);
    let d = mul_add(s + k, p, mul_add(alpha, e1 * e1, alpha));
    let sp = s * p;
    let rest = mul_add(-sp, g, d);
    let through = 2.0 * alpha * e1;
    mul_add(sp, rest, through * through * g) / (d * rest)
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
