//! Triangle surfaces as files and scans give them: read, and told what is wrong with them.

mod flaws;
mod obj;

pub use flaws::Flaws;
