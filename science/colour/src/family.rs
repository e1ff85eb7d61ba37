//! The optics of a medium of which only an opacity is known: a family, one member per draw.
//!
//! Per draw k: colour of an endless thickness as read in air (drawn from a spread) and a smooth reflectance of that colour with two
//! drawn shifts; refractive index drawn; S(lambda) = S560 (lambda/560 nm)^-p, p ~ N(1.0, 0.5); K = S (1 - R_inf)^2/(2 R_inf) with R_inf
//! inside the medium; S560 solved (root in ln S) so that a disc of the stated thickness reads the drawn opacity through the
//! instrument, over a black and a white tile, coupled as the instrument's user coupled it. What was not reported about the
//! reading (coupling, gloss trap) is drawn too.
//!
//! Sources: two-flux theory (see [`crate::kubelka_munk`]), exponent between Rayleigh-like (4) and large-particle (0) scattering, a
//! prior without a source of its own. Range: media that scatter; opacities a layer of that colour can reach: draws that
//! cannot are put at the nearest end and counted. Limits: no edge loss, so that small apertures read too opaque; figures of two
//! laboratories give two families, not one.

use crate::interface::{Instrument, Saunderson};
use crate::kubelka_munk::{Optics, Slab, ratio};
use crate::metal;
use crate::metamer::{NoSuchBody, smooth_reflectance};
use crate::spectrum::Spectrum;
use crate::spread::Spread;
use crate::stack::{Backing, Coupling, MOST, Upward};
use crate::translucency::{translucency, translucency00};
use crate::viewing::Viewing;
use crate::{Lab, blocks};
use answer::{Draws, World};
use serde::{Deserialize, Serialize};
use std::sync::Arc;
use thiserror::Error;

/// What is known of the opacity of a disc: a range, all values equally credible.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Opacity {
    /// Luminous reflectance over black by that over white.
    ContrastRatio {
        /// Lower end, 0..1.
        low: f64,
        /// Upper end, 0..1.
        high: f64,
        /// Thickness of the disc, mm.
        thickness_mm: f64,
    },
    /// CIE 1976 difference between readings over black and white.
    Translucency {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Thickness of the disc, mm.
        thickness_mm: f64,
    },
    /// CIEDE2000 difference between readings over black and white.
    Translucency00 {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Thickness of the disc, mm.
        thickness_mm: f64,
    },
}

/// Why a family is refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FamilyError {
    /// A ratio of lightnesses was offered as contrast ratio.
    #[error(
        "`{0}` is a ratio of lightnesses L*; a contrast ratio is a ratio of luminous reflectances Y: convert each L* to Y first"
    )]
    LightnessRatio(String),
    /// A measure of opacity we do not know.
    #[error("opacity `{0}` is not known; expected contrast_ratio, TP_ab or TP_00")]
    UnknownMeasure(String),
    /// A range that cannot be.
    #[error("opacity {low} to {high} at {thickness} mm cannot be; expected low <= high, {expected}, thickness above 0")]
    Range {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
        /// Thickness, mm.
        thickness: f64,
        /// What is possible.
        expected: &'static str,
    },
    /// Impossible index range.
    #[error("refractive index {0} to {1}; expected 1 <= low <= high <= 4")]
    Index(f64, f64),
    /// A drawn body colour no body has.
    #[error(transparent)]
    Colour(#[from] NoSuchBody),
}

impl Opacity {
    /// From the word for the measure as tables write it: `contrast_ratio`, `TP_ab`, `TP_00`. `lightness_ratio` is refused.
    pub fn from_words(measure: &str, low: f64, high: f64, thickness_mm: f64) -> Result<Self, FamilyError> {
        let opacity = match measure {
            "contrast_ratio" => Self::ContrastRatio { low, high, thickness_mm },
            "TP_ab" => Self::Translucency { low, high, thickness_mm },
            "TP_00" => Self::Translucency00 { low, high, thickness_mm },
            "lightness_ratio" | "L*b/L*w" => return Err(FamilyError::LightnessRatio(measure.into())),
            _ => return Err(FamilyError::UnknownMeasure(measure.into())),
        };
        opacity.check()?;
        Ok(opacity)
    }

    fn parts(&self) -> (f64, f64, f64) {
        match *self {
            Self::ContrastRatio { low, high, thickness_mm }
            | Self::Translucency { low, high, thickness_mm }
            | Self::Translucency00 { low, high, thickness_mm } => (low, high, thickness_mm),
        }
    }

    fn check(&self) -> Result<(), FamilyError> {
        let (low, high, thickness) = self.parts();
        let (top, expected) = match self {
            Self::ContrastRatio { .. } => (1.0, "between 0 and 1"),
            _ => (100.0, "between 0 and 100"),
        };
        let possible = low > 0.0 && low <= high && high < top && thickness > 0.0 && thickness.is_finite();
        if possible { Ok(()) } else { Err(FamilyError::Range { low, high, thickness, expected }) }
    }
}

