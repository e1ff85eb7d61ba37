//! A document as document text: text for the typesetter that makes it a PDF.
//!
//! The text is a short program in the typesetter's language: a fixed head (`typeset.typ`) and a call a block. Whatever a person wrote stands in it only as
//! quoted strings, which are shown as they are: nothing in them can be markup or a command. Pictures stand in it as SVG with their
//! description as alternative text. Same document and date, same text.

use crate::blocks::{Block, Cell, Document, Grid, Section, Span, Weight, Words, plain_id};
use crate::form::{Form, Sheet};
use picture::measure::clean;
use picture::{Scene, svg_inline};
use std::fmt::Write;

/// What every text begins with; its first line names the version of the form.
const HEAD: &str = include_str!("typeset.typ");

/// Family that pictures are drawn in, and the one the typesetter holds.
const FAMILIES: [&str; 2] =
    ["font-family=\"Liberation Sans, Arial, Helvetica, sans-serif\"", "font-family=\"Source Sans Pro\""];

/// Letters of a word after which it may be broken: longer than any word of the languages we write.
const LONG_WORD: usize = 34;

/// Letters of a title, a heading or a description: a string that is no text of a page has a limit in a PDF.
const TITLE: usize = 2000;

/// Letters of the head of a column: it is set again on every page the table runs over.
const HEAD_OF_COLUMN: usize = 200;

/// Letters of a row that fits one line in either size of print.
const ONE_LINE: usize = 60;

/// Letters that take the room of a small picture.
const PICTURED: usize = 14;

/// Letters from which a cell may run over a page.
const LONG_CELL: usize = 900;

/// The document as text for the typesetter; `date` is `year-month` or `year-month-day` and stands in the file's own data.
pub fn text(document: &Document, date: &str) -> String {
    let targets = document.sections.iter().map(|s| plain_id(&s.id)).collect();
    let mut writer = Writer { out: HEAD.to_owned(), figures: 0, targets, form: &document.form, stays: false };
    writer.document(document, date);
    writer.out
}

struct Writer<'a> {
    out: String,
    figures: usize,
    /// Ids a link may lead to.
    targets: Vec<String>,
    form: &'a Form,
    /// True in the last section.
    stays: bool,
}

