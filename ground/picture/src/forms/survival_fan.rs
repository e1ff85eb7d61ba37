//! Survival fan: the share still free of an event over the years; median line, bands of 50 % and 90 %, own results as steps on
//! top, numbers at risk beneath; years beyond the longest observation dashed.

use super::rows::ROW;
use crate::axis::{Scale, figure};
use crate::scene::WIDTH;
use crate::{Anchor, Ink, Mark, Pen, Scene, Spot, Table, Text, Undrawable, all_finite, matching};

/// Quantiles at one year, in per cent (0 to 100), lowest first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FanYear {
    /// Years since the start.
    pub year: f64,
    /// 5 % quantile.
    pub low90: f64,
    /// 25 % quantile.
    pub low50: f64,
    /// Median.
    pub median: f64,
    /// 75 % quantile.
    pub high50: f64,
    /// 95 % quantile.
    pub high90: f64,
}

/// A share over time.
#[derive(Debug, Clone, PartialEq)]
pub struct SurvivalFan {
    /// The finding, as a sentence.
    pub title: String,
    /// Name of the share.
    pub quantity: String,
    /// Quantiles by year, at least two, years rising.
    pub years: Vec<FanYear>,
    /// Longest observation, years; beyond it lines are dashed. `None` when all is observed.
    pub observed_to: Option<f64>,
    /// Numbers at risk, (year, number).
    pub at_risk: Vec<(f64, f64)>,
    /// Own results as steps, (year, per cent); empty when there are none.
    pub own: Vec<(f64, f64)>,
    /// Lower end of the axis, per cent; the fan is cut there.
    pub floor: f64,
}

/// Top of the plot, px, beneath the name of the quantity.
const TOP: f64 = 1.5 * ROW;
/// Height of the plot, px: twelve rows.
const TALL: f64 = 12.0 * ROW;

/// Draws the fan.
///
/// # Errors
/// [`Undrawable`] with fewer than two years, years that do not rise, quantiles out of order or figures that are not finite.
pub fn survival_fan(data: &SurvivalFan) -> Result<Scene, Undrawable> {
    check(data)?;
    let end = data.years.last().map_or(1.0, |y| y.year);
    let mut scene = Scene::new(&data.title, &description(data), table(data));
    let time = Scale::new(0.0, end, 58.5, WIDTH - 58.5);
    let share = Scale::new(data.floor, 100.0, TOP + TALL, TOP);
    let line = |pick: fn(&FanYear) -> f64| {
        data.years.iter().map(|y| [time.at(y.year), share.at(pick(y))]).collect::<Vec<Spot>>()
    };

    scene.write(Text::new([0.0, 10.0], &data.quantity, WIDTH - 80.0).ink(Ink::Quiet));
    share.upright_axis(time.left, time.right, 5).into_iter().for_each(|m| scene.add(m));
    scene.add(Mark::band(&line(|y| y.high90), &line(|y| y.low90), Ink::AccentFaint));
    scene.add(Mark::band(&line(|y| y.high50), &line(|y| y.low50), Ink::AccentMid));
    let cut = data.observed_to.map_or(time.right, |o| time.at(o));
    for (points, width) in [(line(|y| y.high90), 0.8), (line(|y| y.low90), 0.8)] {
        split(&mut scene, &points, cut, Pen::solid(Ink::Rule, width));
    }
    split(&mut scene, &line(|y| y.median), cut, Pen::solid(Ink::Accent, 2.2));
    if data.own.len() > 1 {
        let steps: Vec<Spot> = data.own.iter().map(|(y, s)| [time.at(*y), share.at(*s)]).collect();
        scene.add(Mark::steps(&steps, Pen::solid(Ink::Text, 1.6)));
        if let Some(last) = steps.last() {
            // Within the plot and away from the median, whose figure stands beside the end of the years.
            let median = data.years.last().map_or(last[1], |y| share.at(y.median));
            let aside = if last[1] < median { -6.0 } else { 14.0 };
            scene.write(Text::new([last[0] - 4.0, last[1] + aside], "own", 40.0).anchored(Anchor::End));
        }
    }
    if let Some(observed) = data.observed_to.filter(|o| *o < end) {
        let x = time.at(observed);
        scene.add(Mark::line([x, share.right], [x, share.left], Pen::dotted(Ink::Rule, 1.2)));
        scene.write(Text::new([x + 4.0, share.left - 6.0], "extrapolated", WIDTH - x - 4.0).ink(Ink::Quiet));
    }
    names(&mut scene, data, time, share);
    time.level_axis(share.left, 5, "").into_iter().for_each(|m| scene.add(m));
    scene.write(
        Text::new([time.right + 14.0, share.left + 17.0], "years", 44.0).anchored(Anchor::Start).ink(Ink::Quiet),
    );
    at_risk(&mut scene, data, time, share.left + 33.0);
    Ok(scene.closed())
}

