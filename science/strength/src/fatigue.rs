//! Slow crack growth by v ~ K^n: lives, and a mixed history as one equivalent load.
//!
//! From a constant-rate strength (stress s_r reached after t_r): t_f = t_r/(n+1) (s_r/s)^n at constant stress s (Davidge, McLaren, Tappin 1973,
//! J Mater Sci 8:1699-1705, doi 10.1007/BF02403519, memory). A pulse of peak s and length T works as g T seconds at s: half sine
//! g = Gamma((n+1)/2)/(sqrt(pi) Gamma(n/2+1)); haversine Gamma(n+1/2)/(sqrt(pi) Gamma(n+1)); triangle 1/(n+1) (Evans, Fuller 1974,
//! Metall Trans 5:27-33, memory). Mixed peaks: s_eq = (sum N_i s_i^n / sum N_i)^(1/n).
//!
//! Limits: growth by water and stress only. A true cyclic effect lowers n: take n from cyclic tests where there are any.

use crate::error::{StrengthError, positive, within};
use numerics::gamma::ln_gamma;
use std::f64::consts::PI;

/// Seconds in a year of 365.25 days.
pub const YEAR: f64 = 31_557_600.0;

/// Life at constant stress `s` of a piece that broke at `s_r` after `t_r` of steadily rising stress; unit of `t_r`.
pub fn life(s_r: f64, t_r: f64, n: f64, s: f64) -> f64 {
    t_r / (n + 1.0) * (s_r / s).powf(n)
}

/// Constant-rate strength (rate in stress/s) that just lives `seconds` at constant stress `s`.
pub fn strength_needed(s: f64, seconds: f64, rate: f64, n: f64) -> f64 {
    (((n + 1.0) * rate * seconds).ln() / (n + 1.0)).exp() * s.powf(n / (n + 1.0))
}

/// Shape of one load pulse in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pulse {
    /// Half a sine wave.
    HalfSine,
    /// From nothing to the peak and back as (1 - cos)/2.
    Haversine,
    /// Straight up and down.
    Triangle,
}

impl Pulse {
    /// Seconds at the peak that one second of pulse counts for.
    pub fn factor(self, n: f64) -> f64 {
        match self {
            Self::HalfSine => (ln_gamma(0.5 * (n + 1.0)) - ln_gamma(0.5 * n + 1.0)).exp() / PI.sqrt(),
            Self::Haversine => (ln_gamma(n + 0.5) - ln_gamma(n + 1.0)).exp() / PI.sqrt(),
            Self::Triangle => 1.0 / (n + 1.0),
        }
    }
}

/// What one day loads: peak forces with how often each comes.
#[derive(Debug, Clone, PartialEq)]
pub struct LoadDay {
    peaks: Vec<(f64, f64)>,
    contact: f64,
    pulse: Pulse,
}

impl LoadDay {
    /// Peaks as (N, times a day), each lasting `contact` seconds. Errors on an empty list or a number that is not above 0.
    pub fn new(peaks: Vec<(f64, f64)>, contact: f64, pulse: Pulse) -> Result<Self, StrengthError> {
        if peaks.is_empty() {
            return Err(StrengthError::Length { what: "peak forces", found: 0, expected: 1 });
        }
        for &(force, count) in &peaks {
            positive("peak force", force)?;
            within("peaks a day", count, count > 0.0, "above 0")?;
        }
        Ok(Self { peaks, contact: positive("contact time", contact)?, pulse })
    }

    /// Number of peaks a day.
    pub fn count(&self) -> f64 {
        self.peaks.iter().map(|p| p.1).sum()
    }

    /// The one peak force that, as often, would do the same harm, N.
    pub fn equivalent(&self, n: f64) -> f64 {
        let top = self.peaks.iter().fold(0.0, |t, p| f64::max(t, p.0));
        let sum: f64 = self.peaks.iter().map(|&(f, c)| c * (f / top).powf(n)).sum();
        top * (sum / self.count()).powf(1.0 / n)
    }

    /// Seconds at the equivalent peak that `years` of such days count for.
    pub fn seconds(&self, years: f64, n: f64) -> f64 {
        365.25 * years * self.count() * self.contact * self.pulse.factor(n)
    }
}

/// Crack growth from the inert strength: B in MPa^2 s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FromInert {
    /// Exponent n.
    pub n: f64,
    /// B = 2 K^2/(A (n-2) Y^2), A the crack speed at K = K_Ic: MPa^2 s.
    pub b: f64,
}

impl FromInert {
    /// From crack speed `a` (m/s) at the toughness `k` (MPa m^0.5) and shape factor `y`.
    pub fn from_speed(n: f64, a: f64, k: f64, y: f64) -> Self {
        Self { n, b: 2.0 * k * k / (a * (n - 2.0) * y * y) }
    }

    /// Life at constant stress, s: t = B si^(n-2) s^-n (Ritter 1978, memory).
    pub fn life(&self, inert: f64, s: f64) -> f64 {
        self.b * ((self.n - 2.0) * inert.ln() - self.n * s.ln()).exp()
    }

    /// Strength at a constant rate (MPa/s): s^(n+1) = B (n+1) rate si^(n-2).
    pub fn rate_strength(&self, inert: f64, rate: f64) -> f64 {
        ((self.b * (self.n + 1.0) * rate).ln() / (self.n + 1.0) + (self.n - 2.0) / (self.n + 1.0) * inert.ln()).exp()
    }

    /// Least life after surviving a proof stress: t = B sp^(n-2) s^-n.
    pub fn life_after_proof(&self, proof: f64, s: f64) -> f64 {
        self.life(proof, s)
    }
}
