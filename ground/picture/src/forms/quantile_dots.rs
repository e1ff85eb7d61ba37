//! Quantile dots: 20 dots, each a chance of 1 in 20, stacked where their quantiles lie.
//!
//! Counts of dots are read better than densities: Kay et al. 2016 (Proceedings of CHI, 5092-5103, doi 10.1145/2858036.2858558)
//! and Fernandes et al. 2018 (Proceedings of CHI, paper 144, doi 10.1145/3173574.3173718); both from memory.

use super::rows::{ROW, Threshold, thresholds};
use crate::axis::{Scale, figure};
use crate::quantile::quantile;
use crate::scene::WIDTH;
use crate::{Anchor, Ink, Mark, Scene, Shape, Table, Text, Undrawable, all_finite, matching};

/// Number of dots.
const DOTS: usize = 20;
/// Width of a stack, px: three cells.
const STACK: f64 = 19.5;
/// Most height of a stack, px: twelve rows; higher stacks get smaller dots.
const MOST: f64 = 12.0 * ROW;

/// A quantity that starts at zero, by its quantiles.
#[derive(Debug, Clone, PartialEq)]
pub struct QuantileDots {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// The 20 quantiles at 2.5, 7.5 .. 97.5 % ([`crate::quantiles`] makes them of draws), in any order.
    pub quantiles: Vec<f64>,
    /// End of the scale, which starts at 0; dots beyond it stand at its end and are counted in words.
    pub scale_end: f64,
    /// Limits to be drawn.
    pub thresholds: Vec<Threshold>,
    /// Decimals of figures.
    pub decimals: usize,
}

/// Draws the 20 quantiles as dots on a line from zero to the end of the scale.
///
/// # Errors
/// [`Undrawable`] unless there are 20 quantiles, with a figure that is not finite, or when the scale does not end above zero.
pub fn quantile_dots(data: &QuantileDots) -> Result<Scene, Undrawable> {
    matching("quantiles", data.quantiles.len() == DOTS, "20 quantiles are shown")?;
    all_finite("quantiles", data.quantiles.iter().copied())?;
    all_finite("thresholds", data.thresholds.iter().map(|t| t.at))?;
    matching("scale_end", data.scale_end > 0.0 && data.scale_end.is_finite(), "the scale must end above zero")?;

    let mut dots = data.quantiles.clone();
    dots.sort_by(f64::total_cmp);
    let median = quantile(&dots, 0.5).unwrap_or(0.0);
    let beyond = dots.iter().filter(|d| **d > data.scale_end).count();
    let mut scene = Scene::new(&data.title, &description(data, &dots, median), table(data, &dots));

    let scale = Scale::new(0.0, data.scale_end, 13.0, WIDTH - 19.5);
    let last = ((scale.right - scale.left) / STACK) as usize - 1;
    let stacks: Vec<usize> = dots.iter().map(|d| (((scale.at(*d) - scale.left) / STACK) as usize).min(last)).collect();
    let highest = (0..=last).map(|s| stacks.iter().filter(|x| **x == s).count()).max().unwrap_or(0).max(3);

    let words = format!("median {} \u{b7} one dot is 1 chance in {DOTS}", figure(median, data.decimals));
    scene.write(Text::new([scale.left, 12.0], &words, 300.0).ink(Ink::Quiet));
    if beyond > 0 {
        let words = format!("{beyond} beyond {}", figure(data.scale_end, data.decimals));
        scene.write(Text::new([scale.right, 12.0], &words, 180.0).anchored(Anchor::End).ink(Ink::Quiet));
    }
    let pitch = ROW.min(MOST / highest as f64);
    let stacked = highest as f64 * pitch;
    let names = thresholds(&mut scene, &data.thresholds, scale, ROW, |names| ROW + names + stacked);
    let floor = ROW + names + stacked;
    let mut filled = vec![0usize; last + 1];
    for (stack, dot) in stacks.iter().zip(&dots) {
        let at = [scale.left + (*stack as f64 + 0.5) * STACK, floor - (filled[*stack] as f64 + 0.5) * pitch];
        let shape = if *dot > data.scale_end { Shape::Diamond } else { Shape::Disc };
        scene.add(Mark::Point { at, radius: (pitch / 2.0 - 0.3).min(7.4), shape, ink: Ink::Accent });
        filled[*stack] += 1;
    }
    scale.level_axis(floor + 1.0, 8, &data.quantity).into_iter().for_each(|m| scene.add(m));
    Ok(scene.closed())
}

fn description(data: &QuantileDots, dots: &[f64], median: f64) -> String {
    let f = |v: f64| figure(v, data.decimals);
    let limits: Vec<String> = data
        .thresholds
        .iter()
        .map(|t| {
            format!("{} of {DOTS} lie beyond {} ({})", dots.iter().filter(|d| **d > t.at).count(), f(t.at), t.label)
        })
        .collect();
    let ends =
        format!("from {} to {}", f(dots.first().copied().unwrap_or(0.0)), f(dots.last().copied().unwrap_or(0.0)));
    let tail = if limits.is_empty() { String::new() } else { format!("; {}", limits.join("; ")) };
    format!("{DOTS} dots of equal chance for {}: {ends}, median {}{tail}.", data.quantity, f(median))
}

fn table(data: &QuantileDots, dots: &[f64]) -> Table {
    let mut table = Table::new(["chance that it is at most this".to_owned(), data.quantity.clone()]);
    for (i, dot) in dots.iter().enumerate() {
        table.row([format!("{} %", figure((i as f64 + 0.5) * 100.0 / DOTS as f64, 1)), figure(*dot, data.decimals)]);
    }
    table
}
