//! A medium characterised once and written down: S and K by band with their error, turned into draws again later.
//!
//! Each is log-normal about its best estimate; the errors of all bands move together (one field a quantity), as those of a reading
//! and of a thickness do. Errors of S and K are taken as independent, which widens the answer a little. Fields
//! `colour/{name}/scattering` and `colour/{name}/absorption`.

use crate::characterise::Characterised;
use crate::kubelka_munk::{Optics, OpticsError};
use crate::spectrum::{BANDS, Spectrum};
use answer::World;
use std::sync::Arc;

/// S and K with the standard deviation of their logarithms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Best estimate.
    pub optics: Optics,
    /// Standard deviation of ln S by band.
    pub sd_log_scattering: Spectrum,
    /// Standard deviation of ln K by band.
    pub sd_log_absorption: Spectrum,
}

/// Least S or K (per mm) whose logarithm is taken: below it no layer in use shows a difference.
const FLOOR: f64 = 1e-4;

impl Measured {
    /// From a characterisation, whose draws give the errors.
    pub fn of(found: &Characterised) -> Self {
        let spread = |pick: fn(&Optics) -> &Spectrum| {
            Spectrum(std::array::from_fn(|i| {
                let logs: Vec<f64> = found.draws.iter().map(|o| pick(o).0[i].max(FLOOR).ln()).collect();
                let n = logs.len().max(2) as f64;
                let mean = logs.iter().sum::<f64>() / n;
                (logs.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt().min(3.0)
            }))
        };
        Self {
            optics: found.optics,
            sd_log_scattering: spread(|o| &o.scattering),
            sd_log_absorption: spread(|o| &o.absorption),
        }
    }

    /// One medium per draw.
    ///
    /// # Errors
    /// [`OpticsError`] when a coefficient or the index cannot be.
    pub fn draws(&self, world: &World, name: &str) -> Result<Arc<[Optics]>, OpticsError> {
        let best = Optics::new(self.optics.scattering, self.optics.absorption, self.optics.index)?;
        let field = |quantity: &str| world.normal(&format!("colour/{name}/{quantity}"), 0.0, 1.0);
        let (s, k) = (field("scattering"), field("absorption"));
        let moved = |at: &Spectrum, sd: &Spectrum, z: f64| {
            Spectrum(std::array::from_fn::<f64, BANDS, _>(|i| at.0[i] * (sd.0[i] * z).exp()))
        };
        Ok((0..world.draws())
            .map(|draw| Optics {
                scattering: moved(&best.scattering, &self.sd_log_scattering, s.get(draw)),
                absorption: moved(&best.absorption, &self.sd_log_absorption, k.get(draw)),
                index: best.index,
            })
            .collect())
    }
}
