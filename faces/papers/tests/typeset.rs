//! Document text: whatever was written stands in quoted strings only; every block is told; same document, same text.

use papers::blocks::{Block, Cell, Document, Grid, Row, Section, Weight, Words};
use papers::{Form, typeset};
use picture::forms::{IconArray, IconGroup, icon_array};
use proptest::prelude::*;

/// A text in every place that words can stand.
fn document(text: &str) -> Document {
    let words = || {
        Words::default()
            .plain(text)
            .strong(text)
            .quiet(text)
            .tag(text)
            .link(text, "one")
            .link(text, "nowhere")
            .plain(" ")
    };
    let group = IconGroup { label: text.into(), filled: 13, sentence: text.into() };
    let scene = icon_array(&IconArray { title: text.into(), event: text.into(), groups: vec![group] })
        .unwrap_or_else(|e| unreachable!("{e}"));
    let cell = Cell { scene: Some(scene.clone()), words: words() };
    let grid = Grid {
        caption: text.into(),
        heads: vec![text.into(), text.into()],
        rows: vec![Row { cells: vec![cell, Cell::from(text)], dimmed: true }],
    };
    let all = vec![
        Block::Heading(text.into()),
        Block::Lead(words()),
        Block::Paragraph(words()),
        Block::List(vec![words(); 2]),
        Block::Numbered(vec![words()]),
        Block::Table(grid),
        Block::Figure(scene.clone()),
        Block::Beside(vec![scene.clone(), scene]),
        Block::Note(Weight::Stop, words()),
        Block::Folded(words(), vec![Block::Paragraph(words())]),
        Block::Facts(vec![(text.into(), words())]),
        Block::Blank(words(), 2),
    ];
    let sections = vec![Section::new("one", text, all.clone())];
    Document { title: text.into(), opening: all.clone(), sections, closing: all, form: Form::default() }
}

/// The text outside of quoted strings; `None` when a string is not closed.
fn code(text: &str) -> Option<String> {
    let (mut code, mut quoted, mut escaped) = (String::new(), false, false);
    for c in text.chars() {
        match (quoted, escaped, c) {
            (true, true, _) => escaped = false,
            (true, false, '\\') => escaped = true,
            (_, _, '"') => quoted = !quoted,
            (true, ..) => {}
            (false, ..) => code.push(c),
        }
    }
    (!quoted).then_some(code)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The commands of a text are those of a document in harmless words; widths of columns go by how long words are and are left out.
    #[test]
    fn words_never_become_commands(text in "\\PC{0,40}", tail in r#"["\\#\[\]$`*_<>@/\n\r]{0,8}"#) {
        let commands = |words: &str| {
            let code = code(&typeset::text(&document(words), "2026-03-19"))?;
            Some(code.lines().filter(|l| !l.starts_with("#rows(")).map(str::to_owned).collect::<Vec<_>>())
        };
        let hostile = commands(&format!("x{text}{tail}"));
        prop_assert!(hostile.is_some());
        prop_assert_eq!(hostile, commands("x"));
    }
}

#[test]
fn every_kind_of_block_is_written() {
    let text = typeset::text(&document("word"), "2026-03-19");
    let body = text.split_once("#show: paper.with(").map(|(_, body)| body).unwrap_or_default();
    for call in [
        "#lead[",
        "#para[",
        "#list(",
        "#enum(",
        "#rows(",
        "#pictured(",
        "#note(",
        "#summary[",
        "#facts(",
        "#blank(",
        "#part(",
        "#foot[",
        "#heading(",
        "#small(",
        "#caption(",
        "#mark(",
        "#quiet(",
        "#strong(",
        "#link(",
    ] {
        assert!(body.contains(call), "{call} is not written");
    }
    assert_eq!(text, typeset::text(&document("word"), "2026-03-19"));
    // A link leads only where there is something.
    assert!(!body.contains("nowhere"));
}

#[test]
fn long_titles_are_cut_and_long_words_may_be_broken() {
    let text = typeset::text(&document(&"w".repeat(10_000)), "2026-03-19");
    // The title within a picture is not set in lines.
    let set = text.lines().filter(|l| !l.contains("<svg") && !l.contains("</title>") && !l.contains("</desc>"));
    let longest = set.flat_map(|l| l.split(|c: char| !c.is_alphanumeric())).map(str::len).max().unwrap_or(0);
    assert!(longest <= 40, "{longest} letters without a place to break");
}
