//! Before and after: an arrow on the quantity itself, one row a change, smallest change first as the caller sorts them.

use super::rows::{ROW, Rows, Threshold, thresholds};
use crate::axis::figure;
use crate::{Ink, Mark, Pen, Scene, Shape, Table, Undrawable, all_finite, matching, not_empty};

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct BeforeAfter {
    /// What is changed.
    pub label: String,
    /// The quantity as it is.
    pub before: f64,
    /// The quantity after the change.
    pub after: f64,
}

/// Changes of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// The changes, in the reader's order.
    pub rows: Vec<BeforeAfter>,
    /// Start and end of the scale.
    pub scale: (f64, f64),
    /// Limits to be drawn.
    pub thresholds: Vec<Threshold>,
    /// Decimals of figures.
    pub decimals: usize,
}

/// Draws the arrows.
///
/// # Errors
/// [`Undrawable`] without changes, with a scale upside down or a figure that is not finite.
pub fn arrow_before_after(data: &Change) -> Result<Scene, Undrawable> {
    not_empty("changes", &data.rows)?;
    all_finite("changes", data.rows.iter().flat_map(|r| [r.before, r.after]))?;
    all_finite("scale", [data.scale.0, data.scale.1])?;
    all_finite("thresholds", data.thresholds.iter().map(|t| t.at))?;
    matching("scale", data.scale.0 < data.scale.1, "the scale runs from low to high")?;

    let f = |v| figure(v, data.decimals);
    let words: Vec<String> = data.rows.iter().map(|r| format!("{} \u{2192} {}", f(r.before), f(r.after))).collect();
    let mut table = Table::new(["change", "before", "after"]);
    data.rows.iter().for_each(|r| table.row([r.label.clone(), f(r.before), f(r.after)]));
    let told: Vec<String> =
        data.rows.iter().map(|r| format!("{} from {} to {}", r.label, f(r.before), f(r.after))).collect();
    let mut scene = Scene::new(&data.title, &format!("{}: {}.", data.quantity, told.join("; ")), table);
    let labels: Vec<&str> = data.rows.iter().map(|r| r.label.as_str()).collect();
    let rows = Rows::new(&mut scene, &labels, &words.iter().map(String::as_str).collect::<Vec<_>>(), data.scale);

    let tall = data.rows.len() as f64 * ROW;
    let names = thresholds(&mut scene, &data.thresholds, rows.scale, 0.0, |names| names + tall + 1.0);
    let mut y = names + 8.0;
    for (r, text) in data.rows.iter().zip(&words) {
        rows.name(&mut scene, y, &r.label, text, false);
        let [from, to] = [r.before, r.after].map(|v| rows.scale.at(v));
        arrow(&mut scene, from, to, y);
        y += ROW;
    }
    rows.scale.level_axis(y - 7.0, 5, &data.quantity).into_iter().for_each(|m| scene.add(m));
    Ok(scene.closed())
}

fn arrow(scene: &mut Scene, from: f64, to: f64, y: f64) {
    let length = (to - from).abs();
    let way = if to >= from { 1.0 } else { -1.0 };
    if length >= 8.0 {
        let middle = to - way * 4.0;
        scene.add(Mark::line([from, y], [middle, y], Pen::solid(Ink::Accent, 2.0)));
        let shape = if way > 0.0 { Shape::Right } else { Shape::Left };
        scene.add(Mark::Point { at: [middle, y], radius: 4.0, shape, ink: Ink::Accent });
    } else {
        scene.add(Mark::Point { at: [to, y], radius: 3.0, shape: Shape::Disc, ink: Ink::Accent });
    }
    scene.add(Mark::Point { at: [from, y], radius: 4.0, shape: Shape::Ring, ink: Ink::Mark });
}
