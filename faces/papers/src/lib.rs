//! Papers: document blocks, what a plan becomes in them, and the two forms they leave in: one self-contained HTML file and lines of
//! text for the terminal.
//!
//! Entry points: [`PAPERS`] lists every paper, each a function from what is [`Known`] (case, report, the option chosen, facts) to a
//! [`Made`] document with what it still lacks; [`html::page`] and [`terminal::lines`] write any [`blocks::Document`]; [`arch`] draws
//! the arch; [`dossier()`] and [`brief()`] need the report alone. **To add a paper**: a module with its function, one line in
//! `paper.rs`; the program then writes it, and whatever else prints blocks (`(paper.make)(&known)?.document`) prints it.
//!
//! Papers compute nothing: every number on them is the report's (at most as a count of 100 or as its complement), the case's, or stands
//! in a row whose source is printed beside it. Knows nothing of files: the program writes what it returns.

pub mod arch;
pub mod blocks;
mod brief;
mod card;
mod choice;
pub mod consent;
mod decision;
mod dossier;
mod facts;
mod figures;
mod form;
pub mod html;
mod known;
mod order;
mod paper;
mod record;
pub mod register;
mod said;
mod stops;
pub mod terminal;
pub mod typeset;

pub use brief::brief;
pub use dossier::{dossier, tissue};
pub use facts::{Facts, Limit};
pub use figures::{Figure, figures, standalone, tables};
pub use form::{Form, PageWords, Sheet};
pub use known::{Chosen, Fingerprint, Known};
pub use paper::{Leaves, Made, NotMade, PAPERS, Paper, paper};
pub use picture::Charset;
