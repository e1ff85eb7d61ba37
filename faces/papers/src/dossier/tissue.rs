//! What a preparation takes, as pictures: cuts through a tooth to scale, before and after, and maps of depth seen from a side.
//!
//! Shapes come as outlines and squares in mm; this file knows no tooth. Nothing drawn here is a shape to cut to, and every picture says so.

use picture::axis::figure;
use picture::{ColourMap, Fill, Ink, Mark, Pen, Scene, Steps, Table, Text, Undrawable};

/// What an outline encloses.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tissue {
    /// Enamel.
    Enamel,
    /// Dentine, or a stump.
    Dentine,
    /// Pulp.
    Pulp,
    /// An implant's abutment.
    Abutment,
    /// What is made.
    Restoration,
    /// Veneer of what is made.
    Veneer,
    /// Outline of the tooth before.
    Before,
}

impl Tissue {
    fn label(self) -> &'static str {
        match self {
            Self::Enamel => "enamel",
            Self::Dentine => "dentine",
            Self::Pulp => "pulp",
            Self::Abutment => "abutment of the implant",
            Self::Restoration => "restoration",
            Self::Veneer => "veneer",
            Self::Before => "tooth before (dotted)",
        }
    }

    fn fill(self) -> Fill {
        match self {
            Self::Enamel => Fill::Ink(Ink::Ground),
            Self::Dentine => Fill::Ink(Ink::Hair),
            Self::Pulp | Self::Abutment => Fill::Ink(Ink::Mark),
            Self::Restoration => Fill::Ink(Ink::AccentMid),
            Self::Veneer => Fill::Ink(Ink::AccentFaint),
            Self::Before => Fill::Hollow,
        }
    }
}

/// A cut: outlines in painter's order, hindmost first, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct CutPicture {
    /// The finding, as a sentence.
    pub title: String,
    /// Where the cut runs.
    pub plane: String,
    /// Outlines.
    pub outlines: Vec<(Tissue, Vec<Vec<[f64; 2]>>)>,
    /// Data beside the picture: what and how much.
    pub data: Vec<(String, String)>,
}

const PX_PER_MM: f64 = 16.0;
const LEFT: f64 = 24.0;

/// Draws a cut at 16 px to the millimetre, with a bar of 5 mm.
///
/// # Errors
/// Nothing to draw.
pub fn cut_scene(picture: &CutPicture) -> Result<Scene, Undrawable> {
    let all = || picture.outlines.iter().flat_map(|(_, l)| l.iter().flatten());
    if all().next().is_none() {
        return Err(Undrawable::Empty { what: "outlines".to_owned() });
    }
    let over = |axis: usize, f: fn(f64, f64) -> f64, from: f64| all().map(|p| p[axis]).fold(from, f);
    let (u0, u1) = (over(0, f64::min, f64::INFINITY), over(0, f64::max, f64::NEG_INFINITY));
    let (v0, v1) = (over(1, f64::min, f64::INFINITY), over(1, f64::max, f64::NEG_INFINITY));
    let scale = PX_PER_MM.min((picture::WIDTH - 190.0) / (u1 - u0).max(1.0));
    let at = |p: &[f64; 2]| [LEFT + (p[0] - u0) * scale, 12.0 + (v1 - p[1]) * scale];
    let mut table = Table::new(["what", "how much"]);
    picture.data.iter().for_each(|(a, b)| table.row([a.clone(), b.clone()]));
    let described = format!("{}, to scale; {}.", picture.plane, labels(picture).join(", "));
    let mut scene = Scene::new(&picture.title, &described, table);
    for (tissue, loops) in &picture.outlines {
        for points in loops.iter().filter(|l| l.len() > 2) {
            let pen = if *tissue == Tissue::Before {
                Pen::dotted(Ink::Rule, 1.5)
            } else {
                Pen::solid(Ink::Text, if *tissue == Tissue::Restoration { 1.2 } else { 0.8 })
            };
            let points = points.iter().map(at).collect();
            scene.add(Mark::Polygon { points, fill: tissue.fill(), edge: Some(pen) });
        }
    }
    let x = LEFT + (u1 - u0) * scale + 22.0;
    let mut y = 26.0;
    let mut told = Vec::new();
    for (tissue, _) in picture.outlines.iter().filter(|(_, l)| !l.is_empty()) {
        if told.contains(tissue) {
            continue;
        }
        told.push(*tissue);
        let edge = if *tissue == Tissue::Before { Pen::dotted(Ink::Rule, 1.5) } else { Pen::solid(Ink::Text, 0.8) };
        scene.add(Mark::Rect { at: [x, y - 10.0], size: [14.0, 12.0], fill: tissue.fill(), edge: Some(edge) });
        scene.write(Text::new([x + 20.0, y], tissue.label(), picture::WIDTH - x - 20.0));
        y += 20.0;
    }
    let bar = [x, y + 14.0];
    scene.add(Mark::line(bar, [bar[0] + 5.0 * scale, bar[1]], Pen::solid(Ink::Text, 2.0)));
    scene.write(Text::new([x, y + 32.0], "5 mm", 80.0));
    let foot = (12.0 + (v1 - v0) * scale).max(y + 40.0) + 18.0;
    scene.write(Text::new([LEFT, foot], NOT_TO_CUT_TO, picture::WIDTH - LEFT).ink(Ink::Quiet));
    Ok(scene.closed())
}

