//! What thickness of one layer hides the backing: solved in every draw, so that the answer is a distribution.
//!
//! In draw k the least thickness t with dE(t) <= limit(k), where dE compares the stack with the same stack over a reference backing, or
//! with a wished colour. Against a reference dE falls with t (endless layers look the same over anything), so a bisection finds
//! it; against a wish it need not, so the search goes down from the greatest thickness in steps and stops at the first that
//! fails: every thickness from the answer to the greatest passes.

use crate::ensemble::{Ensemble, shifted};
use crate::limits::Metric;
use crate::stack::{Backing, StackError, Upward};
use crate::viewing::Viewing;
use crate::{Lab, blocks};
use answer::{Draws, World};

/// What the stack is compared with.
#[derive(Debug, Clone, Copy)]
pub enum Reference<'a> {
    /// The same stack over these backings.
    Over(&'a [Backing]),
    /// These colours.
    Wish(&'a [Lab]),
}

/// What counts as hidden.
#[derive(Debug, Clone, Copy)]
pub struct Goal<'a> {
    /// What the stack is compared with.
    pub reference: Reference<'a>,
    /// Formula of the difference.
    pub metric: Metric,
    /// Greatest difference allowed, per draw.
    pub limit: &'a Draws,
}

/// Least thickness per draw.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastThickness {
    per_draw: Vec<Option<f64>>,
}

impl LeastThickness {
    /// mm per draw; `None` where nothing within the range hides.
    pub fn per_draw(&self) -> &[Option<f64>] {
        &self.per_draw
    }

    /// Chance that this thickness hides.
    pub fn chance_at(&self, mm: f64) -> f64 {
        self.per_draw.iter().filter(|t| t.is_some_and(|t| t <= mm)).count() as f64 / self.per_draw.len() as f64
    }

    /// Thickness (mm) that hides with at least this chance; `None`: nothing within the range does.
    pub fn for_chance(&self, chance: f64) -> Option<f64> {
        let mut reached: Vec<f64> = self.per_draw.iter().flatten().copied().collect();
        reached.sort_by(f64::total_cmp);
        let needed = ((chance * self.per_draw.len() as f64).ceil() as usize).max(1);
        reached.get(needed - 1).copied()
    }
}

/// Least thickness of layer `layer` (from 0 at the top) within `range_mm`, to 0.01 mm.
pub fn least_thickness(
    ensemble: &Ensemble,
    layer: usize,
    range_mm: (f64, f64),
    goal: Goal<'_>,
    world: &World,
    viewing: &Viewing,
) -> Result<LeastThickness, StackError> {
    ensemble.check()?;
    if layer >= ensemble.layers.len() {
        return Err(StackError::NoLayer { layer: layer + 1, layers: ensemble.layers.len() });
    }
    let (low, high) = range_mm;
    if !(low.is_finite() && high.is_finite()) || low < 0.0 || high < low {
        return Err(StackError::Thickness { layer: layer + 1, thickness: low.min(high) });
    }
    match goal.reference {
        Reference::Over([]) => return Err(StackError::Empty { what: "the reference backing" }),
        Reference::Wish([]) => return Err(StackError::Empty { what: "the wished colour" }),
        _ => {}
    }
    let error = ensemble.model_error.draws(world);
    let per_draw = blocks::each(world.draws(), |k| {
        let view = View { ensemble, layer, k, viewing, error: error[k] };
        let limit = goal.limit.get(k);
        let over = view.under(&ensemble.backing);
        Ok(match goal.reference {
            Reference::Over(backings) => {
                let reference = view.under(backings);
                bisect(low, high, |t| goal.metric.of(view.colour(over, t), view.colour(reference, t)) <= limit)
            }
            Reference::Wish(wish) => {
                downwards(low, high, |t| goal.metric.of(view.colour(over, t), wish[k % wish.len()]) <= limit)
            }
        })
    })?;
    Ok(LeastThickness { per_draw })
}

/// One draw of the stack with the thickness of one layer free.
struct View<'a> {
    ensemble: &'a Ensemble,
    layer: usize,
    k: usize,
    viewing: &'a Viewing,
    error: Lab,
}

impl View<'_> {
    /// Light met just under the free layer: the same for all its thicknesses.
    fn under(&self, backing: &[Backing]) -> Upward {
        let mut light = Upward::from(backing[self.k % backing.len()], self.ensemble.coupling);
        for below in self.ensemble.layers[self.layer + 1..].iter().rev() {
            light.cross(&below.optics[self.k % below.optics.len()], below.thickness_mm.get(self.k));
        }
        light
    }

    fn colour(&self, mut light: Upward, thickness_mm: f64) -> Lab {
        let layers = &self.ensemble.layers;
        light.cross(&layers[self.layer].optics[self.k % layers[self.layer].optics.len()], thickness_mm);
        for above in layers[..self.layer].iter().rev() {
            light.cross(&above.optics[self.k % above.optics.len()], above.thickness_mm.get(self.k));
        }
        shifted(self.viewing.lab(&light.measured(self.ensemble.instrument)), self.error)
    }
}

const STEP: f64 = 0.01;

/// Least passing thickness when passing is monotone.
fn bisect(low: f64, high: f64, passes: impl Fn(f64) -> bool) -> Option<f64> {
    if !passes(high) {
        return None;
    }
    if passes(low) {
        return Some(low);
    }
    let (mut fails, mut hides) = (low, high);
    while hides - fails > STEP {
        let mid = 0.5 * (fails + hides);
        if passes(mid) { hides = mid } else { fails = mid }
    }
    Some(hides)
}

/// Least thickness from which everything up to `high` passes, looked at in steps of 0.1 mm.
fn downwards(low: f64, high: f64, passes: impl Fn(f64) -> bool) -> Option<f64> {
    if !passes(high) {
        return None;
    }
    let mut hides = high;
    while hides > low {
        let next = (hides - 0.1).max(low);
        if !passes(next) {
            return bisect(next, hides, passes);
        }
        hides = next;
    }
    Some(low)
}
