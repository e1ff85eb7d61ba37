//! `bisque strength`: simple bodies by closed forms, any bodies by finite elements, for checking against other programs.

mod model;
mod neck;
mod parts;
mod solve;
mod surface;
mod vtu;

use crate::args::StrengthCommand;
use crate::failure::Failure;

/// Runs a `strength` command.
pub fn run(command: StrengthCommand) -> Result<(), Failure> {
    match command {
        StrengthCommand::Solve(args) => solve::run(&args),
        StrengthCommand::Neck { height, width, span, radius, modulus, json } => {
            neck::run([height, width, span, radius, modulus], json)
        }
    }
}
