//! What will it cost: the practice's own fees, blank until they are given.

use crate::candidates::Candidate;
use answer::{Draws, World};
use case::Case;
use catalogue::words::Construct;

/// Cost of an option in the practice's currency, without remakes.
#[derive(Debug, Clone, PartialEq)]
pub struct Cost {
    /// Amount.
    pub amount: Draws,
    /// How it is made up, in words.
    pub words: String,
    /// As a multiple of the practice's cheapest single crown.
    pub of_a_crown: Option<f64>,
}

/// `None` while the practice gave no fee for it.
pub fn cost(world: &World, case: &Case, candidate: &Candidate) -> Option<Cost> {
    let laboratory = &case.laboratory;
    let fee = laboratory.entry(candidate.material, candidate.build, candidate.construct)?.fee?;
    let units = match candidate.construct {
        Construct::Bridge | Construct::CantileverBridge => case.units().len(),
        Construct::TwoWings | Construct::OneWing => case.missing().len() + candidate.abutments.len(),
        _ => 1,
    };
    let total = fee * units as f64;
    let crown = laboratory
        .makes
        .iter()
        .filter(|m| m.construct.is_none_or(|c| c == Construct::Crown))
        .filter_map(|m| m.fee)
        .fold(f64::INFINITY, f64::min);
    let currency = laboratory.currency.clone().unwrap_or_default();
    let words = format!(
        "laboratory fee {total:.0} {currency} ({units} {} at {fee:.0}); chair time is not in it",
        if units == 1 { "unit" } else { "units" }
    );
    Some(Cost {
        amount: Draws::constant(world.draws(), total),
        words,
        of_a_crown: (crown.is_finite() && crown > 0.0).then(|| total / crown),
    })
}
