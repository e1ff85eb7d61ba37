//! The papers of the days - record note, work order, cards, slides - made of plans of invented cases.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic)]

mod cards;
#[path = "../common/cases.rs"]
mod cases;
mod hostile;
mod list;
mod order;
mod origins;
mod pictured;
#[path = "../common/trace.rs"]
mod trace;

use papers::Known;
use papers::blocks::Document;

/// One paper of a case; it must be made.
fn made(known: &Known<'_>, word: &str) -> papers::Made {
    (papers::paper(word).unwrap().make)(known).unwrap_or_else(|why| panic!("{word}: {}", why.0))
}

/// All words of a document in one text.
fn text(document: &Document) -> String {
    trace::words(document).join("\n")
}
