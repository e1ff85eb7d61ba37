//! Blocks become sound HTML and sound text, whatever people write into them.

#![allow(clippy::expect_used, clippy::unwrap_used)]

use catalogue::words::{Jaw, Tooth};
use papers::arch::{Arch, Stands, Unit, arch};
use papers::blocks::{Block, Cell, Document, Grid, Row, Section, Weight, Words};
use papers::{html, terminal};
use picture::Charset;

fn lower_bridge(title: &str) -> Arch {
    let width = [5.0, 5.5, 7.0, 7.0, 7.0, 11.0, 10.5, 10.0];
    let depth = [6.0, 6.5, 7.5, 7.5, 8.0, 10.5, 10.0, 9.5];
    let units = Tooth::all().filter(|t| t.jaw() == Jaw::Lower && t.number() < 8).map(|tooth| {
        let i = usize::from(tooth.number()) - 1;
        let stands = match tooth.code() {
            45 | 47 => Stands::Crown,
            46 => Stands::Pontic,
            36 => Stands::Implant,
            33 => Stands::Part,
            31 => Stands::Gap,
            _ => Stands::Tooth,
        };
        Unit { tooth, width_mm: width[i], depth_mm: depth[i], stands }
    });
    let t = |c| Tooth::new(c).unwrap();
    Arch { title: title.into(), units: units.collect(), joined: vec![(t(45), t(46)), (t(46), t(47))] }
}

fn document(text: &str) -> Document {
    let words = || Words::default().plain(text).strong(text).quiet(text).tag(text).link(text, text);
    let cell = || Cell { scene: Some(arch(&lower_bridge(text)).unwrap()), words: words() };
    let grid = Grid {
        caption: text.into(),
        heads: vec![String::new(), text.into(), text.into()],
        rows: vec![Row { cells: vec![Cell::from(words()), cell(), Cell::default()], dimmed: true }],
    };
    let all = vec![
        Block::Heading(text.into()),
        Block::Paragraph(words()),
        Block::List(vec![words()]),
        Block::Numbered(vec![words()]),
        Block::Table(grid),
        Block::Figure(arch(&lower_bridge(text)).unwrap()),
        Block::Note(Weight::Stop, words()),
        Block::Folded(words(), vec![Block::Paragraph(words())]),
        Block::Facts(vec![(text.into(), words())]),
    ];
    let sections = (0..5).map(|i| Section::new(&format!("{text}-{i}"), text, all.clone())).collect();
    Document { title: text.into(), opening: all.clone(), sections, closing: all, form: papers::Form::default() }
}

#[test]
fn hostile_text_yields_no_markup_and_no_escape() {
    for text in
        ["</p><script>alert(1)</script>", "\" onclick=\"x", "\u{1b}]0;x\u{7}\u{202e}", "'><img src=x onerror=y>"]
    {
        let page = html::page(&document(text));
        for forbidden in ["<script", "<img", "onclick=\"", "\u{1b}", "\u{202e}", "\u{7}"] {
            assert!(!page.contains(forbidden), "{text:?}: {forbidden:?}");
        }
        let lines = terminal::lines(&document(text), Charset::Unicode);
        assert!(lines.iter().all(|l| l.chars().all(|c| !c.is_control() && c != '\u{202e}')));
    }
}

#[test]
fn every_tag_that_opens_closes() {
    let page = html::page(&document("some words"));
    for tag in [
        "html",
        "head",
        "body",
        "main",
        "header",
        "footer",
        "nav",
        "section",
        "h1",
        "h2",
        "h3",
        "p",
        "ul",
        "ol",
        "li",
        "table",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "caption",
        "figure",
        "figcaption",
        "details",
        "summary",
        "dl",
        "dt",
        "dd",
        "div",
        "span",
        "strong",
        "a",
        "svg",
        "style",
    ] {
        let open = page.matches(&format!("<{tag}>")).count() + page.matches(&format!("<{tag} ")).count();
        assert_eq!(open, page.matches(&format!("</{tag}>")).count(), "{tag}");
        assert!(open > 0, "{tag} is not used");
    }
}

#[test]
fn ids_are_unique_and_links_lead_somewhere() {
    let page = html::page(&document("words"));
    let values = |name: &str| {
        page.split(&format!(" {name}=\""))
            .skip(1)
            .filter_map(|r| r.split('"').next())
            .map(str::to_owned)
            .collect::<Vec<_>>()
    };
    let mut ids = values("id");
    let count = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands twice");
    for link in values("href").iter().filter(|l| *l != "#words") {
        assert!(ids.contains(&link.trim_start_matches('#').to_owned()), "{link} leads nowhere");
    }
}

#[test]
fn nothing_is_styled_or_fetched_inline() {
    let page = html::page(&document("words"));
    assert!(!page.contains(" style=") && !page.contains("src=") && !page.contains("url(") && !page.contains("@import"));
    assert!(page.contains("lang=\"en-GB\"") && page.contains("default-src 'none'"));
    assert_eq!(page.matches("<style").count(), 1);
}

#[test]
fn terminal_lines_keep_eighty_columns() {
    let long = "a fairly long sentence about something that does not end soon ".repeat(9);
    for charset in [Charset::Unicode, Charset::Ascii] {
        for line in terminal::lines(&document(&long), charset) {
            assert!(picture::measure::columns(&line) <= 80 || line.contains("..."), "{line}");
        }
    }
}

#[test]
fn the_arch_lies_inside_and_names_what_is_planned() {
    let data = lower_bridge("A bridge from 45 to 47.");
    let scene = arch(&data).unwrap();
    assert!(scene.outside().is_empty(), "{:?}", scene.outside());
    assert!(scene.description.contains("46 pontic") && scene.description.contains("46 to 47"));
    let upper = Arch {
        units: data.units.iter().map(|u| Unit { tooth: Tooth::new(u.tooth.code() - 20).unwrap(), ..*u }).collect(),
        ..data.clone()
    };
    assert!(arch(&upper).is_err() || arch(&upper).unwrap().outside().is_empty());
    let mut twice = data.clone();
    twice.units.push(twice.units[0]);
    assert!(arch(&twice).is_err());
    if let Ok(folder) = std::env::var("PICTURE_OUT") {
        std::fs::write(format!("{folder}/arch.svg"), picture::svg(&scene, picture::Theme::Light)).unwrap();
        std::fs::write(format!("{folder}/blocks.html"), html::page(&document("Some words of middling length")))
            .unwrap();
        std::fs::write(format!("{folder}/arch.txt"), picture::text_lines(&scene, Charset::Unicode).join("\n")).unwrap();
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(16))]

    #[test]
    fn any_text_leaves_the_number_of_tags_as_it_is(text in "\\PC{0,60}") {
        let plain = html::page(&document("x")).matches('<').count();
        // A text that is empty once cleaned heads nothing, so that a row loses its head but no tag.
        proptest::prop_assert_eq!(html::page(&document(&text)).matches('<').count(), if picture::measure::clean(&text).is_empty() { html::page(&document("")).matches('<').count() } else { plain });
    }
}
