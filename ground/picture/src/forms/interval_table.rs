//! Interval table: one row an option, small cells, the same scale down a column; each cell an interval with its middle on a line,
//! and its words beneath. A row that is never the best stays, in greys.

use super::rows::{ROW, Threshold};
use crate::axis::Scale;
use crate::measure::{clean, wrap};
use crate::scene::{TYPE, WIDTH};
use crate::{Anchor, Group, Ink, Mark, Pen, Scene, Shape, Table, Text, Undrawable, all_finite, matching, not_empty};

/// A column: its name and its scale.
#[derive(Debug, Clone, PartialEq)]
pub struct IntervalColumn {
    /// Its name, with unit.
    pub name: String,
    /// Start and end of the scale of all its cells.
    pub scale: (f64, f64),
    /// Limits drawn in every cell.
    pub thresholds: Vec<Threshold>,
}

/// A cell.
#[derive(Debug, Clone, PartialEq)]
pub struct IntervalCell {
    /// Low, middle, high; `None` when nothing is known.
    pub value: Option<(f64, f64, f64)>,
    /// The words beneath.
    pub words: String,
}

/// A row.
#[derive(Debug, Clone, PartialEq)]
pub struct IntervalRow {
    /// Name of the option.
    pub label: String,
    /// One cell a column.
    pub cells: Vec<IntervalCell>,
    /// True when another row is better in everything.
    pub dimmed: bool,
}

/// Options by questions.
#[derive(Debug, Clone, PartialEq)]
pub struct IntervalTable {
    /// The finding, as a sentence.
    pub title: String,
    /// The columns.
    pub columns: Vec<IntervalColumn>,
    /// The rows, in the reader's order.
    pub rows: Vec<IntervalRow>,
}

/// Width of the names, px.
const NAMES: f64 = 117.0;

/// One cell as a picture of its own, 104 px wide, for a page's own table. The words are its title; they are not drawn, since the
/// page sets them beneath.
///
/// # Errors
/// [`Undrawable`] when the interval is upside down or a figure is not finite.
pub fn interval_cell(column: &IntervalColumn, cell: &IntervalCell, dimmed: bool) -> Result<Scene, Undrawable> {
    check(column, cell)?;
    let mut table = Table::new([column.name.as_str()]);
    table.row([cell.words.as_str()]);
    let mut scene = Scene::new(&format!("{}: {}", column.name, cell.words), &limits_told(column), table);
    scene.width = 104.0;
    scene.height = 18.0;
    scene.marks = cell_marks(column, cell, dimmed, 104.0);
    Ok(scene)
}

