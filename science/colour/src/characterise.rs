//! S and K of a medium from own discs read over a dark and a light backing, by spectrum or by CIELAB only, with its error.
//!
//! Each reading is taken back inside the disc (surface corrections), each backing is met from inside it (coupling and lower
//! boundary), and the two equations of [`crate::kubelka_munk::inverse`] give S and K band by band; several discs (a thickness
//! series) are averaged. Where noise alone would make K negative, K is nought and S comes from the darker reading; such
//! bands are counted. Readings by CIELAB become smooth reflectances first ([`crate::smooth_reflectance`]).
//!
//! The error is carried by draws: each draw repeats the inversion with readings, thickness and index moved by their own
//! errors. Limits: those of two-flux theory; a disc that is almost opaque tells S and K apart poorly, one thinner than
//! 0.3 mm is ruled by the error of its thickness.

use crate::Lab;
use crate::blocks;
use crate::interface::Instrument;
use crate::kubelka_munk::{InverseError, Optics, inverse};
use crate::metamer::{NoSuchBody, smooth_reflectance};
use crate::spectrum::{BANDS, Spectrum, wavelength};
use crate::stack::{Backing, Coupling, Upward};
use crate::viewing::Viewing;
use answer::World;
use std::sync::Arc;
use thiserror::Error;

/// A reading: what the instrument gave.
#[derive(Debug, Clone, Copy, PartialEq)]
#[allow(clippy::large_enum_variant)] // a handful per characterisation, copied, never stored in bulk
pub enum Reading {
    /// Reflectance.
    Spectrum(Spectrum),
    /// Colour only.
    Lab(Lab),
}

/// One disc over two backings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Disc {
    /// Thickness, mm.
    pub thickness_mm: f64,
    /// Read over the darker backing.
    pub over_dark: Reading,
    /// Read over the lighter backing.
    pub over_light: Reading,
}

/// How the discs were read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bench {
    /// Darker backing.
    pub dark: Backing,
    /// Lighter backing.
    pub light: Backing,
    /// Between disc and backing.
    pub coupling: Coupling,
    /// Instrument.
    pub instrument: Instrument,
}

/// Standard deviations of what goes into a characterisation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadingError {
    /// Of a reflectance, alike in all bands of one reading.
    pub reflectance: f64,
    /// Of a thickness, mm.
    pub thickness_mm: f64,
    /// Of the refractive index.
    pub index: f64,
}

impl ReadingError {
    /// A bench instrument and a micrometer (common practice, no source).
    pub const USUAL: Self = Self { reflectance: 0.003, thickness_mm: 0.01, index: 0.02 };
}

/// Why discs are refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DiscError {
    /// No disc.
    #[error("no disc; expected at least one")]
    None,
    /// Thickness impossible.
    #[error("row {row}: thickness {thickness} mm; expected above 0 and at most 20")]
    Thickness {
        /// Row from 1.
        row: usize,
        /// Thickness found, mm.
        thickness: f64,
    },
    /// A reading is outside 0..1.
    #[error("row {row}: reflectance {value} at {nm} nm; expected 0 to 1")]
    Reflectance {
        /// Row from 1.
        row: usize,
        /// Value found.
        value: f64,
        /// Wavelength, nm.
        nm: f64,
    },
    /// A colour no body has.
    #[error("row {row}: {source}")]
    Colour {
        /// Row from 1.
        row: usize,
        /// Why.
        source: NoSuchBody,
    },
    /// Dark and light readings contradict each other in most of the visible.
    #[error(
        "row {row}: dark and light readings contradict each other in {bands} of 41 bands, first at {nm} nm ({source}); \
         expected the reading over the lighter backing to be higher: check that the columns are not exchanged"
    )]
    Contradiction {
        /// Row from 1.
        row: usize,
        /// Bands affected.
        bands: usize,
        /// First wavelength, nm.
        nm: f64,
        /// What is wrong there.
        source: InverseError,
    },
}

