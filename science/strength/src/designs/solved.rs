//! What a solved design tells.

use super::MODULI;
use crate::solve::{Group, GroupStress, Model, ModelError, Prepared, Solution, Zoom};
use answer::Progress;

/// ln s_W of one surface group.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupAnswer {
    /// Its name.
    pub name: &'static str,
    /// ln of s_W per newton at each of [`MODULI`], MPa/N, over the whole body.
    pub ln_s: [f64; 8],
    /// Greatest principal stress per newton, MPa/N.
    pub peak: f64,
    /// Area seen, mm2, over the whole body.
    pub area: f64,
}

/// A solved design.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// Variables as built, in the order of the family.
    pub built: Vec<f64>,
    /// Groups.
    pub groups: Vec<GroupAnswer>,
    /// Unknowns of the largest system.
    pub unknowns: usize,
    /// Iterations of the longest solve.
    pub iterations: usize,
}

/// Relative residual of the solves: 1e-4 left up to 1.5 % in s_W where a stiff frame turns in soft springs.
pub(super) const TOLERANCE: f64 = 1e-6;

/// The whole, then a zoom where one is asked for; groups are read in the last and stand `copies` times on the whole body.
pub(super) fn answer(
    model: Model,
    zoom: Option<&Zoom>,
    groups: &[(&'static str, Group)],
    copies: f64,
    built: Vec<f64>,
    progress: &dyn Progress,
) -> Result<Answer, ModelError> {
    let prepared = Prepared::new(model, progress)?;
    let whole = prepared.solve(TOLERANCE, progress)?;
    let closer = match zoom {
        Some(zoom) => Solution::zoom(&whole, zoom, TOLERANCE, progress)?,
        None => Vec::new(),
    };
    let Some(coarse) = whole.first() else { return Err(ModelError::Empty) };
    let fine = closer.first().unwrap_or(coarse);
    let mut found = Vec::with_capacity(groups.len());
    for (name, group) in groups {
        found.push(told(name, &fine.group(group)?, copies)?);
    }
    Ok(Answer {
        built,
        groups: found,
        unknowns: prepared.unknowns(),
        iterations: coarse.convergence.iterations.max(fine.convergence.iterations),
    })
}

/// What a group tells that stands `copies` times on the whole body.
pub(super) fn told(name: &'static str, group: &GroupStress, copies: f64) -> Result<GroupAnswer, ModelError> {
    let spectrum = group.spectrum.as_ref().ok_or_else(|| ModelError::Off(name.to_owned()))?;
    let ln_s = MODULI.map(|m| (spectrum.ln_integral(m).0 + copies.ln()) / m);
    Ok(GroupAnswer { name, ln_s, peak: group.peak.1, area: copies * group.area })
}