/// Draws the whole table.
///
/// # Errors
/// [`Undrawable`] without rows or columns, with rows that miss cells, or as for [`interval_cell`].
pub fn interval_table(data: &IntervalTable) -> Result<Scene, Undrawable> {
    not_empty("columns", &data.columns)?;
    not_empty("rows", &data.rows)?;
    matching(
        "rows",
        data.rows.iter().all(|r| r.cells.len() == data.columns.len()),
        "each row needs one cell a column",
    )?;
    for row in &data.rows {
        data.columns.iter().zip(&row.cells).try_for_each(|(column, cell)| check(column, cell))?;
    }
    let mut table = Table::new(std::iter::once("").chain(data.columns.iter().map(|c| c.name.as_str())));
    data.rows
        .iter()
        .for_each(|r| table.row(std::iter::once(r.label.as_str()).chain(r.cells.iter().map(|c| c.words.as_str()))));
    let told: Vec<String> = data
        .rows
        .iter()
        .map(|r| {
            let cells: Vec<String> =
                data.columns.iter().zip(&r.cells).map(|(c, cell)| format!("{} {}", c.name, cell.words)).collect();
            format!("{}: {}", r.label, cells.join(", "))
        })
        .collect();
    let mut scene = Scene::new(&data.title, &format!("{}.", told.join("; ")), table);

    let width = (WIDTH - NAMES) / data.columns.len() as f64;
    let heads: Vec<Vec<String>> =
        data.columns.iter().map(|c| wrap(&clean(&c.name), TYPE, false, width - 6.5, 3)).collect();
    let deepest = heads.iter().map(Vec::len).max().unwrap_or(0);
    for (i, head) in heads.iter().enumerate() {
        for (line, words) in head.iter().enumerate() {
            let y = (deepest - head.len() + line) as f64 * ROW + 12.0;
            scene.write(Text::new([NAMES + i as f64 * width, y], words, width - 6.5).ink(Ink::Quiet));
        }
    }
    let mut y = deepest as f64 * ROW;
    scene.add(Mark::line([0.0, y + 6.0], [WIDTH, y + 6.0], Pen::solid(Ink::Hair, 1.0)));
    y += ROW;
    for row in &data.rows {
        let ink = if row.dimmed { Ink::Quiet } else { Ink::Text };
        for (line, words) in wrap(&clean(&row.label), TYPE, false, NAMES - 13.0, 2).iter().enumerate() {
            scene.write(Text::new([0.0, y + line as f64 * ROW + 12.0], words, NAMES - 13.0).ink(ink));
        }
        for (i, (column, cell)) in data.columns.iter().zip(&row.cells).enumerate() {
            let x = NAMES + i as f64 * width;
            let marks = cell_marks(column, cell, row.dimmed, width - 6.5);
            scene.add(Mark::Group(Group { at: [x, y], marks }));
            scene.write(Text::new([x, y + ROW + 12.0], &cell.words, width - 6.5).ink(ink));
        }
        y += 3.0 * ROW;
    }
    Ok(scene.closed())
}

/// Line, limits, interval and middle in a strip 16 px high.
fn cell_marks(column: &IntervalColumn, cell: &IntervalCell, dimmed: bool, width: f64) -> Vec<Mark> {
    let scale = Scale::new(column.scale.0, column.scale.1, 4.0, width - 4.0);
    let y = 9.0;
    let mut marks = vec![Mark::line([scale.left, y], [scale.right, y], Pen::solid(Ink::Hair, 1.0))];
    for limit in column.thresholds.iter().filter(|t| scale.holds(t.at)) {
        let x = scale.at(limit.at);
        marks.push(Mark::line([x, 2.0], [x, 16.0], Pen::dotted(Ink::Rule, 1.2)));
    }
    let ink = if dimmed { Ink::Mark } else { Ink::Accent };
    match cell.value {
        Some((low, middle, high)) => {
            let [a, m, b] = [low, middle, high].map(|v| scale.at(v));
            marks.push(Mark::line([a, y], [b, y], Pen::solid(ink, 2.0)));
            // Beyond the scale: an arrow head instead of an end.
            for (value, x, shape) in [(low, scale.left, Shape::Left), (high, scale.right, Shape::Right)] {
                if !scale.holds(value) {
                    marks.push(Mark::Point { at: [x, y], radius: 3.5, shape, ink });
                }
            }
            let shape = if dimmed { Shape::Ring } else { Shape::Disc };
            marks.push(Mark::Point { at: [m, y], radius: 4.0, shape, ink });
        }
        None => marks
            .push(Mark::Text(Text::new([width / 2.0, y + 4.0], "?", width).anchored(Anchor::Middle).ink(Ink::Quiet))),
    }
    marks
}

fn check(column: &IntervalColumn, cell: &IntervalCell) -> Result<(), Undrawable> {
    all_finite(&column.name, [column.scale.0, column.scale.1])?;
    all_finite(&column.name, column.thresholds.iter().map(|t| t.at))?;
    if let Some((low, middle, high)) = cell.value {
        all_finite(&column.name, [low, middle, high])?;
        matching(&column.name, low <= middle && middle <= high, "intervals run from low over middle to high")?;
    }
    Ok(())
}

fn limits_told(column: &IntervalColumn) -> String {
    let limits: Vec<String> = column.thresholds.iter().map(|t| format!("{} at {}", t.label, t.at)).collect();
    let ends = format!("Scale from {} to {}", column.scale.0, column.scale.1);
    if limits.is_empty() { format!("{ends}.") } else { format!("{ends}; limits: {}.", limits.join("; ")) }
}