/// What every picture says.
pub const NOT_TO_CUT_TO: &str = "An average form, not this tooth: to look at and measure, not to cut to.";

fn labels(picture: &CutPicture) -> Vec<&'static str> {
    let mut found = Vec::new();
    for (tissue, loops) in &picture.outlines {
        if !loops.is_empty() && !found.contains(&tissue.label()) {
            found.push(tissue.label());
        }
    }
    found
}

/// A map of depth seen from one side.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthSide {
    /// Which side.
    pub side: String,
    /// Edge of a square, mm.
    pub cell: f64,
    /// Squares in a row.
    pub columns: usize,
    /// Depth, mm, row by row from below; `None` beside the tooth.
    pub values: Vec<Option<f64>>,
}

/// Depth from several sides in one picture with one scale.
///
/// # Errors
/// Nothing to draw.
pub fn depth_scene(title: &str, sides: &[DepthSide]) -> Result<Scene, Undrawable> {
    let deepest = sides.iter().flat_map(|s| s.values.iter().flatten()).fold(0.0f64, |m, v| m.max(*v));
    if sides.iter().all(|s| s.values.iter().all(Option::is_none)) {
        return Err(Undrawable::Empty { what: "squares".to_owned() });
    }
    let steps = Steps::nice([0.0, deepest.max(0.5)], 6);
    let mut table = Table::new(["seen from", "deepest", "mean of what is cut"]);
    for s in sides {
        let cut: Vec<f64> = s.values.iter().flatten().copied().filter(|v| *v > 0.05).collect();
        let mean = if cut.is_empty() { 0.0 } else { cut.iter().sum::<f64>() / cut.len() as f64 };
        let most = cut.iter().fold(0.0f64, |m, v| m.max(*v));
        table.row([s.side.clone(), format!("{} mm", figure(most, 1)), format!("{} mm", figure(mean, 1))]);
    }
    let described = format!(
        "Depth taken away, seen from {}.",
        sides.iter().map(|s| s.side.as_str()).collect::<Vec<_>>().join(", ")
    );
    let mut scene = Scene::new(title, &described, table);
    let widths: Vec<f64> = sides.iter().map(|s| s.columns as f64 * s.cell).collect();
    let scale = (0.5 * (picture::WIDTH - 3.0 * LEFT) / widths.iter().copied().fold(1.0, f64::max)).min(14.0);
    let (mut y, mut low) = (20.0, 20.0f64);
    for (n, side) in sides.iter().enumerate() {
        let x = LEFT + (n % 2) as f64 * 0.5 * (picture::WIDTH - LEFT);
        if n % 2 == 0 && n > 0 {
            y = low + 26.0;
        }
        scene.write(Text::new([x, y], &side.side, 200.0));
        low = low.max(y + 8.0 + squares(&mut scene, side, [x, y + 8.0], scale, &steps));
    }
    legend(&mut scene, &steps, low + 22.0);
    scene.write(Text::new([LEFT, low + 64.0], NOT_TO_CUT_TO, picture::WIDTH - LEFT).ink(Ink::Quiet));
    Ok(scene.closed())
}

/// Runs of squares of one step as bars; returns the height drawn.
fn squares(scene: &mut Scene, side: &DepthSide, at: [f64; 2], scale: f64, steps: &Steps) -> f64 {
    let rows = side.values.len() / side.columns.max(1);
    let px = side.cell * scale;
    for j in 0..rows {
        let row = &side.values[j * side.columns..(j + 1) * side.columns];
        let y = at[1] + (rows - 1 - j) as f64 * px;
        let mut from = 0;
        while from < row.len() {
            let Some(step) = row[from].map(|v| step_of(steps, v)) else {
                from += 1;
                continue;
            };
            let run = row[from..].iter().take_while(|v| v.map(|v| step_of(steps, v)) == Some(step)).count();
            let fill = Fill::Own(ColourMap::OneWay.at(share(steps, step)));
            // Half a px of overlap hides the seams between bars.
            scene.add(Mark::Rect {
                at: [at[0] + from as f64 * px, y],
                size: [run as f64 * px + 0.5, px + 0.5],
                fill,
                edge: None,
            });
            from += run;
        }
    }
    rows as f64 * px
}

fn legend(scene: &mut Scene, steps: &Steps, y: f64) {
    let bounds = steps.bounds();
    for k in 0..bounds.len() - 1 {
        let x = LEFT + k as f64 * 56.0;
        let fill = Fill::Own(ColourMap::OneWay.at(share(steps, k)));
        scene.add(Mark::Rect { at: [x, y - 10.0], size: [56.0, 12.0], fill, edge: Some(Pen::solid(Ink::Rule, 0.5)) });
    }
    for (k, b) in bounds.iter().enumerate() {
        let unit = if k + 1 == bounds.len() { " mm taken away" } else { "" };
        let words = format!("{}{unit}", figure(*b, if bounds.len() > 6 { 2 } else { 1 }));
        scene.write(Text::new([LEFT + k as f64 * 56.0, y + 16.0], &words, 140.0));
    }
}

/// The step a depth falls in; depths beyond fall in the outermost.
fn step_of(steps: &Steps, depth: f64) -> usize {
    let bounds = steps.bounds();
    bounds[1..bounds.len() - 1].partition_point(|b| *b <= depth)
}

/// Share of the colour map for a step.
fn share(steps: &Steps, step: usize) -> f64 {
    step as f64 / (steps.bounds().len() - 2).max(1) as f64
}
