//! A table as a scene: columns as wide as their words need within the width of a page, words wrapped, small pictures above them.

use crate::blocks::{Cell, Grid};
use picture::measure::{clean, width, wrap};
use picture::{Fill, Group, Ink, Mark, Pen, Scene, Table, Text};

/// Size of the words, px.
const SIZE: f64 = 12.0;
/// Height of a line, px.
const LINE: f64 = 15.0;
/// Space beside and above what stands in a cell, px.
const GAP: f64 = 10.0;
/// Narrowest and widest table, px.
const WIDTHS: [f64; 2] = [520.0, 980.0];
/// Widest wish of one column, px.
const COLUMN: f64 = 260.0;
/// What a box to tick begins with.
const TICK: &str = "\u{25a1} ";
/// Most lines of a cell; what is longer ends in an ellipsis.
const LINES: usize = 40;

/// The table drawn, its caption as title.
pub(super) fn scene(grid: &Grid) -> Scene {
    let columns = columns(grid);
    let table = Table {
        heads: grid.heads.clone(),
        rows: grid.rows.iter().map(|r| r.cells.iter().map(|c| c.words.text()).collect()).collect(),
    };
    let mut scene = Scene::new(&grid.caption, "The same as a table of words.", table);
    scene.width = columns.iter().sum();
    let heads: Vec<Cell> = grid.heads.iter().map(|h| Cell::from(h.clone())).collect();
    let mut y = row(&mut scene, &heads, &columns, 0.0, Look { bold: |_| true, ink: Ink::Text });
    rule(&mut scene, y, 1.2);
    for line in &grid.rows {
        let ink = if line.dimmed { Ink::Quiet } else { Ink::Text };
        y = row(&mut scene, &line.cells, &columns, y, Look { bold: |i| i == 0, ink });
        rule(&mut scene, y, 0.5);
    }
    scene.closed()
}

/// Type of a row.
struct Look {
    /// Whether a column is bold.
    bold: fn(usize) -> bool,
    /// Its ink.
    ink: Ink,
}

/// Draws a row at `top`; returns where the next begins.
fn row(scene: &mut Scene, cells: &[Cell], columns: &[f64], top: f64, look: Look) -> f64 {
    let mut lowest = top + LINE;
    let mut x = 0.0;
    for (i, (cell, wide)) in cells.iter().zip(columns).enumerate() {
        let (bold, room) = ((look.bold)(i), wide - GAP);
        let mut y = top + 0.5 * GAP;
        if let Some(small) = &cell.scene {
            scene.add(Mark::Group(Group { at: [x, y], marks: small.marks.clone() }));
            y += small.height;
        }
        let words = clean(&cell.words.text());
        // A box to tick is drawn, since not every font holds one.
        let (words, indent) = words.strip_prefix(TICK).map_or((words.as_str(), 0.0), |rest| (rest, 14.0));
        if indent > 0.0 {
            let pen = Some(Pen::solid(look.ink, 0.8));
            scene.add(Mark::Rect { at: [x + 0.5, y + 2.5], size: [8.0, 8.0], fill: Fill::Hollow, edge: pen });
        }
        let room = room - indent;
        for line in wrap(words, SIZE, bold, room, LINES) {
            let text = Text::new([x + indent, y + 11.0], &line, room).ink(look.ink);
            scene.write(if bold { text.bold(room) } else { text });
            y += LINE;
        }
        lowest = lowest.max(y + 0.5 * GAP);
        x += wide;
    }
    lowest
}

fn rule(scene: &mut Scene, y: f64, thick: f64) {
    let wide = scene.width;
    scene.add(Mark::line([0.0, y], [wide, y], Pen::solid(Ink::Text, thick)));
}

/// Width of each column: what its longest word needs, and a share of the rest by what it would like.
fn columns(grid: &Grid) -> Vec<f64> {
    let needs: Vec<(f64, f64)> = (0..grid.heads.len()).map(|i| need(grid, i)).collect();
    let (least, wish): (f64, f64) = needs.iter().fold((0.0, 0.0), |(a, b), (l, w)| (a + l, b + w));
    let whole = wish.clamp(WIDTHS[0], WIDTHS[1]).max(least);
    let (spare, wanted) = (whole - least, (wish - least).max(1.0));
    let share =
        |(l, w): &(f64, f64)| l + spare * if wish > least { (w - l) / wanted } else { 1.0 / needs.len() as f64 };
    needs.iter().map(share).collect()
}

/// Least width and wish of a column, px.
fn need(grid: &Grid, i: usize) -> (f64, f64) {
    let cells = grid.rows.iter().filter_map(|r| r.cells.get(i));
    let pictured = cells.clone().filter_map(|c| c.scene.as_ref()).map(|s| s.width).fold(0.0, f64::max);
    let heads = std::iter::once((grid.heads[i].clone(), true));
    let (mut word, mut whole) = (0.0_f64, 0.0_f64);
    for (text, bold) in heads.chain(cells.map(|c| (c.words.text(), i == 0))) {
        let text = clean(&text);
        whole = whole.max(width(&text, SIZE, bold));
        word = text.split(' ').map(|w| width(w, SIZE, bold)).fold(word, f64::max);
    }
    let least = word.min(COLUMN).max(pictured) + GAP;
    (least, (whole + GAP).clamp(least, COLUMN.max(least)))
}
