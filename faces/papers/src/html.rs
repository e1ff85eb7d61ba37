//! A document as one self-contained HTML file in its own language: no script, nothing fetched, one style in the head, allowed by a
//! policy written into the file; skip link, landmarks, captions, heads of rows and columns; readable on a light and a dark screen
//! and printed on A4.

use crate::blocks::{Block, Cell, Document, Grid, Section, Span, Weight, Words};
use crate::form::{Form, Sheet};
use picture::palette::style_rules;
use picture::{Ink, Scene, Theme, escape, svg_inline};
use std::fmt::Write;

const STYLE: &str = include_str!("style.css");

/// The document as HTML.
pub fn page(document: &Document) -> String {
    let mut writer = Writer { out: String::new(), figures: 0, within: false, form: document.form.clone() };
    writer.document(document);
    writer.out
}

/// The style of a page: inks of the house on both grounds, for the page and for its pictures, then the rules of layout.
fn style() -> String {
    let inks = |theme| {
        let inks: Vec<String> = Ink::ALL.iter().map(|i| format!("--{}:{}", i.name(), i.rgb(theme).hex())).collect();
        format!(":root{{{}}}\n{}", inks.join(";"), style_rules(theme, ""))
    };
    format!("{}@media screen and (prefers-color-scheme: dark){{\n{}}}\n{STYLE}", inks(Theme::Light), inks(Theme::Dark))
}

struct Writer {
    out: String,
    figures: usize,
    /// True within a section.
    within: bool,
    /// Language and size.
    form: Form,
}

impl Writer {
    fn put(&mut self, text: &str) {
        self.out.push_str(text);
        self.out.push('\n');
    }

    fn document(&mut self, document: &Document) {
        let title = escape(&document.title);
        let dir = if self.form.right_to_left { "rtl" } else { "ltr" };
        let large = if self.form.large { " class=\"large\"" } else { "" };
        let sheet = if self.form.sheet == Sheet::Across { " class=\"across\"" } else { "" };
        let lang = crate::blocks::plain_id(&self.form.lang);
        self.put("<!doctype html>");
        self.put(&format!("<html lang=\"{lang}\" dir=\"{dir}\"{large}>\n<head>\n<meta charset=\"utf-8\">"));
        self.put(
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        );
        self.put("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">");
        self.put("<meta name=\"color-scheme\" content=\"light dark\">");
        let _ = write!(self.out, "<title>{title}</title>\n<style>\n{}</style>\n</head>\n<body{sheet}>\n", style());
        self.put(&format!("<a class=\"skip\" href=\"#main\">{}</a>", escape(&self.form.words.skip)));
        let _ = write!(self.out, "<header>\n<h1>{title}</h1>\n</header>\n<main id=\"main\">\n");
        self.blocks(&document.opening);
        if document.sections.len() > 3 {
            self.contents(&document.sections);
        }
        document.sections.iter().for_each(|s| self.section(s));
        self.put("</main>\n<footer>");
        self.blocks(&document.closing);
        self.put("</footer>\n</body>\n</html>");
    }

    fn contents(&mut self, sections: &[Section]) {
        self.put(&format!("<nav aria-label=\"{}\">\n<ul>", escape(&self.form.words.contents)));
        for s in sections {
            let _ = writeln!(self.out, "<li><a href=\"#{}\">{}</a></li>", s.id, escape(&s.title));
        }
        self.put("</ul>\n</nav>");
    }

    fn section(&mut self, section: &Section) {
        let id = &section.id;
        let _ = writeln!(self.out, "<section id=\"{id}\" aria-labelledby=\"{id}-head\">");
        let _ = writeln!(self.out, "<h2 id=\"{id}-head\">{}</h2>", escape(&section.title));
        self.within = true;
        self.blocks(&section.blocks);
        self.within = false;
        self.put("</section>");
    }

    fn blocks(&mut self, blocks: &[Block]) {
        blocks.iter().for_each(|b| self.block(b));
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(text) => {
                // Directly under the title a heading is of second rank, within a section of third.
                let (open, close) = if self.within { ("<h3>", "</h3>") } else { ("<h2 class=\"minor\">", "</h2>") };
                let _ = writeln!(self.out, "{open}{}{close}", escape(text));
            }
            Block::Lead(words) => {
                let _ = writeln!(self.out, "<p class=\"lead\">{}</p>", inline(words));
            }
            Block::Paragraph(words) => {
                let _ = writeln!(self.out, "<p>{}</p>", inline(words));
            }
            Block::List(items) => self.list("ul", items),
            Block::Numbered(items) => self.list("ol", items),
            Block::Table(grid) => self.table(grid),
            Block::Figure(scene) => self.figure(scene),
            Block::Beside(scenes) => {
                self.put("<div class=\"beside\">");
                scenes.iter().for_each(|s| self.figure(s));
                self.put("</div>");
            }
            Block::Note(weight, words) => self.note(*weight, words),
            Block::Folded(summary, blocks) => {
                let _ = writeln!(self.out, "<details>\n<summary>{}</summary>", inline(summary));
                self.blocks(blocks);
                self.put("</details>");
            }
            Block::Blank(words, lines) => {
                self.put("<div class=\"blank\">");
                if !words.is_empty() {
                    let _ = writeln!(self.out, "<p>{}</p>", inline(words));
                }
                (0..*lines).for_each(|_| self.put("<div class=\"line\"></div>"));
                self.put("</div>");
            }
            Block::Facts(facts) => {
                self.put("<dl>");
                for (name, value) in facts {
                    let _ = writeln!(self.out, "<div><dt>{}</dt><dd>{}</dd></div>", escape(name), inline(value));
                }
                self.put("</dl>");
            }
        }
    }

