//! Bars: one quantity a row from zero, with its interval as a whisker, its words at the end and limits as thin rules.

use super::rows::{ROW, Rows, Threshold, thresholds};
use crate::axis::figure;
use crate::{Fill, Ink, Mark, Pen, Scene, Table, Undrawable, all_finite, matching, not_empty};

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Its name.
    pub label: String,
    /// Its length, not negative.
    pub value: f64,
    /// Interval around it.
    pub interval: Option<(f64, f64)>,
    /// The value in words, with unit.
    pub words: String,
    /// True for the one the picture is about.
    pub accent: bool,
}

/// Bars of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Bars {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// The bars, in the reader's order.
    pub rows: Vec<Bar>,
    /// End of the scale, which starts at zero.
    pub scale_end: f64,
    /// Limits to be drawn.
    pub thresholds: Vec<Threshold>,
    /// Decimals of figures in the table.
    pub decimals: usize,
}

/// Draws the bars.
///
/// # Errors
/// [`Undrawable`] without bars, with a negative length, an interval upside down or a figure that is not finite.
pub fn bars(data: &Bars) -> Result<Scene, Undrawable> {
    not_empty("bars", &data.rows)?;
    all_finite(
        "bars",
        data.rows.iter().flat_map(|r| [r.value, r.interval.map_or(0.0, |i| i.0), r.interval.map_or(0.0, |i| i.1)]),
    )?;
    all_finite("thresholds", data.thresholds.iter().map(|t| t.at))?;
    matching("scale_end", data.scale_end > 0.0 && data.scale_end <= 1e12, "the scale must end above zero")?;
    let ordered = data.rows.iter().all(|r| r.value >= 0.0 && r.interval.is_none_or(|i| i.0 <= i.1));
    matching("bars", ordered, "lengths are not negative and intervals run from low to high")?;

    let mut table = Table::new(["", data.quantity.as_str(), "low", "high"]);
    for r in &data.rows {
        let f = |v| figure(v, data.decimals);
        table.row([
            r.label.clone(),
            f(r.value),
            r.interval.map_or(String::new(), |i| f(i.0)),
            r.interval.map_or(String::new(), |i| f(i.1)),
        ]);
    }
    let told: Vec<String> = data.rows.iter().map(|r| format!("{} {}", r.label, r.words)).collect();
    let mut scene = Scene::new(&data.title, &format!("{}: {}.", data.quantity, told.join("; ")), table);
    let labels: Vec<&str> = data.rows.iter().map(|r| r.label.as_str()).collect();
    let words: Vec<&str> = data.rows.iter().map(|r| r.words.as_str()).collect();
    let rows = Rows::new(&mut scene, &labels, &words, (0.0, data.scale_end));

    let tall = data.rows.len() as f64 * ROW;
    let names = thresholds(&mut scene, &data.thresholds, rows.scale, 0.0, |names| names + tall + 1.0);
    let mut y = names + 8.0;
    for r in &data.rows {
        rows.name(&mut scene, y, &r.label, &r.words, r.accent);
        let ink = if r.accent { Ink::Accent } else { Ink::Mark };
        let length = rows.scale.at(r.value) - rows.scale.left;
        scene.add(Mark::Rect { at: [rows.scale.left, y - 4.5], size: [length, 9.0], fill: Fill::Ink(ink), edge: None });
        if let Some((low, high)) = r.interval {
            let [a, b] = [low, high].map(|v| rows.scale.at(v));
            // A light sheath keeps the whisker visible on its own bar.
            scene.add(Mark::Rect { at: [a, y - 2.5], size: [b - a, 5.0], fill: Fill::Ink(Ink::Ground), edge: None });
            scene.add(Mark::line([a, y], [b, y], Pen::solid(Ink::Text, 1.3)));
            for x in [a, b] {
                scene.add(Mark::line([x, y - 2.5], [x, y + 2.5], Pen::solid(Ink::Text, 1.3)));
            }
        }
        y += ROW;
    }
    rows.scale.level_axis(y - 7.0, 5, &data.quantity).into_iter().for_each(|m| scene.add(m));
    Ok(scene.closed())
}