/// A line drawn as it is up to a place and dashed beyond it.
fn split(scene: &mut Scene, points: &[Spot], cut: f64, pen: Pen) {
    let (mut seen, mut beyond): (Vec<Spot>, Vec<Spot>) = (Vec::new(), Vec::new());
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        if seen.is_empty() && a[0] <= cut {
            seen.push(a);
        }
        if b[0] <= cut {
            seen.push(b);
        } else if a[0] < cut {
            let t = (cut - a[0]) / (b[0] - a[0]);
            let middle = [cut, a[1] + t * (b[1] - a[1])];
            seen.push(middle);
            beyond.extend([middle, b]);
        } else {
            if beyond.is_empty() {
                beyond.push(a);
            }
            beyond.push(b);
        }
    }
    if seen.len() > 1 {
        scene.add(Mark::Polyline { points: seen, pen });
    }
    if beyond.len() > 1 {
        scene.add(Mark::Polyline { points: beyond, pen: Pen::dashed(pen.ink, pen.width) });
    }
}

/// Values at the right end, beside the lines they belong to, pushed apart where they would touch.
fn names(scene: &mut Scene, data: &SurvivalFan, time: Scale, share: Scale) {
    let Some(last) = data.years.last() else { return };
    let mut wanted =
        [("", last.high90), ("median ", last.median), ("", last.low90)].map(|(name, v)| (share.at(v), name, v));
    wanted[0].0 = wanted[0].0.min(wanted[1].0 - 14.0);
    wanted[2].0 = wanted[2].0.max(wanted[1].0 + 14.0);
    for (i, (y, _, value)) in wanted.into_iter().enumerate() {
        let text = Text::new([time.right + 6.5, y + 4.0], &format!("{} %", figure(value, 0)), 50.0);
        scene.write(if i == 1 { text.bold(50.0) } else { text.ink(Ink::Quiet) });
    }
}

fn at_risk(scene: &mut Scene, data: &SurvivalFan, time: Scale, y: f64) {
    if data.at_risk.is_empty() {
        return;
    }
    scene.write(Text::new([0.0, y], "at risk", time.left - 10.0).ink(Ink::Quiet));
    for (year, number) in data.at_risk.iter().filter(|(year, _)| time.holds(*year)) {
        scene.write(Text::new([time.at(*year), y], &figure(*number, 0), 60.0).anchored(Anchor::Middle).ink(Ink::Quiet));
    }
}

fn check(data: &SurvivalFan) -> Result<(), Undrawable> {
    matching("years", data.years.len() >= 2, "a fan needs at least two years")?;
    all_finite("years", data.years.iter().flat_map(|y| [y.year, y.low90, y.low50, y.median, y.high50, y.high90]))?;
    all_finite("at_risk", data.at_risk.iter().flat_map(|(a, b)| [*a, *b]))?;
    all_finite("own", data.own.iter().flat_map(|(a, b)| [*a, *b]))?;
    all_finite("floor", [data.floor])?;
    all_finite("observed_to", data.observed_to)?;
    matching("floor", (0.0..100.0).contains(&data.floor), "the axis starts between 0 and 100 %")?;
    let rising = data.years.windows(2).all(|p| p[0].year < p[1].year) && data.years[0].year >= 0.0;
    matching("years", rising, "years must rise from 0 on")?;
    let ordered = data.years.iter().all(|y| {
        let q = [y.low90, y.low50, y.median, y.high50, y.high90];
        q.windows(2).all(|p| p[0] <= p[1]) && q[0] >= 0.0 && q[4] <= 100.0
    });
    matching("years", ordered, "quantiles must rise and lie between 0 and 100 %")
}

fn description(data: &SurvivalFan) -> String {
    let last = data.years.last().map_or(String::new(), |y| {
        format!(
            "at {} years the median is {} %, 90 % of the chance lies between {} and {} %",
            figure(y.year, 0),
            figure(y.median, 0),
            figure(y.low90, 0),
            figure(y.high90, 0)
        )
    });
    let beyond = data.observed_to.map_or(String::new(), |o| format!("; beyond {} years extrapolated", figure(o, 0)));
    format!("{} over the years: {last}{beyond}.", data.quantity)
}

fn table(data: &SurvivalFan) -> Table {
    let mut table = Table::new(["years", "5 %", "25 %", "median", "75 %", "95 %", "at risk"]);
    for y in &data.years {
        let risk = data
            .at_risk
            .iter()
            .find(|(year, _)| (year - y.year).abs() < 1e-9)
            .map_or(String::new(), |(_, n)| figure(*n, 0));
        let cells = [y.low90, y.low50, y.median, y.high50, y.high90].map(|v| figure(v, 1));
        table.row(std::iter::once(figure(y.year, 0)).chain(cells).chain([risk]));
    }
    table
}
