//! Texts of the consent sheet in one language: a file of keys and sentences with words in braces that the program fills in.
//!
//! English is the pattern: another language is whole when it has the same keys, and in each the same words in braces. A language is
//! added by a file; what is missing, unknown or filled otherwise is told with its line.

use crate::{Form, PageWords, Sheet};
use answer::{Issue, Place, nearest_name};
use std::collections::BTreeMap;

/// Language tag and text of every shipped language, the pattern first.
const SHIPPED: [(&str, &str); 2] =
    [("en", include_str!("../../texts/en.toml")), ("de", include_str!("../../texts/de.toml"))];

/// The sentences of one language.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Texts {
    entries: BTreeMap<String, String>,
}

impl Texts {
    /// Tags of the shipped languages.
    pub fn languages() -> impl Iterator<Item = &'static str> {
        SHIPPED.iter().map(|(tag, _)| *tag)
    }

    /// A shipped language by its tag; a regional tag (`de-AT`) finds its language.
    ///
    /// # Errors
    /// One issue that names the shipped languages.
    pub fn shipped(tag: &str) -> Result<Self, Vec<Issue>> {
        let language = tag.split(['-', '_']).next().unwrap_or_default().to_ascii_lowercase();
        match SHIPPED.iter().find(|(known, _)| *known == language) {
            Some((known, text)) => Self::parse(&format!("{known}.toml"), text),
            None => {
                let known: Vec<&str> = Self::languages().collect();
                Err(vec![Issue::error(
                    Place { field: "lang".to_owned(), ..Place::default() },
                    format!("no texts in `{}`", crate::blocks::plain_id(tag)),
                    known.join(" or "),
                    "name one of these, or the file of a language of your own",
                )])
            }
        }
    }

    /// Texts of a file; `file` is its name for messages.
    ///
    /// # Errors
    /// Every key that is missing, unknown or not filled as the pattern is.
    pub fn parse(file: &str, text: &str) -> Result<Self, Vec<Issue>> {
        let entries = read(file, text)?;
        let pattern = read("en.toml", SHIPPED[0].1)?;
        let issues = differences(file, text, &entries, &pattern);
        if issues.is_empty() { Ok(Self { entries }) } else { Err(issues) }
    }

    /// True for the texts of a language wished for by its tag: the same language, with or without a region.
    pub fn speaks(&self, wished: &str) -> bool {
        let language = |tag: &str| tag.split(['-', '_']).next().unwrap_or_default().to_ascii_lowercase();
        language(self.get("lang")) == language(wished)
    }

    /// The sentence of a key; nothing for a key that no file holds (that every key used stands in the pattern is tested).
    pub fn get(&self, key: &str) -> &str {
        self.entries.get(key).map_or("", String::as_str)
    }

    /// The sentence of a key with its words in braces filled; what is filled in is not searched for braces again.
    pub fn fill(&self, key: &str, words: &[(&str, &str)]) -> String {
        let mut out = String::new();
        let mut rest = self.get(key);
        while let Some((before, name, after)) = next_brace(rest) {
            out.push_str(before);
            match words.iter().find(|(known, _)| *known == name) {
                Some((_, value)) => out.push_str(value),
                None => out.push_str(&rest[before.len()..rest.len() - after.len()]),
            }
            rest = after;
        }
        out.push_str(rest);
        out
    }

    /// A chance as a count of 100.
    pub fn of_hundred(&self, share: f64) -> String {
        let count = 100.0 * share;
        // No chance that was computed is nought or certain.
        if count < 0.5 {
            self.get("below_1").to_owned()
        } else if count > 99.5 {
            self.get("above_99").to_owned()
        } else {
            self.fill("of_100", &[("count", &format!("{count:.0}"))])
        }
    }

    /// Every key with its sentence.
    pub fn entries(&self) -> impl Iterator<Item = (&str, &str)> {
        self.entries.iter().map(|(k, v)| (k.as_str(), v.as_str()))
    }

    /// Language and words of the page; in large print.
    pub(crate) fn form(&self) -> Form {
        let own = |key: &str| self.get(key).to_owned();
        Form {
            lang: own("lang"),
            right_to_left: self.get("direction") == "rtl",
            large: true,
            sheet: Sheet::Upright,
            words: PageWords {
                skip: own("page_skip"),
                contents: own("page_contents"),
                table: own("page_table"),
                data: own("page_data"),
                notes: ["note_remark", "note_caution", "note_stop"].map(own),
            },
        }
    }
}

