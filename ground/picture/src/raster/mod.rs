//! Surfaces as pictures: facets with a value each, seen from a side, with a stepped legend, contours and marked spots.
//!
//! Knows no body: takes places, facets, and a value at each place or facet. Parallel projection on a depth buffer, four samples a pixel, light
//! from the eye. Colours come in steps of a [`ColourMap`]; a thin dark line runs where one step meets the next (the contour). Places without a
//! value are grey, insides (seen through holes) darker grey. Same data, same bytes.

mod canvas;
mod depth;
mod font;
mod map;
mod steps;

pub use canvas::Canvas;
pub use map::ColourMap;
pub use steps::Steps;

use crate::palette::{Ink, Rgb, Theme};
use crate::{Undrawable, all_finite, matching, not_empty};
use depth::{Frame, Seen};

/// Values of a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SurfaceValues<'a> {
    /// None: the shape alone.
    Plain,
    /// One at each place, `None` where unknown.
    AtPoints(&'a [Option<f64>]),
    /// One a facet, `None` where unknown.
    AtFacets(&'a [Option<f64>]),
}

/// From where to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    /// Direction from the surface to the eye.
    pub from: [f64; 3],
    /// What is up in the picture.
    pub up: [f64; 3],
}

/// A spot to mark.
#[derive(Debug, Clone, PartialEq)]
pub struct MarkedSpot {
    /// Where.
    pub place: [f64; 3],
    /// Its number with unit, short.
    pub label: String,
}

/// How to draw a surface.
#[derive(Debug, Clone, PartialEq)]
pub struct SurfacePicture {
    /// Width and height, pixels (at least 240 x 160).
    pub size: [usize; 2],
    /// From where.
    pub view: View,
    /// Colours.
    pub map: ColourMap,
    /// Steps of the legend; `None` for nice ones over all values.
    pub steps: Option<Steps>,
    /// What the values are, without unit.
    pub quantity: String,
    /// Their unit.
    pub unit: String,
    /// Spots to mark.
    pub spots: Vec<MarkedSpot>,
}

const LEGEND: usize = 176;
const TEXT: usize = 2;

/// The picture of a surface.
///
/// # Errors
/// Nothing to draw, figures that are not finite, lists that do not belong together, a view without direction, a picture too small.
pub fn surface_picture(
    points: &[[f64; 3]],
    facets: &[[u32; 3]],
    values: SurfaceValues,
    how: &SurfacePicture,
) -> Result<Canvas, Undrawable> {
    not_empty("facets", facets)?;
    all_finite("places", points.iter().flatten().copied())?;
    let named = facets.iter().flatten().all(|v| (*v as usize) < points.len());
    matching("facets", named, "only places that there are")?;
    let (given, wanted) = match values {
        SurfaceValues::Plain => (&[][..], 0),
        SurfaceValues::AtPoints(v) => (v, points.len()),
        SurfaceValues::AtFacets(v) => (v, facets.len()),
    };
    matching("values", given.len() == wanted, "one for each place, or one for each facet")?;
    all_finite("values", given.iter().flatten().copied())?;
    matching("size", how.size[0] >= 240 && how.size[1] >= 160, "240 x 160 pixels or more")?;
    matching("size", how.size[0] * how.size[1] <= 16_000_000, "16 million pixels or fewer")?;
    let steps = match (&how.steps, range(given)) {
        (Some(steps), _) => Some(steps.clone()),
        (None, Some(range)) => Some(Steps::nice(range, 8)),
        (None, None) => None,
    };
    let side = if steps.is_some() { LEGEND } else { 0 };
    let window = [how.size[0] - side, how.size[1]].map(|x| 2 * x);
    let frame = Frame::fit(points, &how.view, window)?;
    let seen = depth::seen(points, facets, &values, &frame, window);
    let mut canvas = Canvas::new(how.size[0], how.size[1], Ink::Ground.rgb(Theme::Light));
    paint(&mut canvas, &seen, window, steps.as_ref(), how.map);
    for spot in &how.spots {
        mark(&mut canvas, spot, &frame, &seen, window);
    }
    if let Some(steps) = &steps {
        legend(&mut canvas, steps, how);
    }
    canvas.alternative = words(given, steps.as_ref(), how);
    Ok(canvas)
}

fn range(values: &[Option<f64>]) -> Option<[f64; 2]> {
    values.iter().flatten().fold(None, |range, v| match range {
        None => Some([*v, *v]),
        Some([low, high]) => Some([low.min(*v), high.max(*v)]),
    })
}

/// Colour of a sample without its contour.
fn colour(s: &Seen, steps: Option<&Steps>, inks: &[Rgb]) -> Rgb {
    let base = match (s.value, steps) {
        (Some(v), Some(steps)) if s.outside => inks[steps.step(v)],
        _ if s.outside => Rgb(0xc8, 0xc8, 0xc8),
        _ => Rgb(0x8c, 0x8c, 0x8c),
    };
    let light = 0.72 + 0.28 * s.facing;
    Rgb(lit(base.0, light), lit(base.1, light), lit(base.2, light))
}

fn lit(channel: u8, light: f64) -> u8 {
    (f64::from(channel) * light).round() as u8
}

