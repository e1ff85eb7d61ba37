//! British spelling in comments, in names we give, and in prose. Names given by others (the standard library, CSS, SVG,
//! `Cargo.toml`) are left as they are: in code only the names that a file itself defines are looked at, in prose nothing between
//! backticks or in code blocks.

use super::source::{self, SourceFile};
use super::{at, citations};

/// American beginning of a word, and the British one.
const SPELLINGS: &[(&str, &str)] = &[
    ("color", "colour"),
    ("gray", "grey"),
    ("center", "centre"),
    ("fiber", "fibre"),
    ("behavior", "behaviour"),
    ("favor", "favour"),
    ("neighbor", "neighbour"),
    ("optimiz", "optimis"),
    ("minimiz", "minimis"),
    ("maximiz", "maximis"),
    ("normaliz", "normalis"),
    ("initializ", "initialis"),
    ("summariz", "summaris"),
    ("discretiz", "discretis"),
    ("randomiz", "randomis"),
    ("stabiliz", "stabilis"),
    ("parametriz", "parametris"),
    ("recogniz", "recognis"),
    ("organiz", "organis"),
    ("analyz", "analys"),
    ("modeling", "modelling"),
    ("modeled", "modelled"),
    ("labeled", "labelled"),
    ("labeling", "labelling"),
    ("canceled", "cancelled"),
    ("catalogs", "catalogues"),
    ("dentin", "dentine"),
    ("esthetic", "aesthetic"),
    ("aluminum", "aluminium"),
    ("artifact", "artefact"),
    ("defense", "defence"),
    ("mold", "mould"),
];

/// Words that begin alike and are right: British words, proper names, and a journal's name.
const RIGHT: &[&str] = &[
    "dentine",
    "dentines",
    "dentinal",
    "colorimetry",
    "colorimetric",
    "colorimeter",
    "coloration",
    "discoloration",
    "organization",
];

/// The remedy for one word, if it is spelt the American way.
fn remedy(word: &str) -> Option<String> {
    if RIGHT.contains(&word) {
        return None;
    }
    SPELLINGS
        .iter()
        .find(|(american, _)| word.starts_with(american))
        .map(|(american, british)| format!("`{word}`; write `{british}{}`", &word[american.len()..]))
}

/// Breaches in a Rust file's comments and own names.
pub fn in_rust(file: &SourceFile) -> Vec<String> {
    file.lines()
        .iter()
        .flat_map(|line| {
            let mut texts = vec![without_backticks(&line.comment)];
            texts.extend(defined_names(&line.code));
            texts
                .iter()
                .flat_map(|t| source::words(t))
                .filter_map(|w| remedy(&w))
                .map(|r| at(&file.name, line.number, &r))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Breaches in prose; data files are left out, since they quote.
pub fn in_prose(name: &str, text: &str) -> Vec<String> {
    if !name.ends_with(".md") {
        return Vec::new();
    }
    let mut in_block = false;
    let mut breaches = Vec::new();
    for (i, line) in text.lines().enumerate() {
        if line.trim_start().starts_with("```") {
            in_block = !in_block;
        } else if !in_block {
            let words = source::words(&without_backticks(line));
            breaches.extend(words.iter().filter_map(|w| remedy(w)).map(|r| at(name, i + 1, &r)));
        }
    }
    breaches
}

/// Neither what stands between backticks nor citations.
fn without_backticks(text: &str) -> String {
    citations::without(&text.split('`').step_by(2).collect::<Vec<_>>().join(" "))
}

/// Names that a line of code gives to something.
fn defined_names(code: &str) -> Vec<String> {
    const GIVES: &[&str] = &["fn", "struct", "enum", "mod", "trait", "const", "static", "type", "let", "mut"];
    let words: Vec<&str> = code.split(|c: char| !(c.is_alphanumeric() || c == '_')).filter(|w| !w.is_empty()).collect();
    words.windows(2).filter(|w| GIVES.contains(&w[0])).map(|w| w[1].to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn american_words_are_breaches_in_comments_and_own_names() {
        let file = |text: &str| SourceFile { name: "x.rs".into(), text: text.into() };
        assert_eq!(in_rust(&file("fn normalize_color() {} // the center")).len(), 3);
        assert_eq!(in_rust(&file("v.normalize(); // `color` is the attribute; dentine")).len(), 0);
        assert_eq!(in_rust(&file("let s = \"color: red\";")).len(), 0);
    }

    #[test]
    fn prose_is_read_outside_code() {
        assert_eq!(
            in_prose("a.md", "The color.\n```\ncolor\n```\nThe `color` attribute, colour."),
            ["a.md:1: `color`; write `colour`"]
        );
        assert!(in_prose("a.csv", "color").is_empty());
    }
}
