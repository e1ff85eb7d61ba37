//! A scene as SVG 1.1 text: attributes only (no style, no script, nothing fetched), so that it works under the strictest
//! content policy; `role="img"` with title and description; same scene, same bytes.

use crate::curve;
use crate::measure::clean;
use crate::{Anchor, Dash, Fill, Ink, Mark, Pen, Rgb, Scene, Shape, Spot, Text, Theme};
use std::fmt::Write;

/// Families with the widths of the own table, then whatever the reader has.
const FAMILY: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

/// Margin round a picture that stands alone, px.
const MARGIN: f64 = 8.0;

/// A picture that stands alone, with its ground painted and a margin.
pub fn svg(scene: &Scene, theme: Theme) -> String {
    let mut out = head(scene, "picture", MARGIN);
    let size = [scene.width + 2.0 * MARGIN, scene.height + 2.0 * MARGIN];
    Pencil { out: &mut out, theme }.mark(&Mark::Rect {
        at: [-MARGIN, -MARGIN],
        size,
        fill: Fill::Ink(Ink::Ground),
        edge: None,
    });
    draw(scene, theme, &mut out);
    out
}

/// A picture to be set into a page: no ground, colours of the light theme as attributes and the role of each as a class
/// (`fill-...`, `line-...`) so that the page's style can change them ([`crate::palette::style_rules`]). `id` must be unique on the
/// page; characters other than ASCII letters, digits and `-` are dropped from it.
pub fn svg_inline(scene: &Scene, id: &str) -> String {
    let id: String = id.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').collect();
    let mut out = head(scene, &id, 0.0);
    draw(scene, Theme::Light, &mut out);
    out
}

fn head(scene: &Scene, id: &str, margin: f64) -> String {
    let (w, h) = (number(scene.width + 2.0 * margin), number(scene.height + 2.0 * margin));
    let start = number(-margin);
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"{id}-title {id}-desc\" viewBox=\"{start} {start} {w} {h}\" \
         width=\"{w}\" height=\"{h}\" font-family=\"{FAMILY}\" font-variant=\"tabular-nums\" direction=\"ltr\">\n<title \
         id=\"{id}-title\">{}</title>\n<desc id=\"{id}-desc\">{}</desc>\n",
        escape(&scene.title),
        escape(&scene.description)
    )
}

fn draw(scene: &Scene, theme: Theme, out: &mut String) {
    let mut pencil = Pencil { out, theme };
    scene.marks.iter().for_each(|m| pencil.mark(m));
    out.push_str("</svg>\n");
}

/// Text for XML and HTML: cleaned, the five special characters named.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    out
}

/// At most two decimals, no trailing zeros, no minus before zero.
fn number(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn pair(p: Spot) -> String {
    format!("{},{}", number(p[0]), number(p[1]))
}

struct Pencil<'a> {
    out: &'a mut String,
    theme: Theme,
}

