//! The arch drawn in ink: every tooth in its true width and depth, numbered by ISO 3950; a crown is an outline, a pontic hollow, a
//! connector a bar; no colour by material.
//!
//! Teeth stand along the beta curve of Braun, Hnat, Fender and Legan 1998 (The Angle Orthodontist 68:29-36; from memory):
//! `y = 3.0314 D (1/2 + x/W)^0.8 (1/2 - x/W)^0.8`, W width and D depth of the arch at the last molars. Here D/W is fixed at 0.8 and W
//! solved so that the curve is as long as the teeth are wide together. A picture to find one's way by, not a measurement.
//!
//! The upper jaw is drawn with its front teeth above, the lower with them below, the patient's right on the left.

use answer::six_figures;
use catalogue::words::{Jaw, Tooth, ToothClass};
use picture::{Anchor, Fill, Ink, Mark, Pen, Scene, Shape, Spot, Table, Text, Undrawable, WIDTH};

/// What stands at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// A tooth that is left alone.
    Tooth,
    /// A tooth that gets a crown or holds a bridge.
    Crown,
    /// A tooth covered in part: onlay, veneer, wing.
    Part,
    /// A hanging tooth without root.
    Pontic,
    /// A crown on an implant.
    Implant,
    /// Nothing.
    Gap,
}

impl Stands {
    fn words(self) -> &'static str {
        match self {
            Self::Tooth => "tooth",
            Self::Crown => "crown",
            Self::Part => "covered in part",
            Self::Pontic => "pontic",
            Self::Implant => "crown on an implant",
            Self::Gap => "gap",
        }
    }
}

/// One place of the arch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unit {
    /// Its tooth.
    pub tooth: Tooth,
    /// Width along the arch, mm.
    pub width_mm: f64,
    /// Depth across the arch, mm.
    pub depth_mm: f64,
    /// What stands there.
    pub stands: Stands,
}

/// An arch to be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Arch {
    /// The finding, as a sentence.
    pub title: String,
    /// The teeth of one jaw, in any order.
    pub units: Vec<Unit>,
    /// Neighbours that are joined.
    pub joined: Vec<(Tooth, Tooth)>,
}

/// Depth of the arch over its width.
const DEPTH: f64 = 0.8;
/// Left of the drawing area, px; room for numbers of the last teeth.
const LEFT: f64 = 26.0;
/// Width of the drawing area, px.
const ACROSS: f64 = 280.0;
/// Pieces of the curve for its length.
const PIECES: usize = 2000;

/// Draws one jaw.
///
/// # Errors
/// [`Undrawable`] without teeth, with teeth of two jaws or one twice, or with a width or depth that is not between 1 and 30 mm.
pub fn arch(data: &Arch) -> Result<Scene, Undrawable> {
    let units = checked(data)?;
    let jaw = units[0].tooth.jaw();
    let mut scene = Scene::new(&data.title, &description(&units, &data.joined), table(&units));
    let places = along(&units);
    let (scale, to_px) = frame(&units, &places, jaw);

    let mut tops = Vec::new();
    for (unit, place) in units.iter().zip(&places) {
        tooth(&mut scene, unit, place, scale, &to_px);
        tops.push(place.outward(unit.depth_mm * 0.5 + 16.0 / scale));
    }
    for (a, b) in &data.joined {
        connector(&mut scene, &units, &places, (*a, *b), scale, &to_px);
    }
    for (unit, top) in units.iter().zip(tops) {
        let [x, y] = to_px(top);
        let text = Text::new([x, y + 4.0], &unit.tooth.code().to_string(), 24.0).anchored(Anchor::Middle);
        scene.write(if matches!(unit.stands, Stands::Tooth | Stands::Gap) {
            text.ink(Ink::Quiet)
        } else {
            text.bold(26.0)
        });
    }
    legend(&mut scene, &units, &data.joined, jaw);
    Ok(scene.closed())
}

fn checked(data: &Arch) -> Result<Vec<Unit>, Undrawable> {
    let fail = |expected: &str| Err(Undrawable::Mismatch { what: "arch".to_owned(), expected: expected.to_owned() });
    let mut units = data.units.clone();
    let Some(first) = units.first() else { return Err(Undrawable::Empty { what: "arch".to_owned() }) };
    let jaw = first.tooth.jaw();
    if units.iter().any(|u| u.tooth.jaw() != jaw) {
        return fail("the teeth of one jaw");
    }
    if !units.iter().all(|u| (1.0..=30.0).contains(&u.width_mm) && (1.0..=30.0).contains(&u.depth_mm)) {
        return fail("widths and depths between 1 and 30 mm");
    }
    units.sort_by_key(|u| u.tooth.place());
    if units.windows(2).any(|p| p[0].tooth == p[1].tooth) {
        return fail("each tooth once");
    }
    Ok(units)
}

/// Where a tooth stands: its middle on the curve and the way outwards, mm.
struct Place {
    middle: Spot,
    out: Spot,
}