/// S and K with what is known of their error.
#[derive(Debug, Clone, PartialEq)]
pub struct Characterised {
    /// Best estimate.
    pub optics: Optics,
    /// Per draw, with the errors of the readings.
    pub draws: Arc<[Optics]>,
    /// Share of bands in which K had to be put at nought.
    pub without_absorption: f64,
}

/// Characterises a medium of refractive index `index` from its discs; fields `colour/{name}/...`.
pub fn characterise(
    discs: &[Disc],
    bench: &Bench,
    index: f64,
    error: ReadingError,
    name: &str,
    world: &World,
    viewing: &Viewing,
) -> Result<Characterised, DiscError> {
    if discs.is_empty() {
        return Err(DiscError::None);
    }
    let exact: Vec<Inverted> = discs
        .iter()
        .enumerate()
        .map(|(i, disc)| read_back(disc, bench, index, [0.0; 2], viewing).map_err(|e| e.in_row(i + 1)))
        .collect::<Result<_, _>>()?;
    let clamped: usize = exact.iter().map(|d| d.clamped).sum();
    let noise = Noise::of(discs, error, name, world);
    let draws = blocks::each(world.draws(), |k| {
        let index = (index + noise.index[k]).max(1.0);
        let moved: Vec<Inverted> = discs
            .iter()
            .enumerate()
            .map(|(i, disc)| {
                let moved = noise.moved(disc, i, k);
                read_back(&moved, bench, index, noise.shifts(k), viewing).or_else(|_| Ok(exact[i].clone()))
            })
            .collect::<Result<_, DiscError>>()?;
        Ok::<_, DiscError>(mean(&moved, index))
    })?;
    Ok(Characterised {
        optics: mean(&exact, index),
        draws: draws.into(),
        without_absorption: clamped as f64 / (BANDS * discs.len()) as f64,
    })
}

/// S and K of one disc.
#[derive(Debug, Clone)]
struct Inverted {
    scattering: Spectrum,
    absorption: Spectrum,
    clamped: usize,
}

/// A refusal that does not know its row yet.
enum Refused {
    Thickness(f64),
    Reflectance(f64, f64),
    Colour(NoSuchBody),
    Contradiction(usize, f64, InverseError),
}

impl Refused {
    fn in_row(self, row: usize) -> DiscError {
        match self {
            Self::Thickness(thickness) => DiscError::Thickness { row, thickness },
            Self::Reflectance(value, nm) => DiscError::Reflectance { row, value, nm },
            Self::Colour(source) => DiscError::Colour { row, source },
            Self::Contradiction(bands, nm, source) => DiscError::Contradiction { row, bands, nm, source },
        }
    }
}

fn spectral(reading: &Reading, shifts: [f64; 2], viewing: &Viewing) -> Result<Spectrum, Refused> {
    let spectrum = match reading {
        Reading::Spectrum(s) => *s,
        Reading::Lab(lab) => smooth_reflectance(*lab, shifts, viewing).map_err(Refused::Colour)?,
    };
    match spectrum.0.iter().position(|r| !(0.0..=1.0).contains(r)) {
        Some(i) => Err(Refused::Reflectance(spectrum.0[i], wavelength(i))),
        None => Ok(spectrum),
    }
}