fn read(file: &str, text: &str) -> Result<BTreeMap<String, String>, Vec<Issue>> {
    let values: BTreeMap<String, toml::Value> = toml::from_str(text).map_err(|e| {
        let line = e.span().map(|s| text[..s.start.min(text.len())].matches('\n').count() + 1);
        let found = e.message().lines().next().unwrap_or_default().to_owned();
        vec![Issue::error(
            Place { line, ..Place::file(file) },
            found,
            "one `key = \"sentence\"` a line",
            "compare with the English file",
        )]
    })?;
    let mut entries = BTreeMap::new();
    let mut issues = Vec::new();
    for (key, value) in values {
        match value {
            toml::Value::String(sentence) => {
                entries.insert(key, sentence);
            }
            other => issues.push(Issue::error(
                place(file, text, &key),
                format!("a value of type {}", other.type_str()),
                "a sentence in quotes",
                "put it in quotes",
            )),
        }
    }
    if issues.is_empty() { Ok(entries) } else { Err(issues) }
}

fn differences(
    file: &str,
    text: &str,
    entries: &BTreeMap<String, String>,
    pattern: &BTreeMap<String, String>,
) -> Vec<Issue> {
    let mut issues = Vec::new();
    for (key, english) in pattern {
        match entries.get(key) {
            None => issues.push(Issue::error(
                Place { field: key.clone(), ..Place::file(file) },
                "missing",
                format!("a sentence for \"{english}\""),
                format!("add the line {key} = \"...\""),
            )),
            Some(own) if own.trim().is_empty() => issues.push(Issue::error(
                place(file, text, key),
                "empty",
                format!("a sentence for \"{english}\""),
                "write it",
            )),
            Some(own) if braces(own) != braces(english) => issues.push(Issue::error(
                place(file, text, key),
                format!("filled in are [{}]", braces(own).join(", ")),
                format!("[{}]", braces(english).join(", ")),
                "use the same words in braces as the English file, in any order",
            )),
            Some(_) => {}
        }
    }
    if !matches!(entries.get("direction").map(String::as_str), None | Some("ltr" | "rtl")) {
        issues.push(Issue::error(
            place(file, text, "direction"),
            "another direction",
            "`ltr` (left to right) or `rtl` (right to left)",
            "write one of the two",
        ));
    }
    for key in entries.keys().filter(|k| !pattern.contains_key(*k)) {
        let near = nearest_name(key, pattern.keys().map(String::as_str));
        issues.push(Issue::error(
            place(file, text, key),
            "a key that no paper uses",
            "the keys of the English file",
            near.map_or("remove the line".to_owned(), |n| format!("did you mean `{n}`?")),
        ));
    }
    issues
}

/// Line of a key.
fn place(file: &str, text: &str, key: &str) -> Place {
    let starts =
        |line: &str| line.trim_start().strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('='));
    Place { line: text.lines().position(starts).map(|i| i + 1), field: key.to_owned(), ..Place::file(file) }
}

/// Words in braces, sorted.
fn braces(sentence: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = sentence;
    while let Some((_, name, after)) = next_brace(rest) {
        found.push(name);
        rest = after;
    }
    found.sort_unstable();
    found
}

/// Text before the next `{word}`, the word, and what follows.
fn next_brace(text: &str) -> Option<(&str, &str, &str)> {
    let (before, from) = text.split_once('{')?;
    let (name, after) = from.split_once('}')?;
    Some((before, name, after))
}