impl Place {
    /// A place that far outwards of the middle, mm.
    fn outward(&self, by: f64) -> Spot {
        [self.middle[0] + by * self.out[0], self.middle[1] + by * self.out[1]]
    }

    /// From the tooth's own frame (along the arch to the patient's left, outwards), mm.
    fn placed(&self, [along, out]: Spot) -> Spot {
        let side = [self.out[1], -self.out[0]];
        [self.middle[0] + along * side[0] + out * self.out[0], self.middle[1] + along * side[1] + out * self.out[1]]
    }
}

/// The beta curve of unit width: `u` from 0 to 1 across.
fn beta(u: f64) -> Spot {
    [u - 0.5, 3.0314 * DEPTH * (u * (1.0 - u)).max(0.0).powf(0.8)]
}

/// Middles of all teeth along the curve. The curve is sampled densely towards its ends, where it is steep.
fn along(units: &[Unit]) -> Vec<Place> {
    let line: Vec<Spot> =
        (0..=PIECES).map(|i| beta(0.5 - 0.5 * (std::f64::consts::PI * i as f64 / PIECES as f64).cos())).collect();
    let mut lengths = vec![0.0];
    for pair in line.windows(2) {
        let step = (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]);
        lengths.push(lengths.last().copied().unwrap_or(0.0) + step);
    }
    let whole: f64 = units.iter().map(|u| u.width_mm).sum();
    let size = whole / lengths.last().copied().unwrap_or(1.0);
    let mut done = 0.0;
    units
        .iter()
        .map(|unit| {
            let at = (done + unit.width_mm / 2.0) / size;
            done += unit.width_mm;
            let i = lengths.partition_point(|l| *l < at).clamp(1, PIECES);
            // The way along, over about a tooth's half width, so that a tooth follows the arch and not a sample.
            let reach = unit.width_mm / 4.0 / size;
            let [a, b] = [at - reach, at + reach].map(|l| line[lengths.partition_point(|x| *x < l).min(PIECES)]);
            let length = (b[0] - a[0]).hypot(b[1] - a[1]).max(1e-9);
            let out = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
            Place { middle: [line[i][0] * size, line[i][1] * size], out }
        })
        .collect()
}

/// Scale in px a mm, and the way from mm (front up) to px.
fn frame(units: &[Unit], places: &[Place], jaw: Jaw) -> (f64, impl Fn(Spot) -> Spot + use<>) {
    let corners: Vec<Spot> = units
        .iter()
        .zip(places)
        .flat_map(|(u, p)| {
            [
                p.outward(u.depth_mm / 2.0),
                p.outward(-u.depth_mm / 2.0),
                p.placed([u.width_mm / 2.0, 0.0]),
                p.placed([-u.width_mm / 2.0, 0.0]),
            ]
        })
        .collect();
    let bound = |k: usize, pick: fn(f64, f64) -> f64, start: f64| corners.iter().map(|c| c[k]).fold(start, pick);
    let (left, right) = (bound(0, f64::min, f64::MAX), bound(0, f64::max, f64::MIN));
    let (low, high) = (bound(1, f64::min, f64::MAX), bound(1, f64::max, f64::MIN));
    // A few teeth alone are not blown up beyond what a whole arch of 60 mm would be.
    let scale = ACROSS / (right - left).max(60.0);
    let middle = (left + right) / 2.0;
    let to_px = move |p: Spot| {
        let y = if jaw == Jaw::Upper { high - p[1] } else { p[1] - low };
        // The lower jaw is turned over: its front points down, its back up.
        let y = if jaw == Jaw::Upper { y } else { y + 2.0 };
        [LEFT + ACROSS / 2.0 + (p[0] - middle) * scale, 26.0 + y * scale]
    };
    (scale, to_px)
}

/// Outline of a tooth from above in its own frame, in half widths and half depths.
fn outline(class: ToothClass) -> &'static [Spot] {
    match class {
        ToothClass::Molar => &[
            [-0.62, 0.93],
            [0.0, 0.86],
            [0.62, 0.93],
            [0.95, 0.5],
            [0.93, -0.5],
            [0.6, -0.93],
            [0.0, -0.88],
            [-0.6, -0.93],
            [-0.93, -0.5],
            [-0.95, 0.5],
        ],
        ToothClass::Premolar => &[
            [0.0, 0.97],
            [0.7, 0.7],
            [0.95, 0.1],
            [0.65, -0.72],
            [0.0, -0.97],
            [-0.65, -0.72],
            [-0.95, 0.1],
            [-0.7, 0.7],
        ],
        ToothClass::Canine => &[
            [0.0, 0.98],
            [0.62, 0.62],
            [0.95, 0.05],
            [0.5, -0.7],
            [0.0, -0.97],
            [-0.5, -0.7],
            [-0.95, 0.05],
            [-0.62, 0.62],
        ],
        ToothClass::CentralIncisor | ToothClass::LateralIncisor => &[
            [0.0, 0.97],
            [0.65, 0.8],
            [0.96, 0.3],
            [0.55, -0.45],
            [0.0, -0.96],
            [-0.55, -0.45],
            [-0.96, 0.3],
            [-0.65, 0.8],
        ],
    }
}