/// How the opacity was read; what is `None` was not reported and is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    /// Instrument; drawn among gloss trap in, gloss trap out and narrow beam.
    pub instrument: Option<Instrument>,
    /// Coupling between disc and tile; drawn between air and a fluid of index 1.45.
    pub coupling: Option<Coupling>,
    /// The black tile.
    pub black: Spectrum,
    /// The white tile.
    pub white: Spectrum,
}

impl Default for Readings {
    fn default() -> Self {
        Self { instrument: None, coupling: None, black: Spectrum::flat(0.04), white: Spectrum::flat(0.88) }
    }
}

/// A medium known by its opacity.
#[derive(Debug, Clone, PartialEq)]
pub struct Family {
    /// Name that its fields carry: two options of one medium share its draws.
    pub name: String,
    /// Opacity of a disc.
    pub opacity: Opacity,
    /// Range of the refractive index.
    pub index: (f64, f64),
    /// Colour of an endless thickness, as read in air.
    pub body: Spread,
    /// How the opacity was read.
    pub readings: Readings,
}

/// The members of a family.
#[derive(Debug, Clone, PartialEq)]
pub struct Members {
    /// Optics per draw.
    pub optics: Arc<[Optics]>,
    /// Share of draws whose opacity no layer of the drawn colour reaches; they stand at the nearest that one does.
    pub out_of_reach: f64,
}

impl Family {
    /// Names of the fields of `World` its members depend on.
    pub fn fields(&self) -> Vec<String> {
        ["opacity", "index", "slope", "body/l", "body/a", "body/b", "shift_1", "shift_2", "coupling", "instrument"]
            .map(|quantity| format!("colour/{}/{quantity}", self.name))
            .to_vec()
    }

    /// One member per draw. `viewing` is that of the readings.
    pub fn draw(&self, world: &World, viewing: &Viewing) -> Result<Members, FamilyError> {
        self.opacity.check()?;
        let (n_low, n_high) = self.index;
        if !(1.0..=4.0).contains(&n_low) || !(n_low..=4.0).contains(&n_high) {
            return Err(FamilyError::Index(n_low, n_high));
        }
        let field = |quantity: &str| format!("colour/{}/{quantity}", self.name);
        let (low, high, _) = self.opacity.parts();
        let known = Known {
            opacity: world.between(&field("opacity"), low, high),
            index: world.between(&field("index"), n_low, n_high),
            slope: world.normal(&field("slope"), 1.0, 0.5),
            shift_1: world.normal(&field("shift_1"), 0.0, 0.1),
            shift_2: world.normal(&field("shift_2"), 0.0, 0.1),
            coupling: world.uniform(&field("coupling")),
            instrument: world.uniform(&field("instrument")),
            body: self.body.draws(world, &field("body")),
        };
        let members = blocks::each(world.draws(), |k| self.member(&known, k, viewing))?;
        let missed = members.iter().filter(|m| !m.1).count();
        Ok(Members {
            out_of_reach: missed as f64 / members.len() as f64,
            optics: members.into_iter().map(|m| m.0).collect(),
        })
    }

    /// The member of draw `k`, and whether its opacity was reached.
    fn member(&self, known: &Known, k: usize, viewing: &Viewing) -> Result<(Optics, bool), FamilyError> {
        let index = known.index.get(k);
        let instrument = self.readings.instrument.unwrap_or_else(|| {
            const USUAL: [Instrument; 3] =
                [Instrument::SPHERE_WITHOUT_SPECULAR, Instrument::SPHERE_WITH_SPECULAR, Instrument::BEAM];
            USUAL[((known.instrument.get(k) * 3.0) as usize).min(2)]
        });
        let coupling = self.readings.coupling.unwrap_or(if known.coupling.get(k) < 0.5 {
            Coupling::Dry
        } else {
            Coupling::Film(1.45)
        });
        let surface = instrument.corrections(index);
        let shifts = [known.shift_1.get(k), known.shift_2.get(k)];
        let body = smooth_reflectance(known.body[k], shifts, viewing)
            .or_else(|_| smooth_reflectance(known.body[k], [0.0; 2], viewing))?;
        let absorption = body.map(|r| ratio(surface.inside(r).clamp(1e-4, MOST)));
        let slope = known.slope.get(k);
        let shape = Spectrum::from_fn(|nm| (nm / 560.0).powf(-slope));
        let disc = Disc {
            shape: &shape,
            ratio: &absorption,
            thickness: self.opacity.parts().2,
            black: met_inside(&self.readings.black, coupling, index),
            white: met_inside(&self.readings.white, coupling, index),
            surface,
            viewing,
        };
        let (s560, reached) = disc.solve(&self.opacity, known.opacity.get(k));
        let scattering = shape.map(|s| s * s560);
        let absorption = scattering.zip(&absorption, |s, u| s * u);
        Ok((Optics { scattering, absorption, index }, reached))
    }
}

