//! The repository's own chores: `cargo xtask demo | test | page | print | bench | validate | refit | surfaces | tidy | licences`.
//!
//! Knows the workspace as files and as `cargo metadata`; imports none of its crates, so that it compiles in seconds and
//! can judge a workspace that does not.

#![allow(clippy::print_stdout, clippy::print_stderr)] // a program for people at a terminal

mod bench;
mod built;
mod demo;
mod licences;
mod long;
mod page;
mod postgres;
mod print;
mod refit;
mod run;
mod surfaces;
mod test;
mod tidy;
mod validate;
mod workspace;

use std::process::ExitCode;

const HELP: &str = "\
cargo xtask COMMAND

  demo      build bisque, plan the bridge case of examples/, print the ranking, write the dossier to bisque-out/
  test      install what tests need, then format, lints, tidy, licences and all tests
  page      build page/dist, the browser page that `bisque serve` carries, from page/ (needs node and npm)
  print     build and test bisque-print, which makes PDFs for `bisque papers --pdf` (a workspace of its own)
  bench     time `bisque plan` on every example, cold, and run the crates' benches
  validate  run the literature tests and write docs/validation.md; with --include-ignored the long ones too (up to 14 minutes more)
  refit     fit the pooled evidence anew and write data/posterior.json
  surfaces  solve the designs of the stress surfaces into data/surfaces.csv; may be stopped and gone on with
  tidy      hold the house to its rules: imports, words, effects, lengths, spelling
  licences  name every dependency whose licence is not on the list";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let outcome = match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["demo"] => demo::demo(),
        ["test"] => test::test(),
        ["page"] => page::build(),
        ["print"] => print::print(),
        ["bench"] => bench::bench(),
        ["refit"] => refit::refit(),
        ["surfaces"] => surfaces::surfaces(),
        ["validate"] => validate::validate(false),
        ["validate", "--include-ignored"] => validate::validate(true),
        ["tidy"] => tidy::report(),
        ["licences"] => licences::report(),
        [] | ["help" | "--help" | "-h"] => {
            println!("{HELP}");
            Ok(())
        }
        other => Err(format!("unknown command `{}`; expected one of these:\n\n{HELP}", other.join(" "))),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("{message}");
            ExitCode::FAILURE
        }
    }
}