fn read_back(disc: &Disc, bench: &Bench, index: f64, shifts: [f64; 2], viewing: &Viewing) -> Result<Inverted, Refused> {
    let x = disc.thickness_mm;
    if !(x > 0.0 && x <= 20.0) {
        return Err(Refused::Thickness(x));
    }
    let surface = bench.instrument.corrections(index);
    let inside = |reading| spectral(reading, shifts, viewing).map(|s| s.map(|r| surface.inside(r)));
    let met = |backing| {
        let mut light = Upward::from(backing, bench.coupling);
        light.enter(index);
        light.reflectance
    };
    let (dark, light) = (inside(&disc.over_dark)?, inside(&disc.over_light)?);
    let (under_dark, under_light) = (met(bench.dark), met(bench.light));
    let mut found = Inverted { scattering: Spectrum::flat(0.0), absorption: Spectrum::flat(0.0), clamped: 0 };
    let (mut wrong, mut first) = (0, None);
    for i in 0..BANDS {
        match inverse(dark.0[i], under_dark.0[i], light.0[i], under_light.0[i], x) {
            Ok((s, k)) => (found.scattering.0[i], found.absorption.0[i]) = (s, k),
            Err(problem @ InverseError::Order { .. }) => {
                wrong += 1;
                first.get_or_insert((wavelength(i), problem));
                found.scattering.0[i] = without_absorption(dark.0[i], under_dark.0[i], x);
            }
            Err(_) => {
                found.clamped += 1;
                found.scattering.0[i] = without_absorption(dark.0[i], under_dark.0[i], x);
            }
        }
    }
    match first {
        // Noise at the blue end may turn single bands round; half of the visible is no noise.
        Some((nm, problem)) if 2 * wrong > BANDS => Err(Refused::Contradiction(wrong, nm, problem)),
        _ => {
            found.clamped += wrong;
            Ok(found)
        }
    }
}

/// S of a layer that absorbs nothing and reflects `r` over a backing `g`: S X = (r - g)/((1 - r)(1 - g)).
fn without_absorption(r: f64, g: f64, x: f64) -> f64 {
    let r = r.clamp(0.0, 0.999);
    ((r - g) / ((1.0 - r) * (1.0 - g).max(1e-6)) / x).max(0.0)
}

fn mean(discs: &[Inverted], index: f64) -> Optics {
    let n = discs.len() as f64;
    let average = |pick: fn(&Inverted) -> &Spectrum| {
        Spectrum(std::array::from_fn(|i| discs.iter().map(|d| pick(d).0[i]).sum::<f64>() / n))
    };
    Optics { scattering: average(|d| &d.scattering), absorption: average(|d| &d.absorption), index }
}

/// Errors per draw, in the order of the discs.
struct Noise {
    dark: Vec<Vec<f64>>,
    light: Vec<Vec<f64>>,
    thickness: Vec<Vec<f64>>,
    index: Vec<f64>,
    shift: [Vec<f64>; 2],
}

impl Noise {
    fn of(discs: &[Disc], error: ReadingError, name: &str, world: &World) -> Self {
        let field = |what: &str, sd: f64| world.normal(&format!("colour/{name}/{what}"), 0.0, sd).as_slice().to_vec();
        let each = |what: &str, sd: f64| (0..discs.len()).map(|i| field(&format!("disc_{i}/{what}"), sd)).collect();
        Self {
            dark: each("dark", error.reflectance),
            light: each("light", error.reflectance),
            thickness: each("thickness", error.thickness_mm),
            index: field("index", error.index),
            shift: [field("shift_1", 0.1), field("shift_2", 0.1)],
        }
    }

    fn shifts(&self, k: usize) -> [f64; 2] {
        [self.shift[0][k], self.shift[1][k]]
    }

    fn moved(&self, disc: &Disc, i: usize, k: usize) -> Disc {
        let by = |reading: &Reading, d: f64| match reading {
            Reading::Spectrum(s) => Reading::Spectrum(s.map(|r| (r + d).clamp(0.0, 1.0))),
            // dL*/dY = 116/3 Y^(-2/3) with Y in 0..1.
            Reading::Lab(lab) => {
                let y = ((lab.l + 16.0) / 116.0).max(0.2);
                Reading::Lab(Lab { l: (lab.l + 116.0 / (3.0 * y * y) * d).clamp(0.5, 99.5), ..*lab })
            }
        };
        Disc {
            thickness_mm: (disc.thickness_mm + self.thickness[i][k]).max(0.5 * disc.thickness_mm),
            over_dark: by(&disc.over_dark, self.dark[i][k]),
            over_light: by(&disc.over_light, self.light[i][k]),
        }
    }
}
