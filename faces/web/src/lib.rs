//! The local server behind `bisque serve`: sheets kept on disk, planned, asked and printed for a page in the browser.
//!
//! Decides nothing: what it answers comes from the crates beneath, as it does on the command line. It touches disk, clock and
//! network; it prints nothing and logs nothing of a case. Threads that answer never compute: work goes through
//! [`problem::away`].
//!
//! | idea | files |
//! | --- | --- |
//! | who may ask, how it runs | `guard`, `serve`, `app`, `api`, `problem`, `assets` |
//! | sheets | `sheets`, `journal`, `draft`, `sheet_routes` |
//! | papers | `paper_routes`, `printer` |
//! | what a hand drags and an eye turns | `bodies`, `body_routes`, `swatches` |
//! | files and long work | `files`, `jobs`, `job_routes` |
//! | rooms | `program`, `evidence_room`, `register_room`, `register_work`, `register_import` |
//! | plan and questions | `grounds`, `planning`, `plan_routes`, `questions`, `fields`, `words` |

mod api;
mod app;
mod assets;
mod bodies;
mod body_routes;
mod draft;
mod drawn;
mod evidence_room;
mod fields;
mod files;
mod grounds;
mod guard;
mod job_routes;
mod jobs;
mod journal;
mod mesh;
mod paper_routes;
mod photograph;
mod plan_routes;
mod planning;
pub mod printer;
mod problem;
mod program;
mod questions;
mod register_import;
mod register_room;
mod register_work;
mod serve;
mod sheet_routes;
mod sheets;
mod stress;
mod swatches;
mod words;

pub use app::{App, Settings};
pub use paper_routes::fingerprints;
pub use program::Commands;
pub use serve::{ServeError, openapi, router, serve};