fn paint(canvas: &mut Canvas, seen: &[Option<Seen>], window: [usize; 2], steps: Option<&Steps>, map: ColourMap) {
    let ground = Ink::Ground.rgb(Theme::Light);
    let inks: Vec<Rgb> = steps.map_or(Vec::new(), |s| (0..s.count()).map(|k| map.at(s.share(k))).collect());
    let step = |s: &Option<Seen>| s.as_ref().filter(|s| s.outside).and_then(|s| Some(steps?.step(s.value?)));
    for y in 0..window[1] / 2 {
        for x in 0..window[0] / 2 {
            let mut sum = [0u32; 3];
            for (dx, dy) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
                let (sx, sy) = (2 * x + dx, 2 * y + dy);
                let at = sx + window[0] * sy;
                let here = &seen[at];
                let beside =
                    |ok: bool, n: usize| ok && matches!((step(here), step(&seen[n])), (Some(a), Some(b)) if a != b);
                let line = beside(sx + 1 < window[0], at + 1)
                    || beside(sx > 0, at.saturating_sub(1))
                    || beside(sy + 1 < window[1], at + window[0])
                    || beside(sy > 0, at.saturating_sub(window[0]));
                let c = match here {
                    Some(_) if line => Rgb(0x30, 0x30, 0x30),
                    Some(s) => colour(s, steps, &inks),
                    None => ground,
                };
                sum = [sum[0] + u32::from(c.0), sum[1] + u32::from(c.1), sum[2] + u32::from(c.2)];
            }
            let [r, g, b] = sum.map(|s| ((s + 2) / 4) as u8);
            canvas.set(x as i64, y as i64, Rgb(r, g, b));
        }
    }
}

fn mark(canvas: &mut Canvas, spot: &MarkedSpot, frame: &Frame, seen: &[Option<Seen>], window: [usize; 2]) {
    let p = frame.project(spot.place);
    let inside = p[0] >= 0.0 && p[1] >= 0.0 && p[0] < window[0] as f64 && p[1] < window[1] as f64;
    let slack = 6.0 / frame.scale();
    let hidden = inside && seen[p[0] as usize + window[0] * p[1] as usize].is_some_and(|s| s.depth > p[2] + slack);
    let (text, paper) = (Ink::Text.rgb(Theme::Light), Ink::Ground.rgb(Theme::Light));
    let centre = [0.5 * p[0], 0.5 * p[1]];
    canvas.ring(centre, 5.0, 9.5, paper);
    canvas.ring(centre, 6.0, 8.5, text);
    if !hidden {
        canvas.ring(centre, 0.0, 1.5, text);
    }
    let label = if hidden { format!("{} (behind)", spot.label) } else { spot.label.clone() };
    let wide = (font::width(&label, TEXT) + 8) as i64;
    let right = centre[0] as i64 + 12 + wide < (window[0] / 2) as i64;
    let x = if right { centre[0] as i64 + 12 } else { centre[0] as i64 - 12 - wide };
    let y = (centre[1] as i64 - 11).clamp(0, (window[1] / 2) as i64 - 22);
    canvas.block([x - 1, y - 1], [wide + 2, 24], text);
    canvas.block([x, y], [wide, 22], paper);
    font::write(canvas, &label, [x + 5, y + 3], TEXT, text);
}

fn legend(canvas: &mut Canvas, steps: &Steps, how: &SurfacePicture) {
    let text = Ink::Text.rgb(Theme::Light);
    let left = (how.size[0] - LEGEND + 12) as i64;
    let letters = (LEGEND - 16) / font::width("x", TEXT);
    let mut y = 10;
    let title = format!("{}, {}", how.quantity, how.unit);
    for line in wrapped(&title, letters) {
        font::write(canvas, &line, [left, y], TEXT, text);
        y += 20;
    }
    y += 8;
    let count = steps.count() as i64;
    let room = how.size[1] as i64 - y - 14;
    let tall = (room / count.max(1)).clamp(4, 34);
    for k in 0..count {
        // Greatest on top.
        let step = (count - 1 - k) as usize;
        canvas.block([left, y + k * tall], [28, tall], text);
        canvas.block([left + 1, y + k * tall + 1], [26, tall - 1], how.map.at(steps.share(step)));
    }
    canvas.block([left, y + count * tall], [28, 1], text);
    let every = (18 + tall - 1) / tall;
    for k in (0..=count).step_by(every.max(1) as usize) {
        let bound = steps.bounds()[(count - k) as usize];
        font::write(canvas, &steps.text(bound), [left + 36, y + k * tall - 7], TEXT, text);
    }
}

fn wrapped(text: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.chars().take(letters).collect()),
        }
    }
    lines
}

fn words(values: &[Option<f64>], steps: Option<&Steps>, how: &SurfacePicture) -> String {
    let (Some(steps), Some([low, high])) = (steps, range(values)) else {
        return "A surface, without values.".to_owned();
    };
    let unknown = values.iter().filter(|v| v.is_none()).count();
    let mut out = format!(
        "A surface coloured by {} in {}, from {} to {}, in steps of {}.",
        how.quantity,
        how.unit,
        steps.text(low),
        steps.text(high),
        steps.text(steps.bounds()[1] - steps.bounds()[0])
    );
    if unknown > 0 {
        out.push_str(&format!(" Unknown at {unknown} of {}, drawn grey.", values.len()));
    }
    for spot in &how.spots {
        let [x, y, z] = spot.place;
        out.push_str(&format!(" Marked: {} at ({x:.2}, {y:.2}, {z:.2}).", spot.label));
    }
    out
}
