//! Every form, drawn from plain data, holds what the house style promises; `PICTURE_OUT=folder` writes them down to be looked at.

#![allow(clippy::expect_used, clippy::unwrap_used)]

mod common;

use picture::{Charset, Theme, svg, svg_inline, text_lines};

#[test]
fn every_form_lies_inside_its_view_box() {
    for (name, scene) in common::gallery() {
        assert!(scene.outside().is_empty(), "{name}: {:?}", scene.outside());
        assert!(scene.width <= picture::WIDTH && scene.height > 0.0);
    }
}

#[test]
fn every_form_says_its_finding_and_holds_its_data() {
    for (name, scene) in common::gallery() {
        let text = svg(&scene, Theme::Light);
        assert!(text.contains("role=\"img\"") && text.contains("<title") && text.contains("<desc"), "{name}");
        assert!(scene.title.ends_with('.') || scene.title.contains(' '), "{name}: the title is no sentence");
        assert!(scene.description.len() > 20, "{name}");
        assert!(
            !scene.table.rows.is_empty() && scene.table.rows.iter().all(|r| r.len() == scene.table.heads.len()),
            "{name}"
        );
    }
}

#[test]
fn svg_holds_attributes_only_and_the_same_bytes_twice() {
    for (name, scene) in common::gallery() {
        for text in [svg(&scene, Theme::Dark), svg_inline(&scene, "p1")] {
            for forbidden in ["style", "<script", "href", "NaN", "inf", "url("] {
                let drawn: String = text
                    .lines()
                    .filter(|l| !l.starts_with("<title") && !l.starts_with("<desc") && !l.starts_with("<text"))
                    .collect();
                assert!(!drawn.contains(forbidden), "{name} holds {forbidden}");
            }
        }
        let again = common::gallery().into_iter().find(|(n, _)| *n == name).map(|(_, s)| svg(&s, Theme::Light));
        assert_eq!(again, Some(svg(&scene, Theme::Light)));
    }
}

#[test]
fn terminal_lines_fit_eighty_columns_and_ascii_is_ascii() {
    for (name, scene) in common::gallery() {
        let lines = text_lines(&scene, Charset::Unicode);
        assert!(lines.iter().skip(1).all(|l| picture::measure::columns(l) <= 80), "{name}");
        assert!(text_lines(&scene, Charset::Ascii).iter().all(|l| l.bytes().all(|b| (32..127).contains(&b))), "{name}");
    }
}

#[test]
fn gallery_is_written_where_asked() {
    let Ok(folder) = std::env::var("PICTURE_OUT") else { return };
    for (name, scene) in common::gallery() {
        for (theme, suffix) in [(Theme::Light, "light"), (Theme::Dark, "dark")] {
            std::fs::write(format!("{folder}/{name}-{suffix}.svg"), svg(&scene, theme)).expect("folder can be written");
        }
        let mut text = text_lines(&scene, Charset::Unicode).join("\n");
        text.push_str("\n\n");
        text.push_str(&text_lines(&scene, Charset::Ascii).join("\n"));
        text.push_str("\n\n");
        text.push_str(&scene.table.lines().join("\n"));
        std::fs::write(format!("{folder}/{name}.txt"), text).expect("folder can be written");
    }
}