    fn list(&mut self, tag: &str, items: &[Words]) {
        if items.is_empty() {
            return;
        }
        let _ = writeln!(self.out, "<{tag}>");
        for item in items {
            let _ = writeln!(self.out, "<li>{}</li>", inline(item));
        }
        let _ = writeln!(self.out, "</{tag}>");
    }

    fn note(&mut self, weight: Weight, words: &Words) {
        let class = match weight {
            Weight::Remark => "note",
            Weight::Caution => "note caution",
            Weight::Stop => "note stop",
        };
        let _ = writeln!(
            self.out,
            "<p class=\"{class}\"><strong>{}:</strong> {}</p>",
            escape(weight.word_in(&self.form)),
            inline(words)
        );
    }

    /// The finding above the picture, the data folded beneath.
    fn figure(&mut self, scene: &Scene) {
        self.figures += 1;
        let id = format!("figure-{}", self.figures);
        let _ = writeln!(self.out, "<figure>\n<figcaption>{}</figcaption>", escape(&scene.title));
        let svg = svg_inline(scene, &id);
        self.out.push_str(&svg);
        if !scene.table.rows.is_empty() {
            self.put(&format!("<details>\n<summary>{}</summary>", escape(&self.form.words.data)));
            self.table(&Grid::from(scene.table.clone()));
            self.put("</details>");
        }
        self.put("</figure>");
    }

    fn table(&mut self, grid: &Grid) {
        let pictures = grid.rows.iter().any(|r| r.cells.iter().any(|c| c.scene.is_some()));
        let class = if pictures { " class=\"pictures\"" } else { "" };
        let label = if grid.caption.is_empty() { self.form.words.table.clone() } else { grid.caption.clone() };
        // A wide table scrolls by itself and can be reached with the keyboard.
        let _ = writeln!(
            self.out,
            "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">",
            escape(&label)
        );
        let _ = writeln!(self.out, "<table{class}>");
        if !grid.caption.is_empty() {
            let _ = writeln!(self.out, "<caption>{}</caption>", escape(&grid.caption));
        }
        self.put("<thead>\n<tr>");
        for head in &grid.heads {
            let text = escape(head);
            let _ = if text.is_empty() {
                writeln!(self.out, "<td></td>")
            } else {
                writeln!(self.out, "<th scope=\"col\">{text}</th>")
            };
        }
        self.put("</tr>\n</thead>\n<tbody>");
        for row in &grid.rows {
            self.put(if row.dimmed { "<tr class=\"dimmed\">" } else { "<tr>" });
            for (i, cell) in row.cells.iter().enumerate() {
                self.cell(cell, i == 0 && grid.heads.len() > 1);
            }
            self.put("</tr>");
        }
        self.put("</tbody>\n</table>\n</div>");
    }

    fn cell(&mut self, cell: &Cell, heads_row: bool) {
        let (open, close) =
            if heads_row && !cell.words.is_empty() { ("<th scope=\"row\">", "</th>") } else { ("<td>", "</td>") };
        self.out.push_str(open);
        if let Some(scene) = &cell.scene {
            self.figures += 1;
            let svg = svg_inline(scene, &format!("figure-{}", self.figures));
            self.out.push_str(&svg);
        }
        self.out.push_str(&inline(&cell.words));
        self.put(close);
    }
}

/// Words with their marks; everything escaped.
fn inline(words: &Words) -> String {
    let mut out = String::new();
    for span in &words.0 {
        let text = keep_spaces(span.text());
        let _ = match span {
            Span::Plain(_) => write!(out, "{text}"),
            Span::Strong(_) => write!(out, "<strong>{text}</strong>"),
            Span::Quiet(_) => write!(out, "<span class=\"quiet\">{text}</span>"),
            Span::Tag(_) => write!(out, "<span class=\"tag\">{text}</span>"),
            Span::Within(_, id) => write!(out, "<a href=\"#{}\">{text}</a>", crate::blocks::plain_id(id)),
        };
    }
    out
}

/// Escaped, with the space at either end that joins one run of words to the next.
fn keep_spaces(text: &str) -> String {
    let (before, after) =
        (if text.starts_with(' ') { " " } else { "" }, if text.len() > 1 && text.ends_with(' ') { " " } else { "" });
    format!("{before}{}{after}", escape(text))
}
