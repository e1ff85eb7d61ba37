//! Probability that a brittle part has failed after years of loading.
//!
//! Each spot fails when its constant-rate strength is below s* = ((n+1) r T)^(1/(n+1)) (F s)^(n/(n+1)): T seconds at equivalent force F, s stress
//! per newton, r the rate of the strength test. With Weibull modulus m of that (wet, constant-rate) strength and s0 its value at A0:
//! hazard H = ((n+1) r T)^(m/(n+1)) (1/A0) integral (F s)^a dA / s0^m, a = m n/(n+1), P = 1 - exp(-H).
//! The constants of crack growth other than n never enter. With the modulus of inert strength m_i = m (n-2)/(n+1) the exponent is the usual
//! m_i n/(n-2). Derived here from the relations of [`crate::fatigue`]; Ritter 1978 gives the inert form (memory).
//!
//! Without observed failures to anchor on ([`crate::anchor`]) this probability ranks, it does not predict.

use crate::error::{StrengthError, positive, within};
use crate::fatigue::LoadDay;
use crate::spectrum::EquivalentTable;

/// Wet strength of a brittle material.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Characteristic strength (63.2 %) of A0 = 1 mm2 under even tension at `rate`, MPa.
    pub characteristic: f64,
    /// Weibull modulus of that strength.
    pub m: f64,
    /// Crack growth exponent.
    pub n: f64,
    /// Stress rate of the test, MPa/s.
    pub rate: f64,
    /// Wet over dry strength: 1 when tested wet.
    pub wet: f64,
}

impl Strength {
    /// The strength, or the error that names what is not usable.
    pub fn check(&self) -> Result<&Self, StrengthError> {
        positive("characteristic strength", self.characteristic)?;
        within("Weibull modulus", self.m, self.m >= 2.0 && self.m <= 80.0, "2 to 80")?;
        within("crack growth exponent", self.n, self.n > 2.0, "above 2")?;
        positive("stress rate", self.rate)?;
        within("wet over dry strength", self.wet, self.wet > 0.0 && self.wet <= 1.5, "above 0 to 1.5")?;
        Ok(self)
    }

    /// Exponent of stress in the hazard.
    pub fn exponent(&self) -> f64 {
        self.m * self.n / (self.n + 1.0)
    }

    /// Weibull modulus of the inert strength with the same flaws, as [`crate::anchor`] takes it.
    pub fn inert_modulus(&self) -> f64 {
        self.m * (self.n - 2.0) / (self.n + 1.0)
    }
}

/// Cumulative hazard after `years` of such days; surfaces of one body add.
pub fn hazard(
    spectrum: &EquivalentTable,
    loads: &LoadDay,
    strength: &Strength,
    years: f64,
) -> Result<f64, StrengthError> {
    strength.check()?;
    within("years", years, years >= 0.0, "0 or more")?;
    if years == 0.0 {
        return Ok(0.0);
    }
    let (m, n, a) = (strength.m, strength.n, strength.exponent());
    within("exponent of stress", a, a >= 1.0, "1 or more")?;
    let demand = ((n + 1.0) * strength.rate * loads.seconds(years, n)).ln() * m / (n + 1.0);
    let field = a * loads.equivalent(n).ln() + spectrum.ln_integral(a);
    Ok((demand + field - m * (strength.characteristic * strength.wet).ln()).exp())
}

/// Probability of failure within `years`, 0..1.
pub fn failure_probability(
    spectrum: &EquivalentTable,
    loads: &LoadDay,
    strength: &Strength,
    years: f64,
) -> Result<f64, StrengthError> {
    hazard(spectrum, loads, strength, years).map(|h| -(-h).exp_m1())
}
