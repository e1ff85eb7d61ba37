//! Papers: document blocks, what a plan becomes in them, and the two forms they leave in: one self-contained HTML file and lines of
//! text for the terminal.
//!
//! Entry points: [`blocks::Document`] is what a paper is made of; [`html::page`] and [`terminal::lines`] write it. [`arch`] draws
//! the arch. Knows nothing of files: the program writes what it returns.

pub mod arch;
pub mod blocks;
pub mod html;
pub mod odds;
pub mod terminal;
