//! One file a command.

mod anatomy;
mod case;
mod catalogue;
mod colour;
mod drawn;
mod evidence;
mod papers;
mod plan;
mod planning;
mod register;
mod serve;
mod shape;
mod strength;
mod survive;

use crate::args::{Args, Command};
use crate::failure::Failure;
use crate::files;
use ::catalogue::Catalogue;
use std::path::Path;

/// Runs what the command line asks for.
pub fn run(args: Args) -> Result<(), Failure> {
    let data = args.data.as_deref();
    match args.command {
        Command::Plan(plan_args) => plan::run(&plan_args, data),
        Command::Papers(papers_args) => papers::run(&papers_args, data),
        Command::Serve(serve_args) => serve::run(&serve_args, data),
        Command::Register(register_args) => register::run(&register_args, data),
        Command::Case(command) => case::run(command, data),
        Command::Catalogue(command) => catalogue::run(command, data),
        Command::Colour(command) => colour::run(command, data),
        Command::Evidence(command) => evidence::run(command, data),
        Command::Anatomy(command) => anatomy::run(command, data),
        Command::Strength(command) => strength::run(command, data),
        Command::Shape(command) => shape::run(command),
        Command::Survive(command) => survive::run(command),
        Command::Schema => print_json(&::plan::Report::json_schema()),
    }
}

/// The facts, with the practice's own rows over them.
fn facts(folder: Option<&Path>) -> Result<Catalogue, Failure> {
    let own = match folder {
        Some(folder) => files::read_folder(folder, &["csv", "toml"])?,
        None => Vec::new(),
    };
    Catalogue::with_own(&own).map_err(|issues| Failure::Input { issues, text: None })
}

/// Prints a value as JSON.
fn print_json(value: &impl serde::Serialize) -> Result<(), Failure> {
    let text =
        serde_json::to_string_pretty(value).map_err(|e| Failure::Usage(format!("this has no JSON form: {e}")))?;
    say(&text);
    Ok(())
}

/// Prints a text; a closed pipe is the reader's wish, not a failure.
fn say(text: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stdout().lock(), "{text}");
}
