//! Swatches: the wished colour left, 25 draws of the prediction right as a 5 x 5 field, all touching, since the edge is what the
//! eye tests. Words give what a screen cannot: the figures.

use super::rows::ROW;
use crate::measure::{clean, wrap};
use crate::scene::{TYPE, WIDTH};
use crate::{Fill, Ink, Mark, Pen, Rgb, Scene, Table, Text, Undrawable, matching};

/// Side of a patch, px: two rows.
const PATCH: f64 = 2.0 * ROW;
/// Patches a side.
const SIDE: usize = 5;

/// A wish and the draws of what would be seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Swatches {
    /// The finding, as a sentence.
    pub title: String,
    /// The wished colour.
    pub wish: Rgb,
    /// The wish in words and figures.
    pub wish_words: String,
    /// 25 draws of the prediction, row by row.
    pub draws: Vec<Rgb>,
    /// The prediction in words and figures.
    pub draws_words: String,
    /// Further lines: difference, light, ground, what a screen can show.
    pub notes: Vec<String>,
}

/// Draws the swatches.
///
/// # Errors
/// [`Undrawable`] unless there are 25 draws.
pub fn swatches(data: &Swatches) -> Result<Scene, Undrawable> {
    matching("draws", data.draws.len() == SIDE * SIDE, "25 draws are shown")?;
    let mut table = Table::new(["", "in words", "on this screen"]);
    table.row(["wish".to_owned(), data.wish_words.clone(), data.wish.hex()]);
    let first = format!("{} \u{2026}", data.draws.iter().take(3).map(|d| d.hex()).collect::<Vec<_>>().join(" "));
    table.row(["prediction".to_owned(), data.draws_words.clone(), first]);
    data.notes.iter().for_each(|n| table.row(["", n]));
    let told = format!(
        "Left the wish, {}; right 25 draws of the prediction, {}. {}",
        data.wish_words,
        data.draws_words,
        data.notes.join(". ")
    );
    let mut scene = Scene::new(&data.title, &told, table);

    let side = PATCH * SIDE as f64;
    let patch = |at, size, rgb| Mark::Rect { at, size, fill: Fill::Own(rgb), edge: None };
    scene.add(patch([0.0, 0.0], [side, side], data.wish));
    for (i, draw) in data.draws.iter().enumerate() {
        let at = [side + (i % SIDE) as f64 * PATCH, (i / SIDE) as f64 * PATCH];
        scene.add(patch(at, [PATCH, PATCH], *draw));
    }
    // An edge around both keeps a colour near the ground from melting into it.
    scene.add(Mark::Rect {
        at: [0.5, 0.5],
        size: [2.0 * side - 1.0, side - 1.0],
        fill: Fill::Hollow,
        edge: Some(Pen::solid(Ink::Rule, 1.0)),
    });
    let mut y = side + ROW;
    for (head, words, x) in [("wish", &data.wish_words, 0.0), ("prediction, 25 draws", &data.draws_words, side)] {
        scene.write(Text::new([x, y], head, side - 8.0).bold(side - 8.0));
        let mut line_y = y + ROW;
        for line in wrap(&clean(words), TYPE, false, side - 8.0, 3) {
            scene.write(Text::new([x, line_y], &line, side - 8.0));
            line_y += ROW;
        }
    }
    let x = 2.0 * side + 16.0;
    y = ROW - 4.0;
    for note in &data.notes {
        for line in wrap(&clean(note), TYPE, false, WIDTH - x, 4) {
            scene.write(Text::new([x, y], &line, WIDTH - x).ink(Ink::Quiet));
            y += ROW;
        }
        y += ROW / 2.0;
    }
    Ok(scene.closed())
}
