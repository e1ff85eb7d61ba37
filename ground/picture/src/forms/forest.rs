//! Forest: one row a study, square with area by weight and interval; groups; pooled diamond and the bar of the prediction for a
//! new setting; studies without enough data listed, not hidden.

use super::rows::{ROW, Rows};
use crate::axis::figure;
use crate::{Fill, Ink, Mark, Pen, Scene, Shape, Table, Text, Undrawable, all_finite, matching};

/// One study.
#[derive(Debug, Clone, PartialEq)]
pub struct ForestRow {
    /// Its name.
    pub label: String,
    /// Group it is shown in; empty for none. Rows of a group stand together.
    pub group: String,
    /// Estimate.
    pub value: f64,
    /// Lower end of its interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Weight; areas are drawn relative to the largest.
    pub weight: f64,
}

/// A pooled estimate or a prediction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// Middle.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// Studies of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Forest {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the quantity.
    pub quantity: String,
    /// The studies.
    pub rows: Vec<ForestRow>,
    /// Pooled mean with its interval.
    pub pooled: Option<Summary>,
    /// What a new setting may see.
    pub prediction: Option<Summary>,
    /// Studies without enough data: name and reason.
    pub left_out: Vec<(String, String)>,
    /// Start and end of the scale.
    pub scale: (f64, f64),
    /// Decimals of figures.
    pub decimals: usize,
}

/// Draws the forest.
///
/// # Errors
/// [`Undrawable`] when nothing is given, an interval is upside down, a weight is negative or a figure is not finite.
pub fn forest(data: &Forest) -> Result<Scene, Undrawable> {
    check(data)?;
    let words = |v: f64, l: f64, h: f64| {
        let f = |x| figure(x, data.decimals);
        format!("{} ({} to {})", f(v), f(l), f(h))
    };
    let mut table = Table::new(["study", "group", &data.quantity, "low", "high", "weight %"]);
    let total: f64 = data.rows.iter().map(|r| r.weight).sum();
    let share = |w: f64| if total > 0.0 { 100.0 * w / total } else { 0.0 };
    for r in &data.rows {
        let [v, l, h] = [r.value, r.low, r.high].map(|x| figure(x, data.decimals));
        table.row([r.label.clone(), r.group.clone(), v, l, h, figure(share(r.weight), 1)]);
    }
    for (name, s) in [("pooled", data.pooled), ("new setting", data.prediction)] {
        if let Some(s) = s {
            let [v, l, h] = [s.value, s.low, s.high].map(|x| figure(x, data.decimals));
            table.row([name.to_owned(), String::new(), v, l, h]);
        }
    }
    data.left_out.iter().for_each(|(name, why)| table.row([name.clone(), String::new(), why.clone()]));

    let mut scene = Scene::new(&data.title, &description(data, words), table);
    let mut labels: Vec<&str> = data.rows.iter().map(|r| r.label.as_str()).collect();
    labels.extend(["pooled", "a new setting"]);
    let mut texts: Vec<String> = data.rows.iter().map(|r| words(r.value, r.low, r.high)).collect();
    texts.extend([data.pooled, data.prediction].into_iter().flatten().map(|s| words(s.value, s.low, s.high)));
    let rows = Rows::new(&mut scene, &labels, &texts.iter().map(String::as_str).collect::<Vec<_>>(), data.scale);

    let heaviest = data.rows.iter().map(|r| r.weight).fold(0.0, f64::max);
    let mut y = 8.0;
    let mut group = "";
    for (r, text) in data.rows.iter().zip(&texts) {
        if r.group != group {
            group = &r.group;
            scene.write(Text::new([0.0, y + 4.0], group, rows.scale.right).bold(rows.scale.right));
            y += ROW;
        }
        rows.name(&mut scene, y, &r.label, text, false);
        let [low, high, x] = [r.low, r.high, r.value].map(|v| rows.scale.at(v));
        scene.add(Mark::line([low, y], [high, y], Pen::solid(Ink::Mark, 1.3)));
        // An interval that runs over the end of the scale says so with an arrow.
        if r.high > data.scale.1 {
            scene.add(Mark::Point { at: [high - 3.0, y], radius: 3.5, shape: Shape::Right, ink: Ink::Mark });
        }
        let radius = if heaviest > 0.0 { 6.5 * (r.weight / heaviest).sqrt() } else { 0.0 };
        scene.add(Mark::Point { at: [x, y], radius: radius.max(1.5), shape: Shape::Square, ink: Ink::Mark });
        y += ROW;
    }
    let rows_end = y;
    if let Some(p) = data.pooled {
        y += ROW;
        rows.name(&mut scene, y, "pooled", &words(p.value, p.low, p.high), true);
        let [low, x, high] = [p.low, p.value, p.high].map(|v| rows.scale.at(v));
        scene.add(Mark::line([x, 0.0], [x, rows_end], Pen::dotted(Ink::Accent, 1.0)));
        let (left, right) = if high - low < 8.0 { (x - 4.0, x + 4.0) } else { (low, high) };
        let points = vec![[left, y], [x, y - 6.0], [right, y], [x, y + 6.0]];
        scene.add(Mark::Polygon { points, fill: Fill::Ink(Ink::Accent), edge: None });
        y += ROW;
    }
    if let Some(p) = data.prediction {
        rows.name(&mut scene, y, "a new setting", &words(p.value, p.low, p.high), false);
        let [low, high] = [p.low, p.high].map(|v| rows.scale.at(v));
        scene.add(Mark::Rect {
            at: [low, y - 3.5],
            size: [high - low, 7.0],
            fill: Fill::Ink(Ink::AccentMid),
            edge: Some(Pen::solid(Ink::Accent, 1.0)),
        });
        y += ROW;
    }
    y -= 7.0;
    rows.scale.level_axis(y, 5, &data.quantity).into_iter().for_each(|m| scene.add(m));
    y += 7.0 + 3.0 * ROW;
    for (name, why) in &data.left_out {
        scene.write(Text::new([0.0, y + 4.0], &format!("not pooled: {name}: {why}"), scene.width).ink(Ink::Quiet));
        y += ROW;
    }
    Ok(scene.closed())
}

fn check(data: &Forest) -> Result<(), Undrawable> {
    matching("forest", !data.rows.is_empty() || data.pooled.is_some(), "give at least one study or a pooled value")?;
    all_finite("studies", data.rows.iter().flat_map(|r| [r.value, r.low, r.high, r.weight]))?;
    all_finite(
        "summaries",
        [data.pooled, data.prediction].into_iter().flatten().flat_map(|s| [s.value, s.low, s.high]),
    )?;
    all_finite("scale", [data.scale.0, data.scale.1])?;
    let ordered = data.rows.iter().all(|r| r.low <= r.high && r.weight >= 0.0);
    matching("studies", ordered, "intervals run from low to high and weights are not negative")?;
    let ordered = [data.pooled, data.prediction].into_iter().flatten().all(|s| s.low <= s.high);
    matching("summaries", ordered, "intervals run from low to high")
}

fn description(data: &Forest, words: impl Fn(f64, f64, f64) -> String) -> String {
    let mut parts = vec![format!("{} studies of {}", data.rows.len(), data.quantity)];
    parts.extend(data.pooled.map(|p| format!("pooled {}", words(p.value, p.low, p.high))));
    parts.extend(data.prediction.map(|p| format!("a new setting {}", words(p.value, p.low, p.high))));
    if !data.left_out.is_empty() {
        parts.push(format!("{} without enough data", data.left_out.len()));
    }
    format!("{}.", parts.join("; "))
}
