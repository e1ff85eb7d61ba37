//! Funnel: each study's effect against its standard error, the most certain on top; about the pooled value the lines between which 95 % of studies
//! would lie if chance alone moved them. Studies put in by trim-and-fill are rings.

use super::rows::ROW;
use crate::axis::{Scale, figure};
use crate::scene::WIDTH;
use crate::{Anchor, Ink, Mark, Pen, Scene, Shape, Spot, Table, Text, Undrawable, all_finite, matching};

/// One study.
#[derive(Debug, Clone, PartialEq)]
pub struct FunnelPoint {
    /// Its name.
    pub label: String,
    /// Effect on the scale of analysis.
    pub effect: f64,
    /// Its standard error, 0 or more.
    pub error: f64,
}

/// Studies of one quantity against their errors.
#[derive(Debug, Clone, PartialEq)]
pub struct Funnel {
    /// The finding, as a sentence.
    pub title: String,
    /// Name of the effect, with its scale.
    pub quantity: String,
    /// The studies.
    pub points: Vec<FunnelPoint>,
    /// Studies put in for missing ones.
    pub filled: Vec<FunnelPoint>,
    /// Pooled effect.
    pub centre: f64,
    /// Words for ticks of the effect: place on the scale of analysis and what stands there (back on the natural scale, say); empty:
    /// plain figures.
    pub ticks: Vec<(f64, String)>,
}

/// Top of the plot, px.
const TOP: f64 = 1.5 * ROW;
/// Height of the plot, px.
const TALL: f64 = 13.0 * ROW;
/// Normal quantile of 95 %.
const Z: f64 = 1.959_963_985;

/// Draws the funnel.
///
/// # Errors
/// [`Undrawable`] when no study is given, an error is negative or a figure is not finite.
pub fn funnel(data: &Funnel) -> Result<Scene, Undrawable> {
    Ok(drawn(data)?.0.closed())
}

/// Draws a funnel of few things, each named beside its point.
///
/// # Errors
/// As [`funnel`].
pub fn funnel_of_named(data: &Funnel) -> Result<Scene, Undrawable> {
    let (mut scene, effect, error) = drawn(data)?;
    let mut taken: Vec<Spot> = Vec::new();
    for p in &data.points {
        let [x, mut y] = [effect.at(p.effect), error.at(p.error) + 4.0];
        // Names that would touch move apart, upwards.
        while taken.iter().any(|t| (t[0] - x).abs() < 90.0 && (t[1] - y).abs() < 13.0) {
            y -= 2.0;
        }
        taken.push([x, y]);
        let left = x > (effect.left + effect.right) / 2.0;
        let name = Text::new([if left { x - 8.0 } else { x + 8.0 }, y], &p.label, 120.0);
        scene.write(if left { name.anchored(Anchor::End) } else { name });
    }
    Ok(scene.closed())
}

fn drawn(data: &Funnel) -> Result<(Scene, Scale, Scale), Undrawable> {
    matching("studies", !data.points.is_empty(), "give at least one study")?;
    all_finite("studies", data.points.iter().chain(&data.filled).flat_map(|p| [p.effect, p.error]))?;
    all_finite("centre", [data.centre])?;
    all_finite("ticks", data.ticks.iter().map(|t| t.0))?;
    let errors_fine = data.points.iter().chain(&data.filled).all(|p| p.error >= 0.0);
    matching("errors", errors_fine, "standard errors are 0 or more")?;

    let mut table = Table::new(["study", &data.quantity, "standard error", "kind"]);
    for (points, kind) in [(&data.points, "seen"), (&data.filled, "put in")] {
        for p in points {
            table.row([p.label.clone(), figure(p.effect, 3), figure(p.error, 3), kind.to_owned()]);
        }
    }
    let mut scene = Scene::new(&data.title, &description(data), table);
    scene.width = WIDTH;
    let largest = data.points.iter().chain(&data.filled).map(|p| p.error).fold(0.0, f64::max).max(1e-9) * 1.06;
    let reach =
        data.points.iter().chain(&data.filled).map(|p| (p.effect - data.centre).abs()).fold(Z * largest, f64::max)
            * 1.04;
    let effect = Scale::new(data.centre - reach, data.centre + reach, 58.5, WIDTH - 16.0);
    // The most certain stands on top: the error grows downwards.
    let error = Scale::new(0.0, largest, TOP, TOP + TALL);

    scene.write(Text::new([0.0, 10.0], "standard error, the most certain on top", WIDTH / 2.0).ink(Ink::Quiet));
    error.upright_axis(effect.left, effect.right, 5).into_iter().for_each(|m| scene.add(m));
    let foot = Z * largest;
    for side in [-1.0, 1.0] {
        let end = [effect.at(data.centre + side * foot), error.right];
        scene.add(Mark::line([effect.at(data.centre), error.left], end, Pen::dotted(Ink::Rule, 1.2)));
    }
    scene.add(Mark::line(
        [effect.at(data.centre), error.left],
        [effect.at(data.centre), error.right],
        Pen::solid(Ink::Accent, 1.4),
    ));
    for (points, shape, ink) in [(&data.filled, Shape::Ring, Ink::Accent), (&data.points, Shape::Disc, Ink::Mark)] {
        for p in points {
            scene.add(Mark::Point { at: [effect.at(p.effect), error.at(p.error)], radius: 3.6, shape, ink });
        }
    }
    axis(&mut scene, data, effect, error.right);
    Ok((scene, effect, error))
}

/// The axis beneath: plain figures, or the words given.
fn axis(scene: &mut Scene, data: &Funnel, effect: Scale, y: f64) {
    if data.ticks.is_empty() {
        effect.level_axis(y, 6, &data.quantity).into_iter().for_each(|m| scene.add(m));
        return;
    }
    scene.add(Mark::line([effect.left, y], [effect.right, y], Pen::solid(Ink::Rule, 1.0)));
    let mut free = f64::NEG_INFINITY;
    for (at, words) in data.ticks.iter().filter(|t| effect.holds(t.0)) {
        let x = effect.at(*at);
        scene.add(Mark::line([x, y], [x, y + 4.0], Pen::solid(Ink::Rule, 1.0)));
        let text = Text::new([x, y + 17.0], words, 80.0).anchored(Anchor::Middle).ink(Ink::Quiet);
        let (left, right) = text.extent();
        if left > free && left >= 0.0 && right <= WIDTH {
            free = right + 8.0;
            scene.write(text);
        }
    }
    let name = Text::new([effect.right, y + 33.0], &data.quantity, effect.right - effect.left);
    scene.write(name.anchored(Anchor::End).ink(Ink::Quiet));
}

fn description(data: &Funnel) -> String {
    let outside = data.points.iter().filter(|p| (p.effect - data.centre).abs() > Z * p.error).count();
    let filled =
        if data.filled.is_empty() { String::new() } else { format!("; {} put in as rings", data.filled.len()) };
    format!(
        "{} studies of {} against their standard error; {outside} lie outside the lines that hold 95 of 100 by chance alone{filled}.",
        data.points.len(),
        data.quantity
    )
}
