//! Curves: one quantity against another for a few things, each a line within its band, named at its end; limits as thin rules, a
//! place marked from top to bottom.

use super::rows::{ROW, Threshold};
use crate::axis::{Scale, figure, round_end};
use crate::{Anchor, Ink, Mark, Pen, Scene, Spot, Table, Text, Undrawable, WIDTH, all_finite, matching, not_empty};

/// A place of a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// Where, level axis.
    pub x: f64,
    /// Lower end of the band.
    pub low: f64,
    /// The line.
    pub middle: f64,
    /// Upper end of the band.
    pub high: f64,
}

/// A named line within its band.
#[derive(Debug, Clone, PartialEq)]
pub struct CurveLine {
    /// Its name, written at its right end.
    pub label: String,
    /// Its places, rising.
    pub points: Vec<CurvePoint>,
}

/// Curves of one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Curves {
    /// The finding, as a sentence.
    pub title: String,
    /// Level quantity with unit.
    pub across: String,
    /// Upright quantity with unit; its axis starts at zero.
    pub upright: String,
    /// The lines, the first is the one the picture is about.
    pub lines: Vec<CurveLine>,
    /// Limits of the upright quantity.
    pub limits: Vec<Threshold>,
    /// A place across, with its name.
    pub mark: Option<Threshold>,
    /// Decimals of the level and the upright quantity in the table.
    pub decimals: [usize; 2],
}

/// Height of the plot, px.
const TALL: f64 = 13.0 * ROW;
/// Figures wanted on the level axis.
const ACROSS: usize = 6;

/// Draws the curves.
///
/// # Errors
/// [`Undrawable`] without lines, with fewer than two places, places that do not rise, a band upside down or a figure that is not finite.
pub fn curves(data: &Curves) -> Result<Scene, Undrawable> {
    Ok(drawn(data)?.0.closed())
}

/// Draws the curves with the numbers at risk under the figures of the level axis: `at_risk(i, x)` is how many of line i are watched at x.
///
/// # Errors
/// As [`curves`].
pub fn curves_at_risk(data: &Curves, at_risk: impl Fn(usize, f64) -> f64) -> Result<Scene, Undrawable> {
    let (mut scene, across) = drawn(data)?;
    let top = ROW + TALL + 52.0;
    scene.write(Text::new([across.left, top], "at risk", 80.0).ink(Ink::Quiet));
    for (i, line) in data.lines.iter().enumerate() {
        let y = top + (i + 1) as f64 * 16.0;
        numbers(&mut scene, &across, y, |x| at_risk(i, x));
        scene.write(Text::new([across.right + 6.0, y], &line.label, 124.0).ink(Ink::Quiet));
    }
    Ok(scene.closed())
}

/// As [`curves_at_risk`], where the same units are watched for every line: one row of numbers.
///
/// # Errors
/// As [`curves`].
pub fn curves_at_risk_of_all(data: &Curves, at_risk: impl Fn(f64) -> f64) -> Result<Scene, Undrawable> {
    let (mut scene, across) = drawn(data)?;
    let top = ROW + TALL + 52.0;
    scene.write(Text::new([across.left, top], "at risk", 80.0).ink(Ink::Quiet));
    numbers(&mut scene, &across, top + 16.0, at_risk);
    Ok(scene.closed())
}

/// A row of numbers under the figures of the level axis.
fn numbers(scene: &mut Scene, across: &Scale, y: f64, at_risk: impl Fn(f64) -> f64) {
    for x in across.ticks(ACROSS) {
        let number = Text::new([across.at(x).max(12.0), y], &figure(at_risk(x), 0), 60.0);
        scene.write(number.anchored(Anchor::Middle).ink(Ink::Quiet));
    }
}

