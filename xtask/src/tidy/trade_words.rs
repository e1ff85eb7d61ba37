//! `ground/` and `science/` know no trade: no word of dentistry in code, comments or strings of what they ship. Names of
//! journals may be cited, and tests may name the publication they check against.

use super::source::{self, SourceFile};
use super::{at, citations, floor};

/// Whole words that only the floors above may use.
const WORDS: &[&str] = &[
    "tooth",
    "teeth",
    "molar",
    "molars",
    "premolar",
    "premolars",
    "incisor",
    "incisors",
    "canine",
    "canines",
    "crown",
    "crowns",
    "pontic",
    "pontics",
    "abutment",
    "abutments",
    "retainer",
    "veneer",
    "veneers",
    "veneered",
    "veneering",
    "enamel",
    "dentine",
    "dentin",
    "pulp",
    "gingiva",
    "gingival",
    "gum",
    "gums",
    "jaw",
    "mouth",
    "patient",
    "patients",
    "dentist",
    "dentists",
    "dentistry",
    "dental",
    "denture",
    "dentures",
    "endodontic",
    "periodontal",
    "prosthodontic",
    "prosthesis",
    "prostheses",
    "occlusal",
    "occlusion",
    "antagonist",
    "chewing",
    "bruxism",
    "caries",
    "ferrule",
    "amalgam",
    "mandible",
    "mandibular",
    "maxilla",
    "maxillary",
    "buccal",
    "lingual",
    "labial",
    "palatal",
    "mesial",
    "distal",
    "mesiodistal",
    "buccolingual",
];

/// Every breach in one file.
pub fn breaches(file: &SourceFile) -> Vec<String> {
    if !matches!(floor(file), "ground" | "science") {
        return Vec::new();
    }
    let shipped = file.lines();
    file.text
        .lines()
        .zip(&shipped)
        .filter(|(_, line)| !line.in_test)
        .flat_map(|(raw, line)| {
            source::words(&citations::without(raw))
                .into_iter()
                .filter(|w| WORDS.contains(&w.as_str()))
                .map(|w| at(&file.name, line.number, &format!("`{w}` is a word of the trade; this floor knows none")))
                .collect::<Vec<_>>()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(name: &str, text: &str) -> usize {
        breaches(&SourceFile { name: name.into(), text: text.into() }).len()
    }

    #[test]
    fn trade_words_are_breaches_wherever_they_stand() {
        assert_eq!(found("science/shape/src/lib.rs", "struct CrownSolid; // of a tooth"), 2);
        assert_eq!(found("science/shape/src/lib.rs", "let name = \"enamel\";"), 1);
    }

    #[test]
    fn other_floors_citations_tests_and_longer_words_are_free() {
        assert_eq!(found("practice/anatomy/src/lib.rs", "struct Crown;"), 0);
        assert_eq!(
            found("science/colour/src/lib.rs", "//! Author 2001, J Prosthet Dent 1:2-3; an independent crowning"),
            0
        );
        assert_eq!(found("science/colour/tests/author_2001.rs", "// dentine"), 0);
    }
}
