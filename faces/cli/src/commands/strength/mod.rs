//! `bisque strength`: simple bodies by closed forms, any bodies by finite elements, for checking against other programs.

mod full;
mod level;
mod lifetime;
mod model;
mod neck;
mod parts;
mod solve;
mod surface;
mod surfaces;
mod vtu;
mod years;

use crate::args::StrengthCommand;
use crate::failure::Failure;
use ::plan::Varied;
use std::path::Path;

/// Runs a `strength` command.
pub fn run(command: StrengthCommand, data: Option<&Path>) -> Result<(), Failure> {
    match command {
        StrengthCommand::Connector(args) => level::run(&args, Varied::ConnectorHeight, data),
        StrengthCommand::Wall(args) => level::run(&args, Varied::ChewingWall, data),
        StrengthCommand::Years(args) => years::run(&args, data),
        StrengthCommand::Lifetime(args) => lifetime::run(&args),
        StrengthCommand::Solve(args) => solve::run(&args),
        StrengthCommand::Full(args) => full::run(&args, data),
        StrengthCommand::Surfaces(args) => surfaces::run(&args),
        StrengthCommand::Neck { height, width, span, radius, modulus, json } => {
            neck::run([height, width, span, radius, modulus], json)
        }
    }
}
