//! Reads the words and numbers of a document, and tells which numbers a report explains.

use papers::blocks::{Block, Document, Grid};

/// All words of a document, tables and titles of pictures among them, one string each.
pub fn words(document: &Document) -> Vec<String> {
    fn grid(grid: &Grid, out: &mut Vec<String>) {
        out.push(grid.caption.clone());
        out.extend(grid.heads.iter().cloned());
        out.extend(grid.rows.iter().flat_map(|r| r.cells.iter().map(|c| c.words.text())));
    }
    fn blocks(list: &[Block], out: &mut Vec<String>) {
        for block in list {
            match block {
                Block::Heading(t) => out.push(t.clone()),
                Block::Lead(w) | Block::Paragraph(w) | Block::Note(_, w) | Block::Blank(w, _) => out.push(w.text()),
                Block::List(items) | Block::Numbered(items) => out.extend(items.iter().map(|w| w.text())),
                Block::Table(g) => grid(g, out),
                Block::Figure(s) => out.push(s.title.clone()),
                Block::Beside(scenes) => out.extend(scenes.iter().map(|s| s.title.clone())),
                Block::Folded(w, inner) => {
                    out.push(w.text());
                    blocks(inner, out);
                }
                Block::Facts(facts) => out.extend(facts.iter().flat_map(|(n, w)| [n.clone(), w.text()])),
            }
        }
    }
    let mut out = vec![document.title.clone()];
    blocks(&document.opening, &mut out);
    for s in &document.sections {
        out.push(s.title.clone());
        blocks(&s.blocks, &mut out);
    }
    blocks(&document.closing, &mut out);
    out
}

/// Numbers in a text, as value and decimals.
pub fn numbers(text: &str) -> Vec<(f64, i32)> {
    let mut out = Vec::new();
    let chars: Vec<char> = text.chars().collect();
    let mut i = 0;
    while i < chars.len() {
        if !chars[i].is_ascii_digit() {
            i += 1;
            continue;
        }
        let start = i;
        while i < chars.len()
            && (chars[i].is_ascii_digit() || (chars[i] == '.' && chars.get(i + 1).is_some_and(char::is_ascii_digit)))
        {
            i += 1;
        }
        let token: String = chars[start..i].iter().collect();
        if let Ok(value) = token.parse::<f64>() {
            out.push((value, token.split_once('.').map_or(0, |(_, d)| d.len() as i32)));
        }
    }
    out
}

/// Every number of the report: fields, and figures written inside its texts.
fn held(value: &serde_json::Value, out: &mut Vec<f64>) {
    match value {
        serde_json::Value::Number(n) => out.extend(n.as_f64()),
        serde_json::Value::String(s) => out.extend(numbers(s).into_iter().map(|(v, _)| v)),
        serde_json::Value::Array(items) => items.iter().for_each(|v| held(v, out)),
        serde_json::Value::Object(map) => map.values().for_each(|v| held(v, out)),
        _ => {}
    }
}

/// Standing phrases of the papers that hold a figure.
pub const PHRASES: [&str; 12] = [
    " of 100",
    "within 10 years",
    "By 5 years",
    "By 10 years",
    "By 15 years",
    "by 10 years",
    "90 of 100 draws",
    "ΔE00",
    "below 2.0 mm",
    "below 1.0 mm",
    "fewer than 1",
    "3Y",
];

/// What the report holds: numbers, and the shares that its curves leave.
pub struct Held {
    numbers: Vec<f64>,
    left: Vec<f64>,
}

impl Held {
    pub fn of(report: &plan::Report) -> Self {
        let mut numbers = Vec::new();
        held(&serde_json::to_value(report).unwrap(), &mut numbers);
        let curves = report.options.iter().flat_map(|o| [&o.loss_curve, &o.complication_curve]);
        Self { numbers, left: curves.filter_map(|c| c.points.last()).map(|p| 1.0 - p.median).collect() }
    }

    /// As it stands, as a count of 100, or as the count that is left.
    pub fn explains(&self, value: f64, decimals: i32) -> bool {
        let half = 0.5 * 10f64.powi(-decimals) + 1e-9;
        let near = |v: f64| (v.abs() - value).abs() <= half;
        let share = |v: &f64| (0.0..=1.0).contains(v) && near(100.0 * v);
        self.numbers.iter().any(|v| near(*v) || share(v)) || self.left.iter().any(share)
    }
}
