//! Checks too long for every test run (`#[ignore]`), run by name and for a limited time when the validation page asks for them.

use crate::run;
use std::path::Path;
use std::time::{Duration, Instant};

/// Package, test file, test, and the seconds it may take on one of two shared cores.
pub const CHECKS: [(&str, &str, &str, u64); 4] = [
    ("strength", "solve_rotations", "twenty_rotations_agree", 240),
    ("strength", "solve_cavities", "a_cavity_in_cells_of_a_fifth_of_the_radius", 180),
    ("strength", "solve_grooves", "a_groove_by_one_zoom", 120),
    ("strength", "solve_grooves", "grooves_by_zooms", 300),
];

/// Runs the long checks of one test file and hands over their lines; those that were stopped or failed are told.
///
/// # Errors
/// When the program cannot be run.
pub fn run(folder: &Path, program: &str, package: &str, name: &str, mut line: impl FnMut(&str)) -> Result<(), String> {
    let mine: Vec<_> = CHECKS.iter().filter(|c| (c.0, c.1) == (package, name)).collect();
    for (_, _, test, seconds) in mine {
        let start = Instant::now();
        let arguments = ["--ignored", "--exact", test, "--nocapture", "--test-threads=1"];
        let ended = run::lines_within(folder, program, &arguments, Duration::from_secs(*seconds), &mut line)?;
        let took = start.elapsed().as_secs();
        let told = match ended {
            Some(true) => format!("{took} s"),
            Some(false) => format!("failed after {took} s"),
            None => format!("stopped after {seconds} s"),
        };
        println!("  {test}: {told}");
        if ended != Some(true) {
            line(&format!("validation | {test} runs to its end | own long check | passes | {told} | miss | "));
        }
    }
    Ok(())
}
