//! A scene as lines of text: each cell of 6.5 by 16 px becomes one character. Filled areas become shades, bars full blocks, slanted
//! lines dots of Braille patterns (2 by 4 a cell), level and upright lines rules; points and words stand in front.
//!
//! Rules shorter than a cell (ticks) and hairs are left out; where a word would run into another it moves right to the next
//! free column, and is dropped when no room is left: the table one step away holds it.

use crate::curve;
use crate::measure::{clean, columns, fold};
use crate::{Anchor, Dash, Fill, Ink, Mark, Pen, Rgb, Scene, Shape, Spot, Text};

/// Width of a cell, px.
const CELL_W: f64 = 6.5;
/// Height of a cell, px.
const CELL_H: f64 = 16.0;

/// Characters a terminal can show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Charset {
    /// Rules, blocks, Braille patterns.
    Unicode,
    /// The 95 printable characters of ASCII.
    Ascii,
}

/// The scene in lines of text without trailing spaces, the title first. At most 80 columns for a scene of the standard width.
pub fn text_lines(scene: &Scene, charset: Charset) -> Vec<String> {
    let mut canvas = Canvas::new(scene.width, scene.height);
    canvas.marks(&scene.marks, [0.0, 0.0]);
    canvas.words(&scene.marks, [0.0, 0.0]);
    let mut lines = fold(&clean(&scene.title), (scene.width / CELL_W) as usize);
    lines.extend(canvas.lines());
    while lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    if charset == Charset::Ascii { lines.iter().map(|l| ascii(l)).collect() } else { lines }
}

/// Any text in the 95 printable characters of ASCII; what has no near form becomes `?`.
pub fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            ' '..='~' => out.push(c),
            '\u{2500}' | '\u{254c}' | '\u{2013}' | '\u{2014}' | '\u{2212}' => out.push('-'),
            '\u{2502}' | '\u{254e}' => out.push('|'),
            '\u{253c}' => out.push('+'),
            '\u{2588}' | '\u{258c}' | '\u{2593}' => out.push('#'),
            '\u{2592}' => out.push('='),
            '\u{2591}' => out.push(':'),
            '\u{25cf}' | '\u{25a0}' => out.push('@'),
            '\u{25cb}' => out.push('o'),
            '\u{25c6}' => out.push('*'),
            '\u{25c0}' => out.push('<'),
            '\u{25b6}' => out.push('>'),
            '\u{2026}' => out.push_str("..."),
            '\u{2192}' => out.push_str("->"),
            '\u{2264}' => out.push_str("<="),
            '\u{2265}' => out.push_str(">="),
            '\u{b1}' => out.push_str("+/-"),
            '\u{d7}' => out.push('x'),
            '\u{b7}' => out.push('.'),
            '\u{2018}' | '\u{2019}' => out.push('\''),
            '\u{201c}' | '\u{201d}' => out.push('"'),
            '\u{2800}'..='\u{28ff}' => out.push(if c == '\u{2800}' { ' ' } else { '.' }),
            c => out.extend(std::iter::repeat_n('?', columns(&c.to_string()))),
        }
    }
    out
}

/// What stands in a cell, from back to front.
#[derive(Debug, Clone, Copy, Default)]
struct Cell {
    shade: Option<char>,
    dots: u8,
    level: Option<Dash>,
    upright: Option<Dash>,
    point: Option<char>,
}

struct Canvas {
    width: usize,
    height: usize,
    cells: Vec<Cell>,
    /// One row a line; `None` where no word stands, empty string in the second column of a wide character.
    words: Vec<Vec<Option<String>>>,
}

impl Canvas {
    fn new(width: f64, height: f64) -> Self {
        let (w, h) = ((width / CELL_W).ceil() as usize, (height / CELL_H).ceil() as usize);
        Self { width: w, height: h, cells: vec![Cell::default(); w * h], words: vec![vec![None; w]; h] }
    }

    fn cell(&mut self, x: f64, y: f64) -> Option<&mut Cell> {
        let (c, r) = ((x / CELL_W).floor(), (y / CELL_H).floor());
        if c < 0.0 || r < 0.0 || c >= self.width as f64 || r >= self.height as f64 {
            return None;
        }
        self.cells.get_mut(r as usize * self.width + c as usize)
    }

    fn marks(&mut self, marks: &[Mark], by: Spot) {
        let moved = |p: &Spot| [p[0] + by[0], p[1] + by[1]];
        let all = |points: &[Spot]| points.iter().map(moved).collect::<Vec<_>>();
        for mark in marks {
            match mark {
                Mark::Polyline { points, pen } => self.polyline(&all(points), *pen),
                Mark::Polygon { points, fill, edge } => self.closed(&all(points), *fill, *edge),
                Mark::Outline { points, fill, edge } => self.closed(&curve::flattened(&all(points)), *fill, *edge),
                Mark::Rect { at, size, fill, edge } => self.rect(moved(at), *size, *fill, *edge),
                Mark::Point { at, shape, .. } => {
                    let [x, y] = moved(at);
                    if let Some(cell) = self.cell(x, y) {
                        cell.point = Some(point(*shape));
                    }
                }
                Mark::Text(_) => {}
                Mark::Group(group) => self.marks(&group.marks, moved(&group.at)),
            }
        }
    }

