//! `bisque`: plans an indirect restoration from a case file and writes its papers.
//!
//! Exit codes: 0 done; 1 the input has errors (each printed with file, line, field, expectation and remedy); 2 the command line is
//! wrong; 3 a file could not be read or written; 4 stopped before it was done.

// This is the face that talks to a person at a terminal: complaints and progress go to standard error.
#![allow(clippy::print_stderr)]

mod args;
mod commands;
mod complaint;
mod failure;
mod files;
mod meter;

use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let args = args::Args::parse();
    match commands::run(args) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            complaint::print(&failure);
            ExitCode::from(failure.exit_code())
        }
    }
}
