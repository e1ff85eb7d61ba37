//! The patient's situation on one sheet: what is to be made, the teeth that carry it, the room, the mouth, the wish, the
//! practice's laboratory; read from a case file, checked, and written again.
//!
//! Knows nothing of engines, options or ranking, and touches no disk.

mod asked;
mod case;
mod check;
mod defaults;
mod document;
pub mod fields;
mod open;
mod own_names;
pub mod parts;
mod places;
mod read;
mod schema;
mod template;
mod usual;
mod values;
pub mod words;
mod write;

pub use asked::{Asked, Row, answers_asked, answers_given, asked, rows};
pub use case::{ArchUnit, Case, Role, SCHEMA};
pub use defaults::{DefaultUsed, default_range, defaults_used, in_words as default_words};
pub use document::document;
pub use open::{OpenQuestion, open_questions, optional_questions, stump_questions};
pub use parts::{
    Abutment, Age, Chosen, Ferrule, Implant, Laboratory, LaboratoryReply, Makes, Mouth, Old, Order, Override, Reading,
    Restoration, SoundNeighbour, Space, Tab, Trades, Wanted, Weights, Wish, WishedColour,
};
pub use schema::schema;
pub use template::template;
pub use usual::{UsualAnswer, UsualValue, usual_answers};
pub use write::NotWritable;
