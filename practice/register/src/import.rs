//! Taking in tables of any layout: a layout file says which column is which, how days are written and what the file's words mean.
//!
//! One row may hold a restoration, a try-in, a recall and an event; what is mapped is read. Keys are those of the file, or are made from what a
//! row says (patient, teeth, day), so the same file taken in twice changes nothing. Rows that cannot be taken are told one by one with the reason; the others
//! are taken. What a layout fixes (`[fixed]`) is a default and is told as such.

mod fields;
mod layout;
mod rows;

pub use layout::Layout;
pub use rows::{Import, NotTaken, Refused, Taken};