/// What is drawn for every member.
struct Known {
    opacity: Draws,
    index: Draws,
    slope: Draws,
    shift_1: Draws,
    shift_2: Draws,
    coupling: Draws,
    instrument: Draws,
    body: Vec<Lab>,
}

/// A tile as met from inside a disc of index `index`; its reflectance is taken as that against whatever film lies on it.
fn met_inside(tile: &Spectrum, coupling: Coupling, index: f64) -> Spectrum {
    let mut light = Upward::from(Backing::Surface(*tile), coupling);
    light.enter(index);
    light.reflectance
}

/// A disc whose scattering is sought.
struct Disc<'a> {
    shape: &'a Spectrum,
    ratio: &'a Spectrum,
    thickness: f64,
    black: Spectrum,
    white: Spectrum,
    surface: Saunderson,
    viewing: &'a Viewing,
}

impl Disc<'_> {
    /// S560 per mm that gives the opacity wanted, and whether one does.
    fn solve(&self, opacity: &Opacity, wanted: f64) -> (f64, bool) {
        // Per mm: clearer than window glass, denser than any opaque layer in use.
        let (low, high) = (1e-3f64.ln(), 1e3f64.ln());
        let miss = |ln_s: f64| self.opacity(opacity, ln_s.exp()) - wanted;
        match numerics::root::brent(miss, low, high, 1e-6) {
            Ok(ln_s) => (ln_s.exp(), true),
            Err(_) => {
                let nearest = if miss(low).abs() < miss(high).abs() { low } else { high };
                (nearest.exp(), false)
            }
        }
    }

    fn opacity(&self, opacity: &Opacity, s560: f64) -> f64 {
        let (mut over_black, mut over_white) = (Spectrum::flat(0.0), Spectrum::flat(0.0));
        for i in 0..crate::spectrum::BANDS {
            let s = s560 * self.shape.0[i];
            let slab = Slab::new(s, s * self.ratio.0[i], self.thickness);
            over_black.0[i] = self.surface.measured(slab.over(self.black.0[i]));
            over_white.0[i] = self.surface.measured(slab.over(self.white.0[i]));
        }
        match opacity {
            Opacity::ContrastRatio { .. } => self.viewing.luminance(&over_black) / self.viewing.luminance(&over_white),
            Opacity::Translucency { .. } => translucency(self.viewing.lab(&over_black), self.viewing.lab(&over_white)),
            Opacity::Translucency00 { .. } => {
                translucency00(self.viewing.lab(&over_black), self.viewing.lab(&over_white))
            }
        }
    }
}

/// What a backing known by its colour is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ground {
    /// A scattering body of this refractive index (resin, ceramic).
    Body(f64),
    /// A bare metal; which one is drawn.
    Metal,
    /// A surface that reflects alike against whatever touches it (a tile).
    Tile,
}

/// A backing known by its colour only, read in air by `instrument`: one smooth reflectance per draw, fields
/// `{field}/l|a|b|shift_1|shift_2`, for a metal `{field}/metal` too.
pub fn backings(
    colour: &Spread,
    ground: Ground,
    instrument: Instrument,
    world: &World,
    field: &str,
    viewing: &Viewing,
) -> Result<Arc<[Backing]>, NoSuchBody> {
    let labs = colour.draws(world, field);
    let shift = |name: &str| world.normal(&format!("{field}/{name}"), 0.0, 0.1);
    let (first, second) = (shift("shift_1"), shift("shift_2"));
    let which = world.uniform(&format!("{field}/metal"));
    let (low, high) = metal::ABSORBING;
    let all = blocks::each(world.draws(), |k| {
        let read = smooth_reflectance(labs[k], [first.get(k), second.get(k)], viewing)
            .or_else(|_| smooth_reflectance(labs[k], [0.0; 2], viewing))?;
        Ok(match ground {
            Ground::Body(n) => Backing::read_in_air(&read, n, instrument),
            Ground::Metal => Backing::Metal { in_air: read, absorbing: low + (high - low) * which.get(k) },
            Ground::Tile => Backing::Surface(read),
        })
    })?;
    Ok(all.into())
}

/// One layer over a backing, as read: the colour a disc of this medium shows.
pub fn disc_reading(
    optics: &Optics,
    thickness_mm: f64,
    backing: Backing,
    coupling: Coupling,
    instrument: Instrument,
) -> Spectrum {
    let mut light = Upward::from(backing, coupling);
    light.cross(optics, thickness_mm);
    light.measured(instrument)
}
