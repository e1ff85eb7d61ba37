//! A stack of which nothing is known exactly: one stack per draw, one colour per draw.
//!
//! Layer optics, thicknesses and backings come as draws and are taken within the same draw k. The error of the two-flux model itself
//! is added as one shift of CIELAB per draw, shared by everything computed in that world, so that it cancels between like
//! stacks: SD 0.8, 0.3, 0.8 in L*, a*, b*, which by itself gives a median CIEDE2000 near 0.8, between the best optical models
//! (mean 0.72: Tejada-Casado 2024, Dent Mater, doi 10.1016/j.dental.2024.07.013) and simpler two-flux use (1 to 2).

use crate::interface::Instrument;
use crate::kubelka_munk::Optics;
use crate::spectrum::Spectrum;
use crate::stack::{Backing, Coupling, StackError, Upward, check_backing, check_index};
use crate::viewing::Viewing;
use crate::{Lab, blocks};
use answer::{Draws, World};
use std::sync::Arc;

/// A layer as draws; shorter lists are read round again.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerDraws {
    /// Optics per draw (one for a medium known exactly).
    pub optics: Arc<[Optics]>,
    /// Thickness per draw, mm.
    pub thickness_mm: Draws,
}

/// Standard deviations of the model's own error in L*, a*, b*.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ModelError {
    /// Of each coordinate.
    pub sd: Lab,
}

impl ModelError {
    /// The default; see the head of this module.
    pub const USUAL: Self = Self { sd: Lab { l: 0.8, a: 0.3, b: 0.8 } };
    /// None, for checks against other programs.
    pub const NONE: Self = Self { sd: Lab { l: 0.0, a: 0.0, b: 0.0 } };

    /// Shift per draw.
    pub fn draws(&self, world: &World) -> Vec<Lab> {
        let [l, a, b] = [("l", self.sd.l), ("a", self.sd.a), ("b", self.sd.b)]
            .map(|(axis, sd)| world.normal(&format!("colour/model/{axis}"), 0.0, sd));
        (0..world.draws()).map(|k| Lab::new(l.get(k), a.get(k), b.get(k))).collect()
    }
}

/// Layers over a backing, all as draws.
#[derive(Debug, Clone, PartialEq)]
pub struct Ensemble {
    /// Layers, top first.
    pub layers: Vec<LayerDraws>,
    /// What lies between the lowest layer and the backing.
    pub coupling: Coupling,
    /// Backing per draw.
    pub backing: Arc<[Backing]>,
    /// How it is looked at.
    pub instrument: Instrument,
    /// The model's own error.
    pub model_error: ModelError,
}

impl Ensemble {
    /// Colour per draw.
    pub fn predict(&self, world: &World, viewing: &Viewing) -> Result<Vec<Lab>, StackError> {
        self.check()?;
        let error = self.model_error.draws(world);
        blocks::each(world.draws(), |k| {
            let lab = viewing.lab(&self.reflectance(k, &self.backing));
            Ok(shifted(lab, error[k]))
        })
    }

    /// Reflectance read in draw `k` over another set of backings.
    fn reflectance(&self, k: usize, backing: &[Backing]) -> Spectrum {
        let mut light = Upward::from(backing[k % backing.len()], self.coupling);
        for layer in self.layers.iter().rev() {
            light.cross(&layer.optics[k % layer.optics.len()], layer.thickness_mm.get(k));
        }
        light.measured(self.instrument)
    }

    /// Refuses what cannot be laid: no member, negative thickness, impossible index or backing.
    pub fn check(&self) -> Result<(), StackError> {
        for (i, layer) in self.layers.iter().enumerate() {
            if let Some(thickness) = layer.thickness_mm.iter().find(|t| !t.is_finite() || *t < 0.0) {
                return Err(StackError::Thickness { layer: i + 1, thickness });
            }
            if layer.optics.is_empty() {
                return Err(StackError::Empty { what: "a layer's optics" });
            }
            layer.optics.iter().try_for_each(|o| check_index("a layer", o.index))?;
        }
        if self.backing.is_empty() {
            return Err(StackError::Empty { what: "the backing" });
        }
        self.backing.iter().try_for_each(check_backing)
    }
}

/// A colour moved by the model's error, lightness kept possible.
pub(crate) fn shifted(lab: Lab, by: Lab) -> Lab {
    Lab::new((lab.l + by.l).clamp(0.0, 100.0), lab.a + by.a, lab.b + by.b)
}
