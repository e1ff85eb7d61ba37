//! Cumulative pooling: the pooled value after each study, oldest first, with its interval; is the verdict still moving?

use super::forest::Summary;
use super::rows::{ROW, Rows};
use crate::axis::figure;
use crate::{Ink, Mark, Pen, Scene, Shape, Spot, Table, Undrawable, all_finite, matching};

/// The pool after one more study.
#[derive(Debug, Clone, PartialEq)]
pub struct CumulativeStep {
    /// The study added, with its year.
    pub label: String,
    /// The pool with it.
    pub pooled: Summary,
}

/// A pool growing over the years.
#[derive(Debug, Clone, PartialEq)]
pub struct Cumulative {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// The steps, oldest first.
    pub steps: Vec<CumulativeStep>,
    /// Start and end of the scale.
    pub scale: (f64, f64),
    /// Decimals of figures.
    pub decimals: usize,
}

/// Draws the steps.
///
/// # Errors
/// [`Undrawable`] when no step is given, an interval is upside down or a figure is not finite.
pub fn cumulative(data: &Cumulative) -> Result<Scene, Undrawable> {
    matching("steps", !data.steps.is_empty(), "give at least one step")?;
    all_finite("steps", data.steps.iter().flat_map(|s| [s.pooled.value, s.pooled.low, s.pooled.high]))?;
    all_finite("scale", [data.scale.0, data.scale.1])?;
    matching("steps", data.steps.iter().all(|s| s.pooled.low <= s.pooled.high), "intervals run from low to high")?;
    let words = |s: &Summary| {
        let f = |x| figure(x, data.decimals);
        format!("{} ({} to {})", f(s.value), f(s.low), f(s.high))
    };
    let mut table = Table::new(["with", &data.quantity, "low", "high"]);
    for s in &data.steps {
        let [v, l, h] = [s.pooled.value, s.pooled.low, s.pooled.high].map(|x| figure(x, data.decimals));
        table.row([s.label.clone(), v, l, h]);
    }
    let mut scene = Scene::new(&data.title, &description(data, &words), table);
    let labels: Vec<&str> = data.steps.iter().map(|s| s.label.as_str()).collect();
    let texts: Vec<String> = data.steps.iter().map(|s| words(&s.pooled)).collect();
    let rows = Rows::new(&mut scene, &labels, &texts.iter().map(String::as_str).collect::<Vec<_>>(), data.scale);
    let end = data.steps.len() as f64 * ROW;
    if let Some(last) = data.steps.last() {
        let x = rows.scale.at(last.pooled.value);
        scene.add(Mark::line([x, 0.0], [x, end], Pen::dotted(Ink::Accent, 1.0)));
    }
    let mut path: Vec<Spot> = Vec::new();
    for (i, (s, text)) in data.steps.iter().zip(&texts).enumerate() {
        let y = 8.0 + i as f64 * ROW;
        let last = i + 1 == data.steps.len();
        rows.name(&mut scene, y, &s.label, text, last);
        let [low, x, high] = [s.pooled.low, s.pooled.value, s.pooled.high].map(|v| rows.scale.at(v));
        let ink = if last { Ink::Accent } else { Ink::Mark };
        scene.add(Mark::line([low, y], [high, y], Pen::solid(ink, 1.3)));
        scene.add(Mark::Point { at: [x, y], radius: 3.6, shape: Shape::Diamond, ink });
        path.push([x, y]);
    }
    if path.len() > 1 {
        scene.add(Mark::Polyline { points: path, pen: Pen::solid(Ink::Rule, 0.8) });
    }
    rows.scale.level_axis(end + 2.0, 5, &data.quantity).into_iter().for_each(|m| scene.add(m));
    Ok(scene.closed())
}

fn description(data: &Cumulative, words: &impl Fn(&Summary) -> String) -> String {
    let first = data.steps.first().map_or(String::new(), |s| words(&s.pooled));
    let last = data.steps.last().map_or(String::new(), |s| words(&s.pooled));
    format!("{} after each of {} studies: first {first}, last {last}.", data.quantity, data.steps.len())
}