impl Writer<'_> {
    fn document(&mut self, document: &Document, date: &str) {
        let form = self.form;
        let (lang, region) = match form.lang.split_once('-') {
            Some((lang, region)) => (lang, quoted(&plain_id(region))),
            None => (form.lang.as_str(), "none".to_owned()),
        };
        let dir = if form.right_to_left { "rtl" } else { "ltr" };
        let _ = writeln!(
            self.out,
            "#show: paper.with(title: {}, lang: {}, region: {region}, dir: {dir}, large: {}, across: {}, date: {})",
            title(&document.title),
            quoted(&plain_id(lang)),
            form.large,
            form.sheet == Sheet::Across,
            day(date),
        );
        self.blocks(&document.opening, 2);
        let end = document.sections.len().saturating_sub(1);
        for (i, section) in document.sections.iter().enumerate() {
            self.section(section, i == end);
        }
        self.put("#foot[");
        self.blocks(&document.closing, 2);
        self.put("]");
    }

    fn put(&mut self, line: &str) {
        self.out.push_str(line);
        self.out.push('\n');
    }

    /// What stands at the very end stays with the foot, so that it never stands alone on a page.
    fn section(&mut self, section: &Section, last: bool) {
        let id = plain_id(&section.id);
        let _ = writeln!(self.out, "#part({}, {})", title(&section.title), quoted(&id));
        self.stays = last;
        self.blocks(&section.blocks, 3);
        self.stays = false;
    }

    fn blocks(&mut self, blocks: &[Block], level: usize) {
        for (i, block) in blocks.iter().enumerate() {
            match (block, blocks.get(i + 1)) {
                // What leads up to a table or picture stays with it.
                (
                    Block::Paragraph(words),
                    Some(Block::Table(_) | Block::Figure(_) | Block::Beside(_) | Block::Blank(..)),
                ) => {
                    self.call("leading-up", words);
                }
                // Lines to be filled by hand that follow each other stay together.
                (Block::Blank(words, lines), next) => {
                    let sticky = self.stays && next.is_none() || matches!(next, Some(Block::Blank(..)));
                    let _ = writeln!(self.out, "#blank([{}], {lines}, sticky: {sticky})", self.inline(words));
                }
                // So does the last paragraph, with the foot.
                (Block::Paragraph(words), None) if self.stays => self.call("leading-up", words),
                _ => self.block(block, level),
            }
        }
    }

    fn block(&mut self, block: &Block, level: usize) {
        match block {
            Block::Heading(text) => {
                let _ = writeln!(self.out, "#heading(level: {level}, {})", title(text));
            }
            Block::Lead(words) => self.call("lead", words),
            Block::Paragraph(words) => self.call("para", words),
            Block::List(items) => self.list("list", items),
            Block::Numbered(items) => self.list("enum", items),
            Block::Table(grid) => self.table(grid),
            Block::Figure(scene) => self.figure(scene),
            Block::Beside(scenes) => scenes.iter().for_each(|s| self.figure(s)),
            Block::Note(weight, words) => self.note(*weight, words),
            Block::Folded(summary, blocks) => {
                self.call("summary", summary);
                self.blocks(blocks, level);
            }
            Block::Facts(facts) if facts.is_empty() => {}
            Block::Facts(facts) => {
                self.put("#facts(");
                for (name, value) in facts {
                    let _ = writeln!(self.out, "({}, [{}]),", quoted(name), self.inline(value));
                }
                self.put(")");
            }
            // Written with what stands around it.
            Block::Blank(..) => {}
        }
    }

    fn call(&mut self, name: &str, words: &Words) {
        if !words.is_empty() {
            let _ = writeln!(self.out, "#{name}[{}]", self.inline(words));
        }
    }

    fn list(&mut self, name: &str, items: &[Words]) {
        if items.is_empty() {
            return;
        }
        let items: Vec<String> = items.iter().map(|i| format!("[{}]", self.inline(i))).collect();
        let _ = writeln!(self.out, "#{name}({})", items.join(", "));
    }

    fn note(&mut self, weight: Weight, words: &Words) {
        let stroke = if weight == Weight::Remark { 1 } else { 3 };
        let _ = writeln!(self.out, "#note({stroke}, {}, [{}])", quoted(weight.word_in(self.form)), self.inline(words));
    }

    fn figure(&mut self, scene: &Scene) {
        let picture = self.picture(scene);
        let _ = writeln!(self.out, "#pictured({picture}, {})", title(&scene.title));
    }

    /// SVG, alternative text and width in px.
    fn picture(&mut self, scene: &Scene) -> String {
        self.figures += 1;
        let svg = svg_inline(scene, &format!("figure-{}", self.figures)).replace(FAMILIES[0], FAMILIES[1]);
        let told = if scene.description.is_empty() { &scene.title } else { &scene.description };
        format!("{}, {}, {}", literal(&svg), title(told), scene.width)
    }

    fn table(&mut self, grid: &Grid) {
        if !grid.caption.is_empty() {
            let _ = writeln!(self.out, "#caption({})", quoted(&grid.caption));
        }
        let heads: Vec<String> = grid.heads.iter().map(|h| cut(h, HEAD_OF_COLUMN)).collect();
        let _ = writeln!(self.out, "#rows(({},), {}, (", heads.join(", "), columns(grid));
        for row in &grid.rows {
            let cells: Vec<String> = row.cells.iter().map(|c| self.cell(c)).collect();
            let _ = writeln!(self.out, "({}, {},),", row.dimmed, cells.join(", "));
        }
        self.put("))");
    }

    /// Content of a cell, whether it may run over a page, and whether it marks its own strong words.
    fn cell(&mut self, cell: &Cell) -> String {
        let picture = cell.scene.as_ref().map_or(String::new(), |s| format!("#small({})", self.picture(s)));
        let long = cell.words.text().len() > LONG_CELL;
        // The head of a row is strong unless it says itself what of it is.
        let marked = cell.words.0.iter().any(|s| matches!(s, Span::Strong(_)));
        format!("([{picture}{}], {long}, {marked})", self.inline(&cell.words))
    }

    fn inline(&self, words: &Words) -> String {
        let mut out = String::new();
        for span in &words.0 {
            let text = spaced(span.text());
            let _ = match span {
                Span::Plain(_) => write!(out, "#{text}"),
                Span::Strong(_) => write!(out, "#strong({text})"),
                Span::Quiet(_) => write!(out, "#quiet({text})"),
                Span::Tag(_) => write!(out, "#mark({text})"),
                Span::Within(_, id) if self.targets.contains(&plain_id(id)) => {
                    write!(out, "#link(label({}), {text})", quoted(&plain_id(id)))
                }
                Span::Within(..) => write!(out, "#{text}"),
            };
        }
        out
    }
}

