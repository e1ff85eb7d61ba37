//! Reflectance of layers over a backing, boundaries included.
//!
//! From the backing upwards: reflection at each boundary between unequal indices ([`Interface`]), the layer itself ([`lay`]), at
//! last the surface as the instrument sees it ([`Instrument`]). What lies between the lowest layer and the backing is the
//! coupling: air (a piece laid on dry), water, a fluid of known index, or contact (a cement is then itself the lowest layer).
//!
//! A layer of thickness nought is not there, its boundaries neither. Limits: see [`crate::kubelka_munk`] and [`crate::interface`].

use crate::interface::{Instrument, Interface};
use crate::kubelka_munk::{Optics, lay};
use crate::metal;
use crate::spectrum::Spectrum;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// What light meets in it.
    pub optics: Optics,
    /// Thickness, mm.
    pub thickness_mm: f64,
}

/// What lies between the lowest layer and the backing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Coupling {
    /// Laid on: air.
    Dry,
    /// Water between.
    Wet,
    /// A thin film of a clear fluid of this refractive index.
    Film(f64),
    /// Optical contact; a cement is the lowest layer.
    Contact,
}

impl Coupling {
    fn index(self) -> Option<f64> {
        match self {
            Self::Dry => Some(1.0),
            Self::Wet => Some(1.333),
            Self::Film(n) => Some(n),
            Self::Contact => None,
        }
    }
}

/// What lies beneath all layers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Backing {
    /// An opaque surface with the reflectance it has against whatever touches it (a tile of unknown index).
    Surface(Spectrum),
    /// A bare metal read in air; under a film or layer it reflects less (see [`crate::metal`]).
    Metal {
        /// Reflectance in air.
        in_air: Spectrum,
        /// Which of the metals that read so it is: [`crate::metal::ABSORBING`].
        absorbing: f64,
    },
    /// A scattering body with its own boundary.
    Body {
        /// Reflectance inside.
        inside: Spectrum,
        /// Refractive index.
        index: f64,
    },
}

impl Backing {
    /// A scattering body of index `index` that reads `measured` in air.
    pub fn read_in_air(measured: &Spectrum, index: f64, instrument: Instrument) -> Self {
        let surface = instrument.corrections(index);
        Self::Body { inside: measured.map(|r| surface.inside(r).clamp(0.0, MOST)), index }
    }
}

/// Greatest reflectance inside a body that readings are clamped to: no real body scatters everything back.
pub const MOST: f64 = 0.995;

/// Why a stack is refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StackError {
    /// A thickness is negative or no number.
    #[error("layer {layer} (from the top) is {thickness} mm thick; expected a number not below 0")]
    Thickness {
        /// Layer from 1 at the top.
        layer: usize,
        /// Thickness found, mm.
        thickness: f64,
    },
    /// A backing reflects less than nothing or more than all.
    #[error("the backing reflects {value} at {nm} nm; expected 0 to 1")]
    Backing {
        /// Reflectance found.
        value: f64,
        /// Wavelength, nm.
        nm: f64,
    },
    /// No such layer.
    #[error("layer {layer} asked for; the stack has {layers}")]
    NoLayer {
        /// Layer asked for, from 1 at the top.
        layer: usize,
        /// Layers there are.
        layers: usize,
    },
    /// A list of draws without a draw.
    #[error("{what}: no draw; expected at least one")]
    Empty {
        /// Which list.
        what: &'static str,
    },
    /// An index no clear medium has.
    #[error("{what} has refractive index {index}; expected 1 to 4")]
    Index {
        /// Which medium.
        what: &'static str,
        /// Index found.
        index: f64,
    },
}

/// Layers over a backing.
#[derive(Debug, Clone, PartialEq)]
pub struct Stack {
    /// Layers, top first.
    pub layers: Vec<Layer>,
    /// What lies between the lowest layer and the backing.
    pub coupling: Coupling,
    /// What lies beneath.
    pub backing: Backing,
}

impl Stack {
    /// Reads what an instrument would measure.
    pub fn reflectance(&self, instrument: Instrument) -> Result<Spectrum, StackError> {
        self.check()?;
        let mut light = Upward::from(self.backing, self.coupling);
        for layer in self.layers.iter().rev() {
            light.cross(&layer.optics, layer.thickness_mm);
        }
        Ok(light.measured(instrument))
    }

    fn check(&self) -> Result<(), StackError> {
        for (i, layer) in self.layers.iter().enumerate() {
            if !layer.thickness_mm.is_finite() || layer.thickness_mm < 0.0 {
                return Err(StackError::Thickness { layer: i + 1, thickness: layer.thickness_mm });
            }
            check_index("a layer", layer.optics.index)?;
        }
        check_backing(&self.backing)?;
        check_index("the film under the layers", self.coupling.index().unwrap_or(1.0))
    }
}

pub(crate) fn check_backing(backing: &Backing) -> Result<(), StackError> {
    let (spectrum, index) = match backing {
        Backing::Surface(r) | Backing::Metal { in_air: r, .. } => (r, 1.0),
        Backing::Body { inside, index } => (inside, *index),
    };
    if let Some(i) = spectrum.0.iter().position(|r| !(0.0..=1.0).contains(r)) {
        return Err(StackError::Backing { value: spectrum.0[i], nm: crate::spectrum::wavelength(i) });
    }
    check_index("the backing", index)
}

pub(crate) fn check_index(what: &'static str, index: f64) -> Result<(), StackError> {
    if (1.0..=4.0).contains(&index) { Ok(()) } else { Err(StackError::Index { what, index }) }
}

/// Reflectance met from above while the stack is built from below.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Upward {
    pub(crate) reflectance: Spectrum,
    /// Index of the medium it is met from; none while any medium meets the same.
    medium: Option<f64>,
    /// A metal that nothing has touched yet, as [`Backing::Metal`] tells it.
    bare_metal: Option<f64>,
}

impl Upward {
    pub(crate) fn from(backing: Backing, coupling: Coupling) -> Self {
        let mut light = match backing {
            Backing::Surface(reflectance) => Self { reflectance, medium: None, bare_metal: None },
            Backing::Metal { in_air, absorbing } => {
                Self { reflectance: in_air, medium: None, bare_metal: Some(absorbing) }
            }
            Backing::Body { inside, index } => Self { reflectance: inside, medium: Some(index), bare_metal: None },
        };
        if let Some(film) = coupling.index() {
            light.enter(film);
        }
        light
    }

    /// Goes over into a medium of another index.
    pub(crate) fn enter(&mut self, index: f64) {
        if let Some(absorbing) = self.bare_metal.take() {
            self.reflectance.0.iter_mut().for_each(|r| *r = metal::under(*r, absorbing, index));
        }
        if let Some(below) = self.medium.filter(|n| *n != index) {
            let boundary = Interface::between(index, below);
            self.reflectance.0.iter_mut().for_each(|r| *r = boundary.through(*r));
        }
        self.medium = Some(index);
    }

    /// Adds a layer on top.
    pub(crate) fn cross(&mut self, optics: &Optics, thickness_mm: f64) {
        if thickness_mm == 0.0 {
            return;
        }
        self.enter(optics.index);
        lay(&mut self.reflectance.0, &optics.scattering.0, &optics.absorption.0, thickness_mm);
    }

    /// What is read in air.
    pub(crate) fn measured(&self, instrument: Instrument) -> Spectrum {
        match self.medium {
            Some(n) if n > 1.0 => instrument.corrections(n).measured_spectrum(&self.reflectance),
            _ => self.reflectance,
        }
    }
}