fn drawn(data: &Curves) -> Result<(Scene, Scale), Undrawable> {
    check(data)?;
    let mut scene = Scene::new(&data.title, &description(data), table(data));
    let points = || data.lines.iter().flat_map(|l| &l.points);
    let (from, to) = points().fold((f64::MAX, f64::MIN), |(a, b), p| (a.min(p.x), b.max(p.x)));
    let top = round_end(points().map(|p| p.high).chain(data.limits.iter().map(|l| l.at)));
    let across = Scale::new(from, to, 46.0, WIDTH - 130.0);
    let upright = Scale::new(0.0, top, ROW + TALL, 2.0 * ROW);
    scene.write(Text::new([0.0, 10.0], &data.upright, WIDTH - 80.0).ink(Ink::Quiet));
    upright.upright_axis(across.left, across.right, 5).into_iter().for_each(|m| scene.add(m));
    let at = |p: &CurvePoint, v: f64| -> Spot { [across.at(p.x), upright.at(v)] };
    if let Some(first) = data.lines.first() {
        let edge = |pick: fn(&CurvePoint) -> f64| first.points.iter().map(|p| at(p, pick(p))).collect::<Vec<_>>();
        scene.add(Mark::band(&edge(|p| p.high), &edge(|p| p.low), Ink::AccentFaint));
    }
    let mut named: Vec<(f64, f64)> = Vec::new();
    for limit in &data.limits {
        let y = upright.at(limit.at);
        scene.add(Mark::line([across.left, y], [across.right, y], Pen::dotted(Ink::Rule, 1.2)));
        // Names of limits close together stand side by side.
        let near = named.iter().filter(|(at, _)| (at - y).abs() < 14.0).map(|(_, end)| *end);
        let x = near.fold(across.left + 4.0, f64::max);
        let text = Text::new([x, y - 3.0], &limit.label, 120.0).ink(Ink::Quiet);
        named.push((y, text.extent().1 + 13.0));
        scene.write(text);
    }
    if let Some(mark) = data.mark.as_ref().filter(|m| across.holds(m.at)) {
        let x = across.at(mark.at);
        scene.add(Mark::line([x, upright.right], [x, upright.left], Pen::dashed(Ink::Rule, 1.0)));
        scene.write(Text::new([x, upright.right - 4.0], &mark.label, 160.0).anchored(Anchor::Middle).ink(Ink::Quiet));
    }
    let mut ends: Vec<(f64, usize)> = Vec::new();
    for (i, line) in data.lines.iter().enumerate() {
        let pen = match i {
            0 => Pen::solid(Ink::Accent, 2.2),
            1 => Pen::dashed(Ink::Mark, 1.8),
            2 => Pen::dotted(Ink::Mark, 1.8),
            _ => Pen::solid(Ink::Mark, 1.0),
        };
        let places: Vec<Spot> = line.points.iter().map(|p| at(p, p.middle)).collect();
        ends.extend(places.last().map(|end| (end[1], i)));
        scene.add(Mark::Polyline { points: places, pen });
    }
    // Names that would touch move apart, upwards, the lowest line's first: they stand in the order of their lines.
    ends.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut free = f64::MAX;
    for (end, i) in ends {
        let y = end.min(free);
        free = y - 14.0;
        let name = Text::new([across.right + 6.0, y + 4.0], &data.lines[i].label, 124.0);
        scene.write(if i == 0 { name.bold(124.0) } else { name });
    }
    across.level_axis(upright.left, ACROSS, &data.across).into_iter().for_each(|m| scene.add(m));
    Ok((scene, across))
}

fn check(data: &Curves) -> Result<(), Undrawable> {
    not_empty("lines", &data.lines)?;
    for line in &data.lines {
        matching("points", line.points.len() >= 2, "a curve needs at least two places")?;
        all_finite("points", line.points.iter().flat_map(|p| [p.x, p.low, p.middle, p.high]))?;
        let rising = line.points.windows(2).all(|p| p[0].x < p[1].x);
        matching("points", rising, "places must rise")?;
        let ordered = line.points.iter().all(|p| 0.0 <= p.low && p.low <= p.middle && p.middle <= p.high);
        matching("points", ordered, "bands run from low to high, not below zero")?;
    }
    all_finite("limits", data.limits.iter().chain(&data.mark).map(|t| t.at))?;
    matching("limits", data.limits.iter().all(|l| l.at >= 0.0), "limits are not negative")
}

fn description(data: &Curves) -> String {
    let ends = data.lines.iter().filter_map(|l| {
        let (a, b) = (l.points.first()?, l.points.last()?);
        let [x, y] = data.decimals;
        Some(format!(
            "{} from {} at {} to {} at {}",
            l.label,
            figure(a.middle, y),
            figure(a.x, x),
            figure(b.middle, y),
            figure(b.x, x)
        ))
    });
    format!("{} against {}: {}.", data.upright, data.across, ends.collect::<Vec<_>>().join("; "))
}

fn table(data: &Curves) -> Table {
    let mut table = Table::new(["", data.across.as_str(), data.upright.as_str(), "low", "high"]);
    for line in &data.lines {
        for p in &line.points {
            let y = |v| figure(v, data.decimals[1]);
            table.row([line.label.clone(), figure(p.x, data.decimals[0]), y(p.middle), y(p.low), y(p.high)]);
        }
    }
    table
}