/// Widths of a table's columns: as its words need where they fit a line together, else shares of the page that grow with the root of
/// what a column has to say, so that a long one has fewer lines and no short one is squeezed beneath its longest word.
fn columns(grid: &Grid) -> String {
    let of = |i: usize| {
        let cells = grid.rows.iter().filter_map(move |r| r.cells.get(i));
        let texts = cells.map(|c| c.words.text()).chain(grid.heads.get(i).cloned());
        let (mut length, mut word) = (1, 1);
        for text in texts.map(|t| clean(&t)) {
            length = length.max(text.chars().count());
            // Spaces that do not break hold words together.
            word = word.max(text.split(' ').map(|w| w.chars().count()).max().unwrap_or(0).min(LONG_WORD));
        }
        let pictured = grid.rows.iter().filter_map(|r| r.cells.get(i)).any(|c| c.scene.is_some());
        (length, word.max(if pictured { PICTURED } else { 0 }))
    };
    let needs: Vec<(usize, usize)> = (0..grid.heads.len()).map(of).collect();
    if needs.iter().map(|(length, _)| length + 2).sum::<usize>() <= ONE_LINE {
        return "auto".to_owned();
    }
    let share = |(length, word): &(usize, usize)| (*word as f64).max(3.0 * (*length as f64).sqrt());
    let shares: Vec<String> = needs.iter().map(|n| format!("{:.1}fr", share(n) + 2.0)).collect();
    format!("({},)", shares.join(", "))
}

/// Words as a quoted string, cleaned, long words with places where they may be broken.
fn quoted(text: &str) -> String {
    literal(&breakable(&clean(text)))
}

/// As [`quoted`], cut where it is too long.
fn title(text: &str) -> String {
    cut(text, TITLE)
}

fn cut(text: &str, most: usize) -> String {
    match text.char_indices().nth(most) {
        Some((at, _)) => quoted(&format!("{}\u{2026}", &text[..at])),
        None => quoted(text),
    }
}

/// As [`quoted`], with the space at either end that joins one run of words to the next.
fn spaced(text: &str) -> String {
    let ends = (text.starts_with(' '), text.len() > 1 && text.ends_with(' '));
    let space = |there: bool| if there { " " } else { "" };
    literal(&format!("{}{}{}", space(ends.0), breakable(&clean(text)), space(ends.1)))
}

/// A string of the typesetter's language: only `\` and `"` mean something in it.
fn literal(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\""))
}

/// A space of no width after every [`LONG_WORD`] letters without a space.
fn breakable(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut run = 0;
    for c in text.chars() {
        run = if c == ' ' { 0 } else { run + 1 };
        out.push(c);
        if run == LONG_WORD {
            out.push('\u{200b}');
            run = 0;
        }
    }
    out
}

/// `year-month(-day)` as the typesetter writes a date; none for anything else.
fn day(date: &str) -> String {
    let parts: Vec<Option<u32>> = date.split('-').map(|p| p.parse().ok()).collect();
    let (year, month, day) = match parts.as_slice() {
        [Some(year), Some(month)] => (*year, *month, 1),
        [Some(year), Some(month), Some(day)] => (*year, *month, *day),
        _ => return "none".to_owned(),
    };
    if (1..=9999).contains(&year) && (1..=12).contains(&month) && (1..=31).contains(&day) {
        format!("datetime(year: {year}, month: {month}, day: {day})")
    } else {
        "none".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_hold_whatever_was_written_and_nothing_of_it_commands() {
        assert_eq!(quoted("#read(\"x\") \\ [a] $b$ *c*"), "\"#read(\\\"x\\\") \\\\ [a] $b$ *c*\"");
        assert_eq!(spaced(" of it "), "\" of it \"");
        assert_eq!(quoted("a\nb\u{202e}c"), "\"a bc\"");
    }

    #[test]
    fn long_words_may_be_broken_and_dates_are_dates() {
        assert_eq!(breakable(&"w".repeat(100)).matches('\u{200b}').count(), 2);
        assert_eq!(day("2026-03"), "datetime(year: 2026, month: 3, day: 1)");
        assert_eq!(day("2026-03-19"), "datetime(year: 2026, month: 3, day: 19)");
        assert_eq!([day("today"), day("2026-13"), day("")], ["none", "none", "none"]);
    }
}
