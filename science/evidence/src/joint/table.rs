//! Posterior draws in little room: each quantity in 4096 equal steps between its least and greatest draw, two letters a draw.
//!
//! A step is at most 1/4095 of the range, about a five-hundredth of a standard deviation: far below the error of 2048 draws. What is fitted
//! is kept in this form at once, so that a stored posterior and a fresh one answer alike.

use serde::{Deserialize, Serialize};

const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
const STEPS: f64 = 4095.0;

/// One quantity's draws.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct Column {
    name: String,
    low: f64,
    high: f64,
    text: String,
}

/// Draws of several named quantities.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct Table {
    columns: Vec<Column>,
}

impl Table {
    /// From names and draws (one row a draw).
    pub(crate) fn new(names: Vec<String>, rows: &[Vec<f64>]) -> Self {
        let columns = names
            .into_iter()
            .enumerate()
            .map(|(i, name)| encode(name, &rows.iter().map(|r| r[i]).collect::<Vec<f64>>()))
            .collect();
        Self { columns }
    }

    /// Draws of a quantity, where it is held.
    pub(crate) fn get(&self, name: &str) -> Option<Vec<f64>> {
        self.columns.iter().find(|c| c.name == name).map(decode)
    }

    /// The draws of the given numbers, in that order.
    pub(crate) fn resampled(&self, chosen: &[usize]) -> Self {
        let column = |c: &Column| Column {
            text: chosen.iter().filter_map(|&k| c.text.get(2 * k..2 * k + 2)).collect(),
            ..c.clone()
        };
        Self { columns: self.columns.iter().map(column).collect() }
    }

    /// True when every text is well formed and of the given number of draws.
    pub(crate) fn is_sound(&self, draws: usize) -> bool {
        self.columns.iter().all(|c| {
            c.text.len() == 2 * draws
                && c.low.is_finite()
                && c.high.is_finite()
                && c.text.bytes().all(|b| LETTERS.contains(&b))
        })
    }
}

fn encode(name: String, values: &[f64]) -> Column {
    // Bounds keep six figures in the file; they are widened so that no draw falls outside.
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let width = (high - low).max(1e-9);
    let (low, high) = (answer::significant(low - 1e-5 * width, 7), answer::significant(high + 1e-5 * width, 7));
    let mut text = String::with_capacity(2 * values.len());
    for v in values {
        let code = ((v - low) / (high - low).max(1e-300) * STEPS).round().clamp(0.0, STEPS) as usize;
        text.push(char::from(LETTERS[code / 64]));
        text.push(char::from(LETTERS[code % 64]));
    }
    Column { name, low, high, text }
}

fn decode(column: &Column) -> Vec<f64> {
    let value = |b: u8| f64::from(REVERSE[usize::from(b)]);
    let step = (column.high - column.low) / STEPS;
    column.text.as_bytes().chunks_exact(2).map(|c| column.low + step * (64.0 * value(c[0]) + value(c[1]))).collect()
}

const REVERSE: [u8; 256] = {
    let mut table = [0; 256];
    let mut i = 0;
    while i < 64 {
        table[LETTERS[i] as usize] = i as u8;
        i += 1;
    }
    table
};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_come_back_within_half_a_step() {
        let rows: Vec<Vec<f64>> = (0..2048).map(|k| vec![(f64::from(k) * 0.37).sin() * 3.0 - 4.0, 2.5]).collect();
        let table = Table::new(vec!["x".into(), "constant".into()], &rows);
        assert!(table.is_sound(2048));
        for (row, x) in rows.iter().zip(table.get("x").unwrap()) {
            assert!((row[0] - x).abs() <= 0.51 * 6.0 / STEPS);
        }
        assert!(table.get("constant").unwrap().iter().all(|x| (x - 2.5).abs() < 1e-6));
        assert!(table.get("y").is_none());
    }
}
