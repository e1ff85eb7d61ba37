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
//! | plan and questions | `grounds`, `planning`, `questions`, `words` |

mod api;
mod app;
mod assets;
mod draft;
mod grounds;
mod guard;
mod journal;
mod planning;
mod problem;
mod questions;
mod serve;
mod sheet_routes;
mod sheets;
mod words;

pub use app::{App, Settings};
pub use serve::{ServeError, openapi, router, serve};
