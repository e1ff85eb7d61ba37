//! The server as the page meets it: the real router, driven in process.
#![allow(clippy::unwrap_used, clippy::panic)] // a test fails by panicking

mod common;
mod description;
mod dragging;
mod guarding;
mod jobs;
mod papers;
mod plans;
mod register;
mod sheets;
mod stress;
