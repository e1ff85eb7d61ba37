//! The list of papers. One module a paper, each a function from what is [`Known`] to [`Made`]; to add a paper, write its module and
//! add its line to [`PAPERS`]: the program writes it, and whatever prints blocks prints it.

use crate::blocks::Document;
use crate::{Known, card, consent, dossier, figures, order, record};

/// A kind of paper.
#[derive(Debug, Clone, Copy)]
pub struct Paper {
    /// Name on the command line, and of its file.
    pub word: &'static str,
    /// What it is, in a line.
    pub label: &'static str,
    /// How it leaves.
    pub leaves: Leaves,
    /// Languages it is written in (BCP 47), British English first.
    pub languages: &'static [&'static str],
    /// Makes it.
    pub make: fn(&Known<'_>) -> Result<Made, NotMade>,
}

/// How a paper leaves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leaves {
    /// As a page to be read or printed.
    Page,
    /// As plain text to be pasted elsewhere.
    Text,
}

/// A paper that was made.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// The paper.
    pub document: Document,
    /// What keeps it from being complete, in plain sentences; empty: it is complete.
    pub missing: Vec<String>,
}

impl Made {
    /// A paper that lacks nothing.
    pub fn complete(document: Document) -> Self {
        Self { document, missing: Vec::new() }
    }
}

/// Why a paper is not made for this case, in a plain sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotMade(pub String);

/// The languages of a paper that is written in British English only.
const ENGLISH: &[&str] = &["en-GB"];

/// Every paper, in the order of the days.
pub const PAPERS: &[Paper] = &[
    Paper {
        word: "record",
        label: "note for the practice's own record",
        leaves: Leaves::Text,
        languages: ENGLISH,
        make: record::record,
    },
    Paper {
        word: "consent",
        label: "what the patient takes home",
        leaves: Leaves::Page,
        languages: &["en-GB", "de"],
        make: consent::sheet,
    },
    Paper {
        word: "preparation",
        label: "card for the day of preparation",
        leaves: Leaves::Page,
        languages: ENGLISH,
        make: card::preparation,
    },
    Paper {
        word: "order",
        label: "order to the laboratory",
        leaves: Leaves::Page,
        languages: ENGLISH,
        make: order::order,
    },
    Paper {
        word: "fit",
        label: "card for the day it is placed or mended",
        leaves: Leaves::Page,
        languages: ENGLISH,
        make: card::fit,
    },
    Paper {
        word: "dossier",
        label: "everything the plan rests on",
        leaves: Leaves::Page,
        languages: ENGLISH,
        make: |known| Ok(Made::complete(dossier(known.report, known.facts))),
    },
    Paper {
        word: "slides",
        label: "the figures, one a page",
        leaves: Leaves::Page,
        languages: ENGLISH,
        make: figures::slides,
    },
];

/// The paper of a name.
pub fn paper(word: &str) -> Option<&'static Paper> {
    PAPERS.iter().find(|p| p.word == word)
}
