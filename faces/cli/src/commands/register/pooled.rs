//! What the pooled evidence expects of the practice's own mix of restorations, for one picture with what happened.

use super::super::evidence;
use crate::failure::Failure;
use ::catalogue::Catalogue;
use ::evidence::{Cell, Setting};
use ::register::counting::ArmCount;
use answer::{Draws, World};
use picture::forms::FanYear;
use std::path::Path;

/// Cells by which the mix is taken, largest first.
const MOST: usize = 12;

/// Share standing over the years by the shipped evidence, in per cent, for a mix of cells weighted by their restorations; empty where
/// nothing is known of them. `years` is the last year.
pub fn expected(
    catalogue: &Catalogue,
    data: Option<&Path>,
    arms: &[ArmCount],
    years: usize,
) -> Result<Vec<FanYear>, Failure> {
    let mut cells: Vec<&ArmCount> = arms.iter().collect();
    cells.sort_by_key(|a| (-a.restorations, a.cell.clone()));
    cells.truncate(MOST);
    let total: i64 = cells.iter().map(|c| c.restorations).sum();
    if total == 0 || years < 1 {
        return Ok(Vec::new());
    }
    let posterior = evidence::posterior(catalogue, data)?;
    let world = World::new(1);
    let known = ::plan::arms(catalogue);
    let mut sums: Vec<Draws> = vec![Draws::constant(world.draws(), 0.0); years + 1];
    for count in cells {
        let [construct, material, build, region, _] = &count.cell;
        // The path of the cell as the evidence writes it: construct, family, material, build, region.
        let family =
            known.iter().map(|a| &a.cell.labels).find(|l| l.len() > 2 && l[2] == *material).map(|l| l[1].clone());
        let Some(family) = family else { continue };
        let cell = Cell::new([construct.clone(), family, material.clone(), build.clone(), region.clone()]);
        let loss = posterior.predict(&world, &Setting::of(cell)).total_loss;
        let weight = count.restorations as f64 / total as f64;
        for (year, sum) in sums.iter_mut().enumerate() {
            let standing = if year == 0 {
                Draws::constant(world.draws(), 1.0)
            } else {
                loss.cumulative(year as f64).map(|p| 1.0 - p)
            };
            *sum = sum.plus(&standing.scaled(weight));
        }
    }
    Ok(sums
        .iter()
        .enumerate()
        .map(|(year, sum)| {
            let [low90, low50, median, high50, high90] =
                sum.quantiles([0.05, 0.25, 0.5, 0.75, 0.95]).map(|q| (100.0 * q).clamp(0.0, 100.0));
            FanYear { year: year as f64, low90, low50, median, high50, high90 }
        })
        .collect())
}
