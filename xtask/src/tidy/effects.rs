//! What the lower floors may not do: no disk, net, clock, environment or threads of their own below `faces/`, no global state in
//! `ground/` and `science/`, and no printing outside `faces/` and `xtask/`. Tests and examples are free of the rule.

use super::source::SourceFile;
use super::{at, floor};

/// Spellings that touch the world outside, with what they touch.
const OUTSIDE: &[(&str, &str)] = &[
    ("std::fs", "the disk"),
    ("std::net", "the network"),
    ("std::process", "other programs"),
    ("std::env", "the environment"),
    ("std::io", "files or the terminal"),
    ("File::open", "the disk"),
    ("File::create", "the disk"),
    ("SystemTime", "the clock"),
    ("Instant::", "the clock"),
    ("std::time", "the clock"),
];

/// Spellings of state that outlives a call.
const STATE: &[&str] = &["static mut", "thread_local!", "OnceLock", "OnceCell", "LazyLock", "LazyCell", "lazy_static!"];

const PRINTS: &[&str] = &["println!", "print!", "eprintln!", "eprint!", "dbg!"];

/// Every breach in one file.
pub fn breaches(file: &SourceFile) -> Vec<String> {
    let floor = floor(file);
    let below_faces = matches!(floor, "ground" | "science" | "practice");
    let stateless = matches!(floor, "ground" | "science");
    let mut breaches = Vec::new();
    if !below_faces {
        return breaches;
    }
    for line in file.lines().iter().filter(|l| !l.in_test) {
        for (spelling, what) in OUTSIDE {
            if line.code.contains(spelling) {
                breaches.push(at(&file.name, line.number, &format!("`{spelling}` touches {what}; only faces/ may")));
            }
        }
        for spelling in STATE.iter().filter(|s| stateless && line.code.contains(**s)) {
            breaches.push(at(&file.name, line.number, &format!("`{spelling}` is global state; pass it in")));
        }
        for spelling in PRINTS.iter().filter(|s| calls(&line.code, s)) {
            breaches.push(at(&file.name, line.number, &format!("`{spelling}` prints; return it and let faces/ print")));
        }
    }
    breaches
}

/// The macro itself, not a longer name that ends like it.
fn calls(code: &str, name: &str) -> bool {
    code.match_indices(name).any(|(i, _)| !code[..i].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(name: &str, text: &str) -> usize {
        breaches(&SourceFile { name: name.into(), text: text.into() }).len()
    }

    #[test]
    fn effects_are_breaches_below_the_faces() {
        assert_eq!(found("practice/plan/src/lib.rs", "let t = std::fs::read(p);"), 1);
        assert_eq!(found("ground/answer/src/lib.rs", "println!(\"x\");"), 1);
        assert_eq!(found("science/colour/src/lib.rs", "static CACHE: OnceLock<u8> = OnceLock::new();"), 1);
        assert_eq!(found("faces/cli/src/main.rs", "let t = std::fs::read(p);"), 0);
    }

    #[test]
    fn comments_strings_tests_and_longer_names_are_free() {
        assert_eq!(found("ground/answer/src/lib.rs", "// std::fs is not used\nlet a = \"std::fs\";"), 0);
        assert_eq!(found("ground/answer/src/lib.rs", "#[cfg(test)]\nmod tests { use std::fs; }"), 0);
        assert_eq!(found("ground/answer/tests/a.rs", "println!(\"x\");"), 0);
        assert_eq!(found("ground/answer/src/lib.rs", "my_println!(1);"), 0);
    }
}
