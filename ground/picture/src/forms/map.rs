//! Map of what is known: rows by columns, in each cell the rate as a disc (its area), split into slices by cause, with rate, years observed and
//! the chief cause in words; cells without observation are left open. Columns stand in bands of three, each with the rows that
//! were observed in it; the others are named beneath.

use super::rows::ROW;
use crate::axis::figure;
use crate::measure;
use crate::scene::{TYPE, WIDTH};
use crate::{Fill, Ink, Mark, Pen, Scene, Spot, Table, Text, Undrawable, all_finite, matching};

/// One part of a cell's rate.
#[derive(Debug, Clone, PartialEq)]
pub struct MapPart {
    /// Name of the cause.
    pub label: String,
    /// Its rate, 0 or more.
    pub rate: f64,
}

/// One cell.
#[derive(Debug, Clone, PartialEq)]
pub struct MapCell {
    /// Row, counted from 0.
    pub row: usize,
    /// Column, counted from 0.
    pub column: usize,
    /// Its rate with interval.
    pub rate: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Years of observation behind it.
    pub observed: f64,
    /// Groups of study behind it.
    pub arms: usize,
    /// Its parts by cause, any order.
    pub parts: Vec<MapPart>,
    /// True where the cell has no arm of its own and leans on its kin.
    pub borrowed: bool,
}

/// Rows by columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// The finding, as a sentence.
    pub title: String,
    /// Name and unit of the rate.
    pub quantity: String,
    /// Name and unit of the observation.
    pub observation: String,
    /// Names of the rows, each with a second line (may be empty).
    pub rows: Vec<(String, String)>,
    /// Names of the columns.
    pub columns: Vec<String>,
    /// The cells known.
    pub cells: Vec<MapCell>,
}

/// Width of a cell, px.
const WIDE: f64 = 130.0;
/// Columns side by side.
const SIDE: usize = 3;
/// Height of a cell, px.
const TALL: f64 = 4.0 * ROW;
/// Room of the row names, px.
const NAMES: f64 = 130.0;
/// Largest radius of a disc, px.
const MOST: f64 = 13.0;

/// Draws the map.
///
/// # Errors
/// [`Undrawable`] when there is no row or column, a cell lies outside them, an interval is upside down or a figure is not finite.
pub fn map(data: &Map) -> Result<Scene, Undrawable> {
    matching("map", !data.rows.is_empty() && !data.columns.is_empty(), "give at least one row and one column")?;
    let inside = data.cells.iter().all(|c| c.row < data.rows.len() && c.column < data.columns.len());
    matching("cells", inside, "every cell lies in a row and a column given")?;
    all_finite("cells", data.cells.iter().flat_map(|c| [c.rate, c.low, c.high, c.observed]))?;
    all_finite("parts", data.cells.iter().flat_map(|c| c.parts.iter().map(|p| p.rate)))?;
    let ordered = data.cells.iter().all(|c| c.low <= c.high && c.rate >= 0.0 && c.parts.iter().all(|p| p.rate >= 0.0));
    matching("cells", ordered, "rates are 0 or more and intervals run from low to high")?;

    let mut scene = Scene::new(&data.title, &description(data), table(data));
    let most = data.cells.iter().map(|c| c.rate).fold(0.0, f64::max);
    let mut top = 0.0;
    for band in (0..data.columns.len()).step_by(SIDE) {
        let columns = band..(band + SIDE).min(data.columns.len());
        top = band_of(&mut scene, data, columns, top, most);
    }
    let key = format!(
        "Disc: {}, by area; dark slice: share of the cause named{}. Last line: {}.",
        data.quantity,
        if data.cells.iter().any(|c| c.borrowed) { "; ring: no arm of its own, leans on its kin" } else { "" },
        data.observation
    );
    for (i, line) in wrapped(&key).iter().enumerate() {
        scene.write(Text::new([0.0, top + i as f64 * ROW], line, WIDTH).ink(Ink::Quiet));
    }
    Ok(scene.closed())
}

/// One band of columns from `top` down; where it ends.
fn band_of(scene: &mut Scene, data: &Map, columns: std::ops::Range<usize>, top: f64, most: f64) -> f64 {
    let at = |i: usize, j: usize| data.cells.iter().find(|c| c.row == i && c.column == j);
    let seen = |i: &usize| columns.clone().any(|j| at(*i, j).is_some());
    let (shown, absent): (Vec<usize>, Vec<usize>) = (0..data.rows.len()).partition(seen);
    let first = top + 1.5 * ROW;
    let left = |j: usize| NAMES + (j - columns.start) as f64 * WIDE;
    for j in columns.clone() {
        scene.write(Text::new([left(j) + 4.0, first - 8.0], &data.columns[j], WIDE - 8.0).bold(WIDE - 8.0));
    }
    let right = NAMES + columns.len() as f64 * WIDE;
    for (line, &i) in shown.iter().enumerate() {
        let y = first + line as f64 * TALL;
        scene.add(Mark::line([0.0, y], [right, y], Pen::solid(Ink::Hair, 1.0)));
        let room = NAMES - 6.0;
        scene.write(Text::new([0.0, y + ROW - 2.0], &data.rows[i].0, room).bold(room));
        if !data.rows[i].1.is_empty() {
            scene.write(Text::new([0.0, y + 2.0 * ROW - 4.0], &data.rows[i].1, room).ink(Ink::Quiet));
        }
        for j in columns.clone() {
            match at(i, j) {
                Some(cell) => known(scene, cell, [left(j), y], most),
                None => {
                    let words = Text::new([left(j) + 4.0, y + ROW - 2.0], "not observed", WIDE - 8.0);
                    scene.write(words.ink(Ink::Quiet));
                }
            }
        }
    }
    let mut y = first + shown.len() as f64 * TALL;
    scene.add(Mark::line([0.0, y], [right, y], Pen::solid(Ink::Hair, 1.0)));
    if !absent.is_empty() {
        let names: Vec<String> = absent.iter().map(|&i| name(&data.rows[i])).collect();
        for line in wrapped(&format!("not observed in any of these: {}", names.join(", "))) {
            y += ROW;
            scene.write(Text::new([0.0, y - 2.0], &line, WIDTH).ink(Ink::Quiet));
        }
    }
    y + 1.5 * ROW
}

