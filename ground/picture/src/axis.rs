//! A linear scale from data to px, its ticks and its axis.

use crate::measure;
use crate::scene::{TYPE, WIDTH};
use crate::{Anchor, Ink, Mark, Pen, Text};

/// A linear scale: `from..to` in data lies at `left..right` in px (also upright, then `left` is the lower end).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Start, in data.
    pub from: f64,
    /// End, in data.
    pub to: f64,
    /// Place of the start, px.
    pub left: f64,
    /// Place of the end, px.
    pub right: f64,
}

impl Scale {
    /// A scale; an empty range is widened so that it has a place for its value.
    pub fn new(from: f64, to: f64, left: f64, right: f64) -> Self {
        let to = if to > from { to } else { from + if from == 0.0 { 1.0 } else { from.abs() } };
        Self { from, to, left, right }
    }

    /// Place of a value, px; values beyond the ends stand at the ends.
    pub fn at(&self, value: f64) -> f64 {
        let share = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.left + share * (self.right - self.left)
    }

    /// True for a value on the scale.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.from && value <= self.to
    }

    /// About `wanted` round values (steps of 1, 2, 5 times a power of ten) from start to end.
    pub fn ticks(&self, wanted: usize) -> Vec<f64> {
        let step = nice_step((self.to - self.from) / wanted.max(1) as f64);
        let first = (self.from / step - 1e-9).ceil() as i64;
        let last = (self.to / step + 1e-9).floor() as i64;
        (first..=last).take(64).map(|i| i as f64 * step).collect()
    }

    /// Words of a tick: as many decimals as its step needs.
    pub fn tick_words(&self, wanted: usize, value: f64) -> String {
        let step = nice_step((self.to - self.from) / wanted.max(1) as f64);
        let decimals = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        figure(value, decimals)
    }

    /// A level axis at height `y`: line, ticks, their figures beneath and its name at the right end beneath them.
    pub fn level_axis(&self, y: f64, wanted: usize, name: &str) -> Vec<Mark> {
        let mut marks = vec![Mark::line([self.left, y], [self.right, y], Pen::solid(Ink::Rule, 1.0))];
        for tick in self.ticks(wanted) {
            let x = self.at(tick);
            marks.push(Mark::line([x, y], [x, y + 4.0], Pen::solid(Ink::Rule, 1.0)));
            let words = self.tick_words(wanted, tick);
            // Figures at the ends move inwards rather than over the edge.
            let half = measure::width(&words, TYPE, false).min(80.0) / 2.0;
            let middle = x.min(WIDTH - half).max(half);
            marks
                .push(Mark::Text(Text::new([middle, y + 17.0], &words, 80.0).anchored(Anchor::Middle).ink(Ink::Quiet)));
        }
        if !name.is_empty() {
            let text =
                Text::new([self.right, y + 33.0], name, self.right - self.left).anchored(Anchor::End).ink(Ink::Quiet);
            marks.push(Mark::Text(text));
        }
        marks
    }

    /// An upright axis at `x` (`left` is its lower end): hairs to `x_end`, figures to its left.
    pub fn upright_axis(&self, x: f64, x_end: f64, wanted: usize) -> Vec<Mark> {
        let mut marks = Vec::new();
        for tick in self.ticks(wanted) {
            let y = self.at(tick);
            marks.push(Mark::line([x, y], [x_end, y], Pen::solid(Ink::Hair, 1.0)));
            let words = self.tick_words(wanted, tick);
            marks.push(Mark::Text(
                Text::new([x - 6.0, y + 0.35 * TYPE], &words, 80.0).anchored(Anchor::End).ink(Ink::Quiet),
            ));
        }
        marks
    }
}

/// Smallest of 1, 2, 5 times a power of ten that is at least `raw`.
fn nice_step(raw: f64) -> f64 {
    let power = 10f64.powf(raw.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|m| m * power).find(|s| *s >= raw * (1.0 - 1e-9)).unwrap_or(10.0 * power)
}

/// A figure with a number of decimals and the minus sign of typesetting.
pub fn figure(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

/// The end of a scale that starts at zero and holds every value: the next round figure.
pub fn round_end(values: impl IntoIterator<Item = f64>) -> f64 {
    let most = values.into_iter().fold(0.0, f64::max);
    if most <= 0.0 {
        return 1.0;
    }
    let power = 10f64.powf(most.log10().floor());
    [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|e| *e >= most * (1.0 - 1e-9))
        .unwrap_or(most)
}

/// Widest of some labels, px, at most `limit`.
pub fn widest<'a>(labels: impl IntoIterator<Item = &'a str>, limit: f64) -> f64 {
    labels.into_iter().map(|l| measure::width(&measure::clean(l), TYPE, false)).fold(0.0, f64::max).min(limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let scale = Scale::new(0.0, 30.0, 0.0, 300.0);
        assert_eq!(scale.ticks(6), vec![0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0]);
        assert_eq!(scale.tick_words(6, 5.0), "5");
        assert_eq!(Scale::new(-1.0, 1.0, 0.0, 1.0).tick_words(4, -0.5), "\u{2212}0.5");
        assert_eq!(scale.at(45.0), 300.0);
    }

    #[test]
    fn ends_are_the_next_round_figure() {
        assert_eq!([round_end([7.2]), round_end([0.012]), round_end([30.0]), round_end([])], [8.0, 0.015, 30.0, 1.0]);
    }
}
