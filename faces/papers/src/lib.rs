//! Papers: document blocks, what a plan becomes in them, and the two forms they leave in: one self-contained HTML file and lines of
//! text for the terminal.
//!
//! Entry points: [`dossier()`] and [`brief()`] make documents of a report; [`html::page`] and [`terminal::lines`] write any
//! [`blocks::Document`]; [`arch`] draws the arch. Papers compute nothing: every number on them is one of the report's, at most as a
//! count of 100 or as its complement. Knows nothing of files: the program writes what it returns.

pub mod arch;
pub mod blocks;
mod brief;
mod choice;
mod dossier;
mod facts;
mod form;
pub mod html;
mod said;
mod stops;
pub mod terminal;

pub use brief::brief;
pub use dossier::dossier;
pub use facts::{Facts, Limit};
pub use form::{Form, PageWords};
pub use picture::Charset;