fn name(row: &(String, String)) -> String {
    if row.1.is_empty() { row.0.clone() } else { format!("{} {}", row.0, row.1) }
}

/// Words in lines of the full width.
fn wrapped(words: &str) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in words.split(' ') {
        let longer = |l: &str| if l.is_empty() { word.to_owned() } else { format!("{l} {word}") };
        let last = lines.last().map(|l| longer(l)).unwrap_or_default();
        let too_long = measure::width(&last, TYPE, false) > WIDTH - 8.0 || measure::columns(&last) > 78;
        match lines.last_mut() {
            Some(line) if !too_long => *line = last,
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

fn known(scene: &mut Scene, cell: &MapCell, at: Spot, most: f64) {
    let radius = if most > 0.0 { (MOST * (cell.rate / most).sqrt()).max(2.5) } else { 2.5 };
    let centre = [at[0] + 4.0 + MOST, at[1] + 1.0 * ROW + 2.0];
    let chief = chief(cell);
    let total: f64 = cell.parts.iter().map(|p| p.rate).sum();
    let share = chief.filter(|_| total > 0.0).map_or(0.0, |p| p.rate / total);
    let fill = if cell.borrowed { Fill::Hollow } else { Fill::Ink(Ink::AccentMid) };
    scene.add(Mark::Polygon {
        points: slice(centre, radius, 0.0, 1.0),
        fill,
        edge: Some(Pen::solid(Ink::Accent, 1.0)),
    });
    if share > 0.0 && !cell.borrowed {
        scene.add(Mark::Polygon {
            points: slice(centre, radius, 0.0, share),
            fill: Fill::Ink(Ink::Accent),
            edge: None,
        });
    }
    let x = at[0] + 9.0 + 2.0 * MOST;
    let room = WIDE - (x - at[0]) - 4.0;
    scene.write(Text::new([x, at[1] + ROW - 2.0], &figure(cell.rate, decimals(cell.rate)), room).bold(room));
    let range = format!("{}\u{2013}{}", figure(cell.low, decimals(cell.low)), figure(cell.high, decimals(cell.high)));
    scene.write(Text::new([x, at[1] + 2.0 * ROW - 4.0], &range, room).ink(Ink::Quiet));
    if let Some(part) = chief {
        scene.write(Text::new([at[0] + 4.0, at[1] + 3.0 * ROW - 4.0], &part.label, WIDE - 6.0));
    }
    let seen = if cell.borrowed { "no own arm".to_owned() } else { observed(cell) };
    scene.write(Text::new([at[0] + 4.0, at[1] + 4.0 * ROW - 6.0], &seen, WIDE - 6.0).ink(Ink::Quiet));
}

fn observed(cell: &MapCell) -> String {
    format!("{} y, {} {}", figure(cell.observed, 0), cell.arms, if cell.arms == 1 { "arm" } else { "arms" })
}

fn decimals(rate: f64) -> usize {
    if rate < 10.0 { 1 } else { 0 }
}

/// The cause with the greatest rate.
fn chief(cell: &MapCell) -> Option<&MapPart> {
    cell.parts.iter().filter(|p| p.rate > 0.0).max_by(|a, b| a.rate.total_cmp(&b.rate))
}

/// A slice of a disc from one share of the turn to another, clockwise from the top.
fn slice(centre: Spot, radius: f64, from: f64, to: f64) -> Vec<Spot> {
    let steps = (48.0 * (to - from)).ceil().max(2.0) as usize;
    let mut points: Vec<Spot> = (0..=steps)
        .map(|i| {
            let turn = std::f64::consts::TAU * (from + (to - from) * i as f64 / steps as f64);
            [centre[0] + radius * turn.sin(), centre[1] - radius * turn.cos()]
        })
        .collect();
    if to - from < 1.0 {
        points.push(centre);
    }
    points
}

fn table(data: &Map) -> Table {
    let mut table = Table::new(["row", "column", &data.quantity, "low", "high", &data.observation, "arms", "by cause"]);
    for c in &data.cells {
        let mut parts: Vec<&MapPart> = c.parts.iter().filter(|p| p.rate > 0.0).collect();
        parts.sort_by(|a, b| b.rate.total_cmp(&a.rate));
        let parts: Vec<String> = parts.iter().map(|p| format!("{} {}", p.label, figure(p.rate, 2))).collect();
        let [v, l, h] = [c.rate, c.low, c.high].map(|x| figure(x, 2));
        let arms = if c.borrowed { format!("{} (of its kin)", c.arms) } else { c.arms.to_string() };
        let (row, column) = (name(&data.rows[c.row]), data.columns[c.column].clone());
        table.row([row, column, v, l, h, figure(c.observed, 0), arms, parts.join("; ")]);
    }
    table
}

fn description(data: &Map) -> String {
    let own = data.cells.iter().filter(|c| !c.borrowed).count();
    format!(
        "{} by {} rows and {} columns: {own} cells observed, {} of {} not.",
        data.quantity,
        data.rows.len(),
        data.columns.len(),
        data.rows.len() * data.columns.len() - own,
        data.rows.len() * data.columns.len()
    )
}
