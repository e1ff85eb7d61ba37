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
        let name = catalogue.source(id).map_or_else(|| id.to_owned(), |s| short(&s.citation));
        if !names.contains(&name) {
            names.push(name);
        }
    }
    names
}

/// `Author, 2017, Journal` as `Author 2017`, `Author A, Other B, 2017, Journal` as `Author A and others 2017`; what has no author as it
/// stands.
fn short(citation: &str) -> String {
    if let Some(rest) = citation.strip_prefix("author not seen, ") {
        // What stands in brackets is no name: `(journal not seen)`, a number in a database.
        let mut plain = String::new();
        let mut depth = 0;
        for c in rest.chars() {
            match c {
                '(' => depth += 1,
                ')' => depth -= 1,
                _ if depth == 0 => plain.push(c),
                _ => {}
            }
        }
        let parts: Vec<&str> = plain.split(',').map(str::trim).filter(|p| !p.is_empty()).collect();
        return parts.join(", ");
    }
    let parts: Vec<&str> = citation.split(", ").collect();
    let year = parts.iter().position(|p| p.len() >= 4 && p.chars().all(|c| c.is_ascii_digit() || c == '-'));
    match year {
        Some(at) if at > 1 => format!("{} and others {}", parts[0], parts[at]),
        _ => author_year(citation),
    }
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
    fn citations_are_told_by_author_and_year() {
        assert_eq!(short("Huang Y, Wang J, 2019, J Esthet Restor Dent"), "Huang Y and others 2019");
        assert_eq!(short("Leon, 2022, Journal 3:4"), "Leon 2022");
        assert_eq!(short("author not seen, J Oral Implantol 28:67"), "J Oral Implantol 28:67");
        assert_eq!(short("author not seen, 2021, (journal not seen), part II"), "2021, part II");
    }

    #[test]
    fn ranges_of_numbers_get_their_dash_and_words_keep_their_hyphen() {
        assert_eq!(plain("10-15 s of air-abrading with 50 um"), "10\u{2013}15 s of air-abrading with 50 \u{b5}m");
    }
}
