//! A document as lines of text, at most 80 columns wide: headings underlined by their weight, lists indented, pictures drawn with
//! characters, folded blocks in one line each.

use crate::blocks::{Block, Document, Grid, Words};
use picture::measure::{clean, columns, fold};
use picture::{Charset, ascii, text_lines};

/// Columns of a line.
pub const COLUMNS: usize = 80;

/// The document in lines.
pub fn lines(document: &Document, charset: Charset) -> Vec<String> {
    let mut out = Vec::new();
    out.extend(hanging("", &document.title));
    out.push(String::new());
    blocks(&document.opening, charset, &mut out);
    for section in &document.sections {
        gap(&mut out);
        let title = hanging("", &section.title);
        let wide = title.iter().map(|l| columns(l)).max().unwrap_or(0);
        out.extend(title);
        out.push("\u{2500}".repeat(wide));
        blocks(&section.blocks, charset, &mut out);
    }
    gap(&mut out);
    blocks(&document.closing, charset, &mut out);
    while out.last().is_some_and(String::is_empty) {
        out.pop();
    }
    if charset == Charset::Ascii { out.iter().map(|l| ascii(l)).collect() } else { out }
}

/// An empty line, once.
fn gap(out: &mut Vec<String>) {
    if out.last().is_some_and(|l| !l.is_empty()) {
        out.push(String::new());
    }
}

fn blocks(blocks: &[Block], charset: Charset, out: &mut Vec<String>) {
    for block in blocks {
        match block {
            Block::Heading(text) => {
                gap(out);
                out.extend(hanging("", text));
            }
            Block::Lead(words) | Block::Paragraph(words) => {
                out.extend(hanging("", &words.text()));
                gap(out);
            }
            Block::List(items) if items.is_empty() => {}
            Block::List(items) => {
                items.iter().for_each(|item| out.extend(marked("\u{2013} ", item)));
                gap(out);
            }
            Block::Numbered(items) => {
                items.iter().enumerate().for_each(|(i, item)| out.extend(marked(&format!("{}. ", i + 1), item)));
                gap(out);
            }
            Block::Table(grid) => {
                gap(out);
                out.extend(table(grid));
                gap(out);
            }
            Block::Figure(scene) => {
                gap(out);
                out.extend(text_lines(scene, charset));
                gap(out);
            }
            Block::Beside(scenes) => {
                for scene in scenes {
                    gap(out);
                    out.extend(text_lines(scene, charset));
                }
                gap(out);
            }
            Block::Blank(words, lines) => {
                out.extend(hanging("", &words.text()));
                out.extend(std::iter::repeat_n("_".repeat(COLUMNS), *lines));
                gap(out);
            }
            Block::Note(weight, words) => {
                out.extend(hanging(&format!("{}: ", weight.word()), &words.text()));
                gap(out);
            }
            Block::Folded(summary, _) => out.extend(hanging("+ ", &summary.text())),
            Block::Facts(facts) => {
                let names = facts.iter().map(|(n, _)| columns(&clean(n))).max().unwrap_or(0).min(26);
                for (name, value) in facts {
                    let mut name = fold(&clean(name), names.max(1));
                    let opening = name.pop().unwrap_or_default();
                    out.extend(name);
                    let pad = " ".repeat(names.saturating_sub(columns(&opening)));
                    out.extend(hanging(&format!("{opening}{pad}  "), &value.text()));
                }
                gap(out);
            }
        }
    }
}

fn marked(mark: &str, words: &Words) -> Vec<String> {
    hanging(mark, &words.text())
}

/// A table in the columns there are; cells too wide for their share wrap.
fn table(grid: &Grid) -> Vec<String> {
    let mut out = Vec::new();
    if !grid.caption.is_empty() {
        out.extend(hanging("", &grid.caption));
    }
    let rows: Vec<Vec<String>> = std::iter::once(grid.heads.iter().map(|h| clean(h)).collect())
        .chain(grid.rows.iter().map(|r| r.cells.iter().map(|c| clean(&c.words.text())).collect::<Vec<_>>()))
        .collect();
    let count = grid.heads.len();
    let needs: Vec<usize> =
        (0..count).map(|c| rows.iter().filter_map(|r| r.get(c)).map(|t| columns(t)).max().unwrap_or(0)).collect();
    let widths = shares(&needs, COLUMNS.saturating_sub(2 * count.saturating_sub(1)));
    for row in &rows {
        let cells: Vec<Vec<String>> =
            (0..count).map(|c| fold(row.get(c).map_or("", String::as_str), widths[c])).collect();
        let deepest = cells.iter().map(Vec::len).max().unwrap_or(0);
        for line in 0..deepest {
            let parts: Vec<String> = cells
                .iter()
                .zip(&widths)
                .map(|(cell, w)| {
                    let text = cell.get(line).map_or("", String::as_str);
                    format!("{text}{}", " ".repeat(w.saturating_sub(columns(text))))
                })
                .collect();
            out.push(parts.join("  ").trim_end().to_owned());
        }
    }
    out
}

/// Room shared out: narrow columns get what they need, wide ones equal parts of what is left.
fn shares(needs: &[usize], room: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..needs.len()).collect();
    order.sort_by_key(|i| needs[*i]);
    let mut widths = vec![0; needs.len()];
    let mut left = room;
    for (done, i) in order.into_iter().enumerate() {
        widths[i] = needs[i].min(left / (needs.len() - done)).max(1);
        left = left.saturating_sub(widths[i]);
    }
    widths
}

/// Text hanging behind a prefix: the first line opens with it, the others with as many spaces.
fn hanging(prefix: &str, text: &str) -> Vec<String> {
    let deep = columns(prefix);
    let lines = fold(&clean(text), COLUMNS - deep.min(COLUMNS - 20));
    let opening = |i: usize| if i == 0 { prefix.to_owned() } else { " ".repeat(deep) };
    lines.iter().enumerate().map(|(i, line)| format!("{}{line}", opening(i))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_columns_share_what_narrow_ones_leave() {
        assert_eq!(shares(&[5, 100, 100], 76), vec![5, 35, 36]);
        assert_eq!(shares(&[5, 10], 76), vec![5, 10]);
        assert!(shares(&[90; 6], 70).iter().sum::<usize>() <= 70);
    }
}
