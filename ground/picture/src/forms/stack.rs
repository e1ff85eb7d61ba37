//! A stack of layers in section, to scale: what is seen from above on top, what lies beneath at the bottom, thicknesses beside a rule.

use super::rows::ROW;
use crate::axis::figure;
use crate::measure::{clean, wrap};
use crate::scene::TYPE;
use crate::{Fill, Ink, Mark, Pen, Rgb, Scene, Table, Text, Undrawable, WIDTH, all_finite, matching, not_empty};

/// A layer.
#[derive(Debug, Clone, PartialEq)]
pub struct StackLayer {
    /// Its name.
    pub label: String,
    /// Thickness, in the unit of the stack.
    pub thickness: f64,
    /// Its own colour.
    pub colour: Rgb,
}

/// Layers over a backing.
#[derive(Debug, Clone, PartialEq)]
pub struct StackSection {
    /// The finding, as a sentence.
    pub title: String,
    /// Unit of the thicknesses.
    pub unit: String,
    /// Layers, outermost first.
    pub layers: Vec<StackLayer>,
    /// Name and colour of what lies beneath.
    pub backing: (String, Rgb),
    /// Decimals of thicknesses.
    pub decimals: usize,
}

/// Height of all layers together, px.
const TALL: f64 = 8.0 * ROW;
/// Left and right edge of the section, px.
const BLOCK: [f64; 2] = [78.0, 234.0];

/// Draws the section.
///
/// # Errors
/// [`Undrawable`] without layers, or with a thickness that is not above zero.
pub fn stack_section(data: &StackSection) -> Result<Scene, Undrawable> {
    not_empty("layers", &data.layers)?;
    all_finite("layers", data.layers.iter().map(|l| l.thickness))?;
    matching("layers", data.layers.iter().all(|l| l.thickness > 0.0), "thicknesses are above zero")?;
    let whole: f64 = data.layers.iter().map(|l| l.thickness).sum();
    let words = |v: f64| format!("{} {}", figure(v, data.decimals), data.unit);
    let mut table = Table::new(["layer, from outside", "thickness"]);
    data.layers.iter().for_each(|l| table.row([l.label.clone(), words(l.thickness)]));
    table.row([format!("beneath: {}", data.backing.0), String::new()]);
    let told: Vec<String> = data.layers.iter().map(|l| format!("{} {}", l.label, words(l.thickness))).collect();
    let mut scene =
        Scene::new(&data.title, &format!("From outside: {}; beneath {}.", told.join(", "), data.backing.0), table);

    let [left, right] = BLOCK;
    let scale = TALL / whole;
    let mut y = ROW;
    let mut name_y = 0.0f64;
    for layer in &data.layers {
        let height = layer.thickness * scale;
        let rect = |fill, edge| Mark::Rect { at: [left, y], size: [right - left, height], fill, edge };
        scene.add(rect(Fill::Own(layer.colour), Some(Pen::solid(Ink::Rule, 1.0))));
        // Names of thin layers move down rather than over each other, with a line to their layer.
        let at = (y + height / 2.0).max(name_y);
        scene.add(Mark::line([right, y + height / 2.0], [right + 13.0, at], Pen::solid(Ink::Rule, 0.8)));
        let text = format!("{}, {}", layer.label, words(layer.thickness));
        scene.write(Text::new([right + 18.0, at + 4.0], &text, WIDTH - right - 18.0));
        name_y = at + ROW;
        y += height;
    }
    scene.add(Mark::Rect {
        at: [left, y],
        size: [right - left, 2.0 * ROW],
        fill: Fill::Own(data.backing.1),
        edge: Some(Pen::solid(Ink::Rule, 1.0)),
    });
    let room = WIDTH - right - 18.0;
    let beneath = wrap(&clean(&format!("beneath: {}", data.backing.0)), TYPE, false, room, 2);
    let at = (y + ROW * (1.5 - 0.5 * beneath.len() as f64)).max(name_y);
    for (i, line) in beneath.iter().enumerate() {
        scene.write(Text::new([right + 18.0, at + 4.0 + ROW * i as f64], line, room));
    }
    // The rule beside the layers gives the whole.
    let x = left - 10.0;
    scene.add(Mark::line([x, ROW], [x, y], Pen::solid(Ink::Text, 1.0)));
    for end in [ROW, y] {
        scene.add(Mark::line([x - 3.0, end], [x + 3.0, end], Pen::solid(Ink::Text, 1.0)));
    }
    scene.write(Text::new([0.0, ROW + TALL / 2.0 + 4.0], &words(whole), x - 4.0));
    scene.write(Text::new([left, 10.0], "seen from here", right - left).ink(Ink::Quiet));
    Ok(scene.closed())
}
