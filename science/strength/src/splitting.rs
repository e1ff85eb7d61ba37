//! The load that drives a crack on, from what the crack does to the stiffness of the body.
//!
//! A crack of area A under a load P releases G = P^2/2 dC/dA, C the displacement of the load per newton (Irwin, Kies 1954, Weld J Res Suppl 33:193s-198s, memory); it runs where the intensity
//! K = sqrt(G E/(1 - nu^2)) reaches the toughness (plane strain; Irwin 1957, J Appl Mech 24:361-364, memory). Between two states the mean of G over the area between them is taken, as the energy has it.
//! A crack that must pass several states needs the load of the hardest of them; beyond it runs by itself.
//!
//! Limits: small strains, one crack in one plane, no growth below the toughness (water: multiply the toughness), no energy spent elsewhere.

use crate::error::{StrengthError, poisson, positive, within};

/// Metres in a millimetre, by the root: MPa mm^0.5 to MPa m^0.5.
const ROOT_OF_MILLIMETRE: f64 = 0.031_622_776_601_683_79;

/// A crack as far as it has run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrackState {
    /// Area of the crack (one face), mm2.
    pub area: f64,
    /// Displacement of the load along itself per newton, mm/N.
    pub compliance: f64,
}

/// Stress intensity per newton between each state and the next, MPa m^0.5/N; nothing where the body does not yield more with the crack.
///
/// # Errors
/// Fewer than two states, areas that do not grow, a compliance that is no number; a modulus or Poisson ratio that none can have.
pub fn intensities(states: &[CrackState], modulus: f64, nu: f64) -> Result<Vec<f64>, StrengthError> {
    let plane = positive("modulus of the cracked body", modulus)? / (1.0 - poisson(nu)?.powi(2));
    if states.len() < 2 {
        return Err(StrengthError::Length { what: "states of a crack", found: states.len(), expected: 2 });
    }
    let one = |pair: &[CrackState]| {
        let (area, more) = (pair[1].area - pair[0].area, pair[1].compliance - pair[0].compliance);
        within("growth of a crack's area", area, area > 0.0, "a finite number above 0")?;
        within("growth of compliance", more, true, "a finite number")?;
        Ok((0.5 * plane * (more / area).max(0.0)).sqrt() * ROOT_OF_MILLIMETRE)
    };
    states.windows(2).map(one).collect()
}

/// Load that drives a crack of `toughness` (MPa m^0.5) through all states, N: that of the least intensity. Infinite where one of them has none.
///
/// # Errors
/// A toughness that is not above 0; no state.
pub fn driving_load(toughness: f64, intensities: &[f64]) -> Result<f64, StrengthError> {
    let toughness = positive("toughness", toughness)?;
    let least = intensities.iter().copied().reduce(f64::min);
    let least = least.ok_or(StrengthError::Length { what: "intensities", found: 0, expected: 1 })?;
    Ok(toughness / within("intensity per newton", least, least >= 0.0, "a finite number of at least 0")?)
}