    fn polyline(&mut self, points: &[Spot], pen: Pen) {
        if pen.ink == Ink::Hair {
            return;
        }
        for ends in points.windows(2) {
            self.segment(ends[0], ends[1], pen.dash);
        }
    }

    fn segment(&mut self, a: Spot, b: Spot, dash: Dash) {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        if dx.abs() < CELL_W && dy.abs() < CELL_H * 0.75 {
            return;
        }
        if dy.abs() < 0.5 || dx.abs() < 0.5 {
            self.rule(a, b, dash);
            return;
        }
        let steps = (dx.abs().max(dy.abs()) / 1.5).ceil() as usize;
        for i in 0..=steps {
            let t = i as f64 / steps as f64;
            if dash != Dash::Solid && (i / 3) % 2 == 1 {
                continue;
            }
            self.dot(a[0] + t * dx, a[1] + t * dy);
        }
    }

    fn rule(&mut self, a: Spot, b: Spot, dash: Dash) {
        let level = (b[1] - a[1]).abs() < 0.5;
        let (low, high) = if level { (a[0].min(b[0]), a[0].max(b[0])) } else { (a[1].min(b[1]), a[1].max(b[1])) };
        let step = if level { CELL_W } else { CELL_H };
        // Walk by the middles of cells, so that a rule covers the cells it mostly crosses.
        let mut at = (low / step + 0.5).floor() * step + step / 2.0;
        while at - step / 2.0 < high - step * 0.25 {
            let cell = if level { self.cell(at, a[1]) } else { self.cell(a[0], at) };
            if let Some(cell) = cell {
                *(if level { &mut cell.level } else { &mut cell.upright }) = Some(dash);
            }
            at += step;
        }
    }

    fn dot(&mut self, x: f64, y: f64) {
        let column = ((x / CELL_W).fract() * 2.0).floor().max(0.0) as usize;
        let row = ((y / CELL_H).fract() * 4.0).floor().max(0.0) as usize;
        const BITS: [[u8; 4]; 2] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
        if let Some(cell) = self.cell(x, y) {
            cell.dots |= BITS[column.min(1)][row.min(3)];
        }
    }

    fn closed(&mut self, points: &[Spot], fill: Fill, edge: Option<Pen>) {
        if let Some(shade) = shade(fill) {
            for row in 0..self.height {
                for column in 0..self.width {
                    let middle = [(column as f64 + 0.5) * CELL_W, (row as f64 + 0.5) * CELL_H];
                    if inside(points, middle) {
                        self.cells[row * self.width + column].shade = Some(shade);
                    }
                }
            }
        }
        if let Some(pen) = edge.filter(|p| p.ink != Ink::Hair) {
            let ring: Vec<Spot> = points.iter().chain(points.first()).copied().collect();
            for ends in ring.windows(2) {
                let steps = ((ends[1][0] - ends[0][0]).abs().max((ends[1][1] - ends[0][1]).abs()) / 1.5).ceil().max(1.0)
                    as usize;
                for i in 0..=steps {
                    if pen.dash != Dash::Solid && (i / 3) % 2 == 1 {
                        continue;
                    }
                    let t = i as f64 / steps as f64;
                    self.dot(ends[0][0] + t * (ends[1][0] - ends[0][0]), ends[0][1] + t * (ends[1][1] - ends[0][1]));
                }
            }
        }
    }

    fn rect(&mut self, at: Spot, size: [f64; 2], fill: Fill, edge: Option<Pen>) {
        let [x, y] = at;
        let [w, h] = size;
        if let Some(shade) = shade(fill) {
            let row = y + h / 2.0;
            let rows = if h < 1.5 * CELL_H { vec![row] } else { middles(y, y + h, CELL_H) };
            for r in rows {
                for c in middles(x, x + w, CELL_W) {
                    if let Some(cell) = self.cell(c, r) {
                        cell.shade = Some(shade);
                    }
                }
                // A last half cell of a bar; a bar thinner than half a cell still leaves a trace.
                let rest = (w / CELL_W).fract();
                let trace = rest >= 0.25 && (w < CELL_W || ((x + w) / CELL_W).fract() < 0.5);
                if shade == '\u{2588}'
                    && trace
                    && let Some(cell) = self.cell(x + w - 0.1, r).filter(|c| c.shade.is_none())
                {
                    cell.shade = Some('\u{258c}');
                }
            }
        }
        if let Some(pen) = edge.filter(|p| p.ink != Ink::Hair && h >= CELL_H) {
            for (a, b) in
                [([x, y], [x + w, y]), ([x, y + h], [x + w, y + h]), ([x, y], [x, y + h]), ([x + w, y], [x + w, y + h])]
            {
                self.segment(a, b, pen.dash);
            }
        }
    }

