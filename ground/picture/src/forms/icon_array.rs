//! Icon arrays: 100 figures a group, filled row by row; the same denominator for every group; told apart by fill, not by colour.

use super::rows::ROW;
use crate::measure::{clean, wrap};
use crate::scene::{TYPE, WIDTH};
use crate::{Group, Ink, Mark, Scene, Shape, Table, Text, Undrawable, matching, not_empty};

/// Figures a row.
const ACROSS: usize = 10;
/// Distance of figures in a row, px: two cells.
const STEP: f64 = 13.0;
/// Denominator of every group.
const OF: u32 = 100;

/// One group of 100.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IconGroup {
    /// What the group stands for.
    pub label: String,
    /// How many of 100 it happens to.
    pub filled: u32,
    /// The sentence beside it.
    pub sentence: String,
}

/// Groups side by side, two a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IconArray {
    /// The finding, as a sentence.
    pub title: String,
    /// What happens to the filled ones.
    pub event: String,
    /// The groups.
    pub groups: Vec<IconGroup>,
}

/// Draws 100 figures for each group.
///
/// # Errors
/// [`Undrawable`] without groups or when more than 100 of 100 are filled.
pub fn icon_array(data: &IconArray) -> Result<Scene, Undrawable> {
    not_empty("groups", &data.groups)?;
    matching("filled", data.groups.iter().all(|g| g.filled <= OF), "at most 100 of 100 figures can be filled")?;
    let mut table = Table::new(["", data.event.as_str(), "of"]);
    data.groups.iter().for_each(|g| table.row([g.label.clone(), g.filled.to_string(), OF.to_string()]));
    let told: Vec<String> = data.groups.iter().map(|g| format!("{}: {} of {OF}", g.label, g.filled)).collect();
    let mut scene = Scene::new(&data.title, &format!("{}. {}.", data.event, told.join("; ")), table);

    let (mut top, mut tallest) = (0.0, 0.0f64);
    for (i, group) in data.groups.iter().enumerate() {
        if i % 2 == 0 && i > 0 {
            top += tallest + ROW;
            tallest = 0.0;
        }
        let (marks, height) = people(group);
        tallest = tallest.max(height);
        scene.add(Mark::Group(Group { at: [if i % 2 == 0 { 0.0 } else { WIDTH / 2.0 }, top], marks }));
    }
    Ok(scene.closed())
}

/// Label, figures and, beside them, the sentence of one group, with their height.
fn people(group: &IconGroup) -> (Vec<Mark>, f64) {
    let room = WIDTH / 2.0 - 13.0;
    let mut marks = vec![Mark::Text(Text::new([0.0, 12.0], &group.label, room).bold(room))];
    for i in 0..OF as usize {
        let at = [(i % ACROSS) as f64 * STEP + 6.5, ((i / ACROSS) as f64 + 1.5) * ROW];
        let filled = i < group.filled as usize;
        let (shape, ink) = if filled { (Shape::Person, Ink::Accent) } else { (Shape::PersonHollow, Ink::Rule) };
        marks.push(Mark::Point { at, radius: 6.8, shape, ink });
    }
    let left = ACROSS as f64 * STEP + 6.5;
    for (line, words) in wrap(&clean(&group.sentence), TYPE, false, room - left, 10).iter().enumerate() {
        marks.push(Mark::Text(Text::new([left, (line as f64 + 1.0) * ROW + 12.0], words, room - left)));
    }
    (marks, (OF as usize / ACROSS + 1) as f64 * ROW)
}
