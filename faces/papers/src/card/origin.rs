//! Where a step or figure comes from, in few words and in full.

use crate::blocks::{Block, Words};
use crate::said::author_year;
use answer::{Basis, Provenance};
use catalogue::Catalogue;
use std::collections::BTreeSet;

/// Sources that name no publication; their basis says it.
const NO_PUBLICATION: [&str; 4] = ["common_practice", "memory_unsourced", "general_prostho", "own_reading"];

/// Sources by author and year, and the basis where it is weaker than reading.
pub(crate) fn origin(catalogue: &Catalogue, provenance: &Provenance) -> Words {
    let names = cited(catalogue, provenance.ids.iter().map(String::as_str));
    let mut words = Words::default();
    if !names.is_empty() {
        words = words.quiet(names.join("; "));
    }
    let space = if words.is_empty() { "" } else { " " };
    match provenance.weakest {
        Some(Basis::Memory) => words.plain(space).tag("from memory"),
        Some(Basis::CommonPractice) => words.plain(space).quiet("common practice"),
        Some(Basis::Computed) => words.plain(space).quiet("(computed)"),
        Some(Basis::Read | Basis::Own) | None => words,
    }
}

/// Publications by author and year, each once.
pub(crate) fn cited<'a>(catalogue: &Catalogue, ids: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for id in ids.into_iter().filter(|id| !NO_PUBLICATION.contains(id)) {
        let name = catalogue.source(id).map_or_else(|| id.to_owned(), |s| author_year(&s.citation));
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// The sources in full, in the order of their ids.
pub(crate) fn sources<'a>(catalogue: &Catalogue, ids: impl IntoIterator<Item = &'a str>) -> Block {
    let ids: BTreeSet<&str> = ids.into_iter().filter(|id| !NO_PUBLICATION.contains(id)).collect();
    let list = ids.into_iter().filter_map(|id| catalogue.source(id)).map(|s| {
        let doi = s.doi.as_ref().map_or(String::new(), |doi| format!(", doi {doi}"));
        format!("{}{doi}", s.citation)
    });
    Block::Paragraph(Words::default().quiet(format!("{}.", list.collect::<Vec<_>>().join("; "))))
}

/// Words of a row as printed: micrometres with their sign, ranges with an en dash.
pub(crate) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let letters: Vec<char> = text.chars().collect();
    for (i, c) in letters.iter().enumerate() {
        let digit = |at: Option<usize>| at.and_then(|at| letters.get(at)).is_some_and(char::is_ascii_digit);
        let range = *c == '-' && digit(i.checked_sub(1)) && digit(Some(i + 1));
        out.push(if range { '\u{2013}' } else { *c });
    }
    out.replace(" um", " \u{b5}m")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_of_numbers_get_their_dash_and_words_keep_their_hyphen() {
        assert_eq!(plain("10-15 s of air-abrading with 50 um"), "10\u{2013}15 s of air-abrading with 50 \u{b5}m");
    }
}