    fn words(&mut self, marks: &[Mark], by: Spot) {
        for mark in marks {
            match mark {
                Mark::Text(text) => self.word(text, by),
                Mark::Group(group) => self.words(&group.marks, [by[0] + group.at[0], by[1] + group.at[1]]),
                _ => {}
            }
        }
    }

    fn word(&mut self, text: &Text, by: Spot) {
        let row = ((text.at[1] + by[1] - 0.35 * text.size) / CELL_H).floor();
        if row < 0.0 || row >= self.height as f64 || text.words.is_empty() {
            return;
        }
        let needed = columns(&text.words);
        let at = (text.at[0] + by[0]) / CELL_W;
        let wished = match text.anchor {
            Anchor::Start => at.floor(),
            Anchor::Middle => (at - needed as f64 / 2.0).round(),
            Anchor::End => at.ceil() - needed as f64,
        };
        let wished = wished.clamp(0.0, self.width.saturating_sub(needed) as f64) as usize;
        let line = &self.words[row as usize];
        let free = |start: usize| {
            let (from, to) = (start.saturating_sub(1), (start + needed + 1).min(self.width));
            start + needed <= self.width && line[from..to].iter().all(Option::is_none)
        };
        // A word moves aside by a few columns at most: further off it would name something else.
        let Some(start) = (0..8).flat_map(|d| [Some(wished + d), wished.checked_sub(d)]).flatten().find(|s| free(*s))
        else {
            return;
        };
        let line = &mut self.words[row as usize];
        let mut column = start;
        for c in text.words.chars() {
            let wide = columns(&c.to_string());
            match (wide, line.get_mut(column)) {
                (0, _) => {
                    if let Some(Some(before)) = column.checked_sub(1).and_then(|b| line.get_mut(b)) {
                        before.push(c);
                    }
                }
                (_, Some(slot)) => {
                    *slot = Some(c.to_string());
                    for rest in 1..wide {
                        if let Some(slot) = line.get_mut(column + rest) {
                            *slot = Some(String::new());
                        }
                    }
                }
                (_, None) => {}
            }
            column += wide;
        }
    }

    fn lines(&self) -> Vec<String> {
        (0..self.height)
            .map(|row| {
                let mut line = String::new();
                for column in 0..self.width {
                    match &self.words[row][column] {
                        Some(word) => line.push_str(word),
                        None => line.push(glyph(self.cells[row * self.width + column])),
                    }
                }
                line.trim_end().to_owned()
            })
            .collect()
    }
}

fn glyph(cell: Cell) -> char {
    if let Some(point) = cell.point {
        return point;
    }
    if cell.shade == Some('\u{2588}') {
        return '\u{2588}';
    }
    match (cell.level, cell.upright) {
        (Some(_), Some(_)) => return '\u{253c}',
        (Some(Dash::Solid), None) => return '\u{2500}',
        (Some(_), None) => return '\u{254c}',
        (None, Some(Dash::Solid)) => return '\u{2502}',
        (None, Some(_)) => return '\u{254e}',
        (None, None) => {}
    }
    if cell.dots != 0 {
        return char::from_u32(0x2800 + u32::from(cell.dots)).unwrap_or('.');
    }
    cell.shade.unwrap_or(' ')
}

fn point(shape: Shape) -> char {
    match shape {
        Shape::Disc | Shape::Person => '\u{25cf}',
        Shape::Ring | Shape::PersonHollow => '\u{25cb}',
        Shape::Square => '\u{25a0}',
        Shape::Diamond => '\u{25c6}',
        Shape::Left => '\u{25c0}',
        Shape::Right => '\u{25b6}',
    }
}

/// The shade a fill becomes; the ground becomes nothing.
fn shade(fill: Fill) -> Option<char> {
    match fill {
        Fill::Hollow | Fill::Ink(Ink::Ground | Ink::Hair | Ink::Soft) => None,
        Fill::Ink(Ink::AccentFaint) => Some('\u{2591}'),
        Fill::Ink(Ink::AccentMid) => Some('\u{2592}'),
        Fill::Ink(Ink::Mark | Ink::Quiet | Ink::Rule) => Some('\u{2593}'),
        Fill::Ink(Ink::Accent | Ink::Text) => Some('\u{2588}'),
        Fill::Own(rgb) => Some(tone(rgb)),
    }
}

/// A colour by its lightness: dark ones fuller.
fn tone(rgb: Rgb) -> char {
    match rgb.luminance() {
        l if l > 0.5 => '\u{2591}',
        l if l > 0.18 => '\u{2592}',
        _ => '\u{2593}',
    }
}

/// Middles of the cells that lie between two places.
fn middles(from: f64, to: f64, step: f64) -> Vec<f64> {
    let (first, last) = ((from / step + 0.5).floor() as i64, (to / step - 0.5).ceil() as i64);
    (first..last.max(first)).map(|i| (i as f64 + 0.5) * step).collect()
}

/// Even-odd rule.
fn inside(points: &[Spot], p: Spot) -> bool {
    let mut within = false;
    for (i, a) in points.iter().enumerate() {
        let b = points[(i + 1) % points.len()];
        if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0] {
            within = !within;
        }
    }
    within
}