impl Pencil<'_> {
    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Polyline { points, pen } => {
                let line = self.line(Some(*pen));
                self.tag(&format!("polyline points=\"{}\" fill=\"none\"{line}", list(points)));
            }
            Mark::Polygon { points, fill, edge } => {
                let paint = self.paint(*fill, *edge);
                self.tag(&format!("polygon points=\"{}\"{paint}", list(points)));
            }
            Mark::Outline { points, fill, edge } => {
                let paint = self.paint(*fill, *edge);
                self.tag(&format!("path d=\"{}\"{paint}", smooth(points)));
            }
            Mark::Rect { at, size, fill, edge } => {
                let paint = self.paint(*fill, *edge);
                let [x, y, w, h] = [at[0], at[1], size[0], size[1]].map(number);
                self.tag(&format!("rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"{paint}"));
            }
            Mark::Point { at, radius, shape, ink } => self.point(*at, *radius, *shape, *ink),
            Mark::Text(text) => self.text(text),
            Mark::Group(group) => {
                let _ = writeln!(self.out, "<g transform=\"translate({})\">", pair(group.at));
                group.marks.iter().for_each(|m| self.mark(m));
                self.out.push_str("</g>\n");
            }
        }
    }

    fn tag(&mut self, inside: &str) {
        let _ = writeln!(self.out, "<{inside}/>");
    }

    fn point(&mut self, at: Spot, r: f64, shape: Shape, ink: Ink) {
        let filled = self.paint(Fill::Ink(ink), None);
        let [x, y, radius] = [at[0], at[1], r].map(number);
        match shape {
            Shape::Disc => self.tag(&format!("circle cx=\"{x}\" cy=\"{y}\" r=\"{radius}\"{filled}")),
            Shape::Ring => {
                let ring = self.paint(Fill::Ink(Ink::Ground), Some(Pen::solid(ink, 1.4)));
                self.tag(&format!("circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"{ring}", number(r - 0.7)));
            }
            Shape::Square => {
                let [left, top, side] = [at[0] - r, at[1] - r, 2.0 * r].map(number);
                self.tag(&format!("rect x=\"{left}\" y=\"{top}\" width=\"{side}\" height=\"{side}\"{filled}"));
            }
            Shape::Diamond => {
                let corners = [[at[0] - r, at[1]], [at[0], at[1] - r], [at[0] + r, at[1]], [at[0], at[1] + r]];
                self.tag(&format!("polygon points=\"{}\"{filled}", list(&corners)));
            }
            Shape::Left | Shape::Right => {
                let way = if shape == Shape::Right { r } else { -r };
                let corners = [[at[0] + way, at[1]], [at[0] - way, at[1] - r], [at[0] - way, at[1] + r]];
                self.tag(&format!("polygon points=\"{}\"{filled}", list(&corners)));
            }
            Shape::Person => self.person(at, r, &filled),
            Shape::PersonHollow => {
                let outline = self.paint(Fill::Ink(Ink::Ground), Some(Pen::solid(ink, 1.0)));
                self.person(at, r - 0.5, &outline);
            }
        }
    }

    /// Head and shoulders in a square of half side `r`.
    fn person(&mut self, at: Spot, r: f64, paint: &str) {
        let [x, y] = at;
        let [cx, cy, head] = [x, y - 0.58 * r, 0.40 * r].map(number);
        self.tag(&format!("circle cx=\"{cx}\" cy=\"{cy}\" r=\"{head}\"{paint}"));
        let corners = [(-0.72, 1.0), (-0.66, 0.24), (-0.40, -0.06), (0.40, -0.06), (0.66, 0.24), (0.72, 1.0)];
        let shoulders = corners.map(|(dx, dy)| [x + dx * r, y + dy * r]);
        self.tag(&format!("polygon points=\"{}\"{paint}", list(&shoulders)));
    }

    fn text(&mut self, text: &Text) {
        if text.words.is_empty() {
            return;
        }
        let anchor = match text.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let weight = if text.bold { " font-weight=\"bold\"" } else { "" };
        let paint = self.paint(Fill::Ink(text.ink), None);
        let [x, y, size] = [text.at[0], text.at[1], text.size].map(number);
        let words = escape(&text.words);
        let _ =
            writeln!(self.out, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"{weight}{anchor}{paint}>{words}</text>");
    }

    fn hex(&self, ink: Ink) -> String {
        ink.rgb(self.theme).hex()
    }

    /// Fill and edge attributes with the classes of their roles.
    fn paint(&self, fill: Fill, edge: Option<Pen>) -> String {
        let (colour, mut class) = match fill {
            Fill::Hollow => ("none".to_owned(), String::new()),
            Fill::Ink(ink) => (self.hex(ink), format!("fill-{}", ink.name())),
            Fill::Own(Rgb(r, g, b)) => (Rgb(r, g, b).hex(), String::new()),
        };
        let stroke = edge.map(|pen| {
            if !class.is_empty() {
                class.push(' ');
            }
            class.push_str("line-");
            class.push_str(pen.ink.name());
            self.stroke(pen)
        });
        let class = if class.is_empty() { class } else { format!(" class=\"{class}\"") };
        format!(" fill=\"{colour}\"{}{class}", stroke.unwrap_or_default())
    }

    fn line(&self, pen: Option<Pen>) -> String {
        pen.map(|p| format!("{} class=\"line-{}\"", self.stroke(p), p.ink.name())).unwrap_or_default()
    }

    fn stroke(&self, pen: Pen) -> String {
        let dash = match pen.dash {
            Dash::Solid => "",
            Dash::Dashed => " stroke-dasharray=\"6 4\"",
            Dash::Dotted => " stroke-dasharray=\"1.5 3\"",
        };
        format!(" stroke=\"{}\" stroke-width=\"{}\"{dash}", self.hex(pen.ink), number(pen.width))
    }
}

fn list(points: &[Spot]) -> String {
    points.iter().map(|p| pair(*p)).collect::<Vec<_>>().join(" ")
}

fn smooth(points: &[Spot]) -> String {
    let Some(first) = points.first() else { return String::new() };
    let mut d = format!("M{}", pair(*first));
    for [a, b, to] in curve::pieces(points) {
        let _ = write!(d, "C{} {} {}", pair(a), pair(b), pair(to));
    }
    d.push('Z');
    d
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_zero_has_no_sign() {
        assert_eq!([number(-0.001), number(1.50), number(2.0), number(1.239)], ["0", "1.5", "2", "1.24"]);
    }

    #[test]
    fn the_five_special_characters_are_named() {
        assert_eq!(escape("<a href='x'>&\"</a>"), "&lt;a href=&#39;x&#39;&gt;&amp;&quot;&lt;/a&gt;");
    }
}
