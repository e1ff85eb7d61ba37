//! Whatever is handed in: no panic, every issue complete and placed, and what is read is written and read the same.

// Helpers of tests may panic as tests do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use case::fields::Sheet;
use case::{Case, template};
use proptest::prelude::*;

const NAMES: [&str; 9] = [
    "bridge-45-47",
    "dark-incisor-cast-post",
    "worn-molar",
    "implant-premolar",
    "cracked-molar",
    "lost-lower-incisor",
    "chipped-bridge",
    "premolar-too-close",
    "wrong-in-ten-ways",
];

fn example(i: usize) -> String {
    let path = format!("{}/../../examples/{}.toml", env!("CARGO_MANIFEST_DIR"), NAMES[i % NAMES.len()]);
    std::fs::read_to_string(path).unwrap()
}

fn holds(text: &str) {
    match Case::parse("any.toml", text) {
        Ok((case, _)) => {
            let written = case.to_toml().unwrap();
            let (again, _) = Case::parse("any.toml", &written).unwrap_or_else(|i| panic!("{i:?}\n{written}"));
            assert_eq!(case, again);
            assert_eq!(again.to_toml().unwrap(), written);
            // Whatever a case holds, it can be asked about.
            assert!(case::answers_given(&case) <= case::answers_asked(&case));
            let _ = (case.defaults_used(), case.open_questions(), case.units(), case.region());
        }
        Err(issues) => {
            assert!(issues.iter().any(answer::Issue::is_error));
            let lines = issues.iter().map(|i| i.place.line.unwrap_or(usize::MAX)).collect::<Vec<_>>();
            assert!(lines.is_sorted(), "{lines:?}");
            for issue in issues {
                assert_eq!(issue.place.file, "any.toml");
                assert!(issue.place.line.is_none_or(|l| l >= 1 && l <= text.lines().count().max(1) + 1), "{issue}");
                assert!(!issue.found.is_empty() && !issue.expected.is_empty() && !issue.remedy.is_empty(), "{issue:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn any_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        holds(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_text(text in "\\PC{0,200}") {
        holds(&text);
    }

    #[test]
    fn any_value_in_any_line(i in 0usize..9, line in 0usize..80, value in "(-?[0-9]{1,20}(\\.[0-9]{1,3})?|nan|inf|\"[a-z_0-9]{0,12}\"|\\[[0-9, ]{0,12}\\]|true|\\{\\}|1979-05-27)") {
        let text = example(i);
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        let at = line % lines.len();
        if let Some((name, _)) = lines[at].clone().split_once(" = ") {
            lines[at] = format!("{name} = {value}");
        }
        holds(&lines.join("\n"));
    }

    #[test]
    fn any_lines_left_out_or_swapped(i in 0usize..9, keep in prop::collection::vec(any::<u8>(), 80), swap in (0usize..80, 0usize..80)) {
        let text = example(i);
        let mut lines: Vec<_> = text.lines().zip(keep.iter().cycle()).filter(|(_, k)| **k > 20).map(|(l, _)| l).collect();
        if !lines.is_empty() {
            let (a, b) = (swap.0 % lines.len(), swap.1 % lines.len());
            lines.swap(a, b);
        }
        holds(&lines.join("\n"));
    }

    #[test]
    fn any_teeth(teeth in prop::collection::vec(0u8..60, 0..6), missing in prop::collection::vec(0u8..60, 0..4), kind in 0usize..6) {
        let kind = ["open", "crown", "bridge", "one_wing", "implant_crown", "cantilever_bridge"][kind];
        holds(&format!("schema = 1\nmoment = \"plan\"\n[restoration]\nteeth = {teeth:?}\nmissing = {missing:?}\nkind = \"{kind}\"\n"));
    }
}

#[test]
fn the_templates_are_written_and_read_the_same() {
    for sheet in Sheet::ALL {
        holds(&template(*sheet));
    }
}

#[test]
fn hostile_texts_are_refused_in_words() {
    holds(&"[".repeat(5000));
    holds(&"a.".repeat(5000));
    holds(&"x = {".repeat(3000));
    holds(&format!("schema = 1\nmoment = \"{}\"", "p".repeat(60_000)));
    let issues = Case::parse("big.toml", &"#".repeat(200_000)).unwrap_err();
    assert!(issues[0].found.contains("200000 bytes"));
    // Thousands of unknown names are each told; a search from the top for every place would take half a minute here.
    let names: String = (0..8000).map(|i| format!("k{i} = 1\n")).collect();
    assert!(Case::parse("names.toml", &names).unwrap_err().len() >= 8000);
}