fn tooth(scene: &mut Scene, unit: &Unit, place: &Place, scale: f64, to_px: &impl Fn(Spot) -> Spot) {
    // A little air between neighbours keeps their outlines apart.
    let half = [unit.width_mm / 2.0 - 0.9 / scale, unit.depth_mm / 2.0];
    let points: Vec<Spot> =
        outline(unit.tooth.class()).iter().map(|[u, v]| to_px(place.placed([u * half[0], v * half[1]]))).collect();
    let (fill, edge) = match unit.stands {
        Stands::Tooth => (Fill::Ink(Ink::Soft), Pen::solid(Ink::Rule, 0.8)),
        Stands::Crown | Stands::Implant => (Fill::Ink(Ink::Soft), Pen::solid(Ink::Text, 2.6)),
        Stands::Part => (Fill::Ink(Ink::Soft), Pen::dashed(Ink::Text, 2.0)),
        Stands::Pontic => (Fill::Hollow, Pen::solid(Ink::Text, 1.4)),
        Stands::Gap => (Fill::Hollow, Pen::dotted(Ink::Rule, 1.2)),
    };
    scene.add(Mark::Outline { points, fill, edge: Some(edge) });
    if unit.stands == Stands::Implant {
        scene.add(Mark::Point { at: to_px(place.middle), radius: 5.0, shape: Shape::Ring, ink: Ink::Text });
    }
}

/// A bar from one middle towards the other, over the touching sides.
fn connector(
    scene: &mut Scene,
    units: &[Unit],
    places: &[Place],
    (a, b): (Tooth, Tooth),
    scale: f64,
    to_px: &impl Fn(Spot) -> Spot,
) {
    let find = |t: Tooth| units.iter().position(|u| u.tooth == t);
    let (Some(i), Some(j)) = (find(a), find(b)) else { return };
    let (from, to) = (places[i].middle, places[j].middle);
    let length = (to[0] - from[0]).hypot(to[1] - from[1]).max(1e-9);
    let share = units[i].width_mm / (units[i].width_mm + units[j].width_mm);
    let reach = 1.9 / length;
    let at = |t: f64| to_px([from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])]);
    scene.add(Mark::line(at(share - reach), at(share + reach), Pen::solid(Ink::Text, (1.6 * scale).clamp(4.0, 9.0))));
}

/// What is planned, in words, beside the arch; and where right and left are.
fn legend(scene: &mut Scene, units: &[Unit], joined: &[(Tooth, Tooth)], jaw: Jaw) {
    let x = LEFT + ACROSS + 45.0;
    let room = WIDTH - x;
    let mut y = 28.0;
    for unit in units.iter().filter(|u| u.stands != Stands::Tooth) {
        let word = format!("{} {}", unit.tooth.code(), unit.stands.words());
        scene.write(Text::new([x, y], &word, room));
        y += 16.0;
    }
    if !joined.is_empty() {
        let word = if joined.len() == 1 {
            "bar: 1 connector".to_owned()
        } else {
            format!("bars: {} connectors", joined.len())
        };
        scene.write(Text::new([x, y], &word, room).ink(Ink::Quiet));
        y += 16.0;
    }
    for line in [
        format!("{} jaw", if jaw == Jaw::Upper { "upper" } else { "lower" }),
        "the patient's right".to_owned(),
        "is on the left".to_owned(),
    ] {
        scene.write(Text::new([x, y + 8.0], &line, room).ink(Ink::Quiet));
        y += 16.0;
    }
}

fn description(units: &[Unit], joined: &[(Tooth, Tooth)]) -> String {
    let planned: Vec<String> = units
        .iter()
        .filter(|u| u.stands != Stands::Tooth)
        .map(|u| format!("{} {}", u.tooth.code(), u.stands.words()))
        .collect();
    let bars: Vec<String> = joined.iter().map(|(a, b)| format!("{} to {}", a.code(), b.code())).collect();
    let bars = if bars.is_empty() { String::new() } else { format!("; connectors {}", bars.join(", ")) };
    let planned = if planned.is_empty() { "nothing planned".to_owned() } else { planned.join(", ") };
    format!("The arch from above: {planned}{bars}.")
}

fn table(units: &[Unit]) -> Table {
    let mut table = Table::new(["tooth", "stands there", "width mm", "depth mm"]);
    for u in units {
        let [w, d] = [u.width_mm, u.depth_mm].map(|v| six_figures(v).to_string());
        table.row([u.tooth.code().to_string(), u.stands.words().to_owned(), w, d]);
    }
    table
}
