//! The tree's files, and a Rust file taken apart into code, comments and tests as far as these rules need it.

use std::path::{Path, PathBuf};

/// One Rust file.
#[derive(Debug, Clone)]
pub struct SourceFile {
    /// Path from the root, with `/`.
    pub name: String,
    /// All of it.
    pub text: String,
}

/// One line's code and comment, without the contents of string literals in the code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// From 1.
    pub number: usize,
    /// Code; string contents blanked.
    pub code: String,
    /// Comment text after `//`, `///` or `//!`; empty where there is none.
    pub comment: String,
    /// True from the file's `#[cfg(test)]` on, and everywhere in files under `tests/`, `benches/` and `examples/`.
    pub in_test: bool,
}

impl SourceFile {
    /// The lines, taken apart. Block comments and raw strings over several lines are read as code, which errs towards complaint.
    pub fn lines(&self) -> Vec<Line> {
        let mut in_test = ["/tests/", "/benches/", "/examples/"].iter().any(|p| self.name.contains(p));
        self.text
            .lines()
            .enumerate()
            .map(|(i, raw)| {
                in_test |= raw.trim_start().starts_with("#[cfg(test)]");
                let (code, comment) = split(raw);
                Line { number: i + 1, code, comment, in_test }
            })
            .collect()
    }
}

/// Splits a line at the first `//` outside a string literal, and blanks the strings before it.
fn split(raw: &str) -> (String, String) {
    let (mut code, mut in_string, mut escaped) = (String::new(), false, false);
    let characters: Vec<char> = raw.chars().collect();
    let mut i = 0;
    while i < characters.len() {
        let c = characters[i];
        if in_string {
            if escaped {
                escaped = false;
            } else if c == '\\' {
                escaped = true;
            } else if c == '"' {
                in_string = false;
                code.push('"');
            }
        } else if c == '"' && !(i > 0 && characters[i - 1] == '\'') {
            in_string = true;
            code.push('"');
        } else if c == '/' && characters.get(i + 1) == Some(&'/') {
            let comment: String = characters[i..].iter().collect();
            return (code, comment.trim_start_matches(['/', '!']).trim().to_owned());
        } else {
            code.push(c);
        }
        i += 1;
    }
    (code, String::new())
}

/// Words of a text in lower case: split where letters end, at `_`, and where a small letter meets a capital.
pub fn words(text: &str) -> Vec<String> {
    let (mut words, mut word, mut before) = (Vec::new(), String::new(), ' ');
    for c in text.chars() {
        let starts = c.is_uppercase() && before.is_lowercase();
        if !c.is_alphabetic() || starts {
            words.push(std::mem::take(&mut word));
        }
        if c.is_alphabetic() {
            word.extend(c.to_lowercase());
        }
        before = c;
    }
    words.push(word);
    words.retain(|w| !w.is_empty());
    words
}

const FLOORS: &[&str] = &["ground", "science", "practice", "faces", "xtask"];

/// All Rust files of the floors and of xtask, in name order.
pub fn rust_files(root: &Path) -> Result<Vec<SourceFile>, String> {
    let mut paths = Vec::new();
    for floor in FLOORS {
        gather(&root.join(floor), &mut paths)?;
    }
    read(root, paths, &["rs"]).map(|files| files.into_iter().map(|(name, text)| SourceFile { name, text }).collect())
}

/// All prose and data beside the code: name and text, in name order.
pub fn prose_files(root: &Path) -> Result<Vec<(String, String)>, String> {
    let mut paths = Vec::new();
    for folder in FLOORS.iter().chain(&["docs", "data", "examples"]) {
        gather(&root.join(folder), &mut paths)?;
    }
    let top = std::fs::read_dir(root).map_err(|e| format!("{} cannot be read: {e}", root.display()))?;
    paths.extend(top.filter_map(|e| Some(e.ok()?.path())).filter(|p| p.is_file()));
    read(root, paths, &["md", "toml", "csv", "cff", "css", "py"])
}

fn gather(folder: &Path, paths: &mut Vec<PathBuf>) -> Result<(), String> {
    if !folder.exists() {
        return Ok(());
    }
    let entries = std::fs::read_dir(folder).map_err(|e| format!("{} cannot be read: {e}", folder.display()))?;
    for path in entries.filter_map(|e| Some(e.ok()?.path())) {
        if path.is_dir() {
            gather(&path, paths)?;
        } else {
            paths.push(path);
        }
    }
    Ok(())
}

fn read(root: &Path, mut paths: Vec<PathBuf>, endings: &[&str]) -> Result<Vec<(String, String)>, String> {
    paths.retain(|p| p.extension().is_some_and(|e| endings.iter().any(|k| e == *k)));
    paths.sort();
    paths
        .into_iter()
        .map(|path| {
            let text = std::fs::read_to_string(&path).map_err(|e| format!("{} cannot be read: {e}", path.display()))?;
            Ok((path.strip_prefix(root).unwrap_or(&path).to_string_lossy().replace('\\', "/"), text))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_strings_and_tests_are_told_apart() {
        let text = "let a = \"// not one\"; // one\n#[cfg(test)]\nmod tests {}".to_owned();
        let lines = SourceFile { name: "ground/x/src/lib.rs".into(), text }.lines();
        assert_eq!((lines[0].code.as_str(), lines[0].comment.as_str()), ("let a = \"\"; ", "one"));
        assert!(!lines[0].in_test && lines[2].in_test);
    }

    #[test]
    fn words_end_at_underscores_and_capitals() {
        assert_eq!(words("ToothClass, bite_load(3)"), ["tooth", "class", "bite", "load"]);
    }
}
