//! The program's own commands, run for the rooms whose work is a command's: what the page does there is what the command line does, to the letter.
//!
//! Each value is one argument of its own; none is read by a shell. Output that is no success is told as the command told it.

use crate::problem::Problem;
use axum::http::StatusCode;
use case::Case;
use catalogue::Catalogue;
use picture::Scene;
use plan::{Report, ShownTeeth};
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::Arc;

/// Longest value taken over as an argument, bytes.
const LONGEST: usize = 2000;

/// What the server has of the program that begins it: its commands, and what its commands know of scans and drawn tissue.
#[derive(Debug, Clone)]
pub struct Commands {
    /// The program.
    pub program: PathBuf,
    /// Teeth of a case as the files beside it show them, and what is to be said of that.
    pub teeth: fn(&Case, &Path, &Catalogue) -> (ShownTeeth, Vec<String>),
    /// Pictures of what each option takes from its teeth, by its id.
    pub tissue: fn(&Case, &Catalogue, &Report, &Arc<ShownTeeth>) -> Drawn,
}

/// Pictures by the option's id.
pub type Drawn = BTreeMap<String, Vec<Scene>>;

/// The program `bisque`, where one began this server.
#[derive(Debug, Clone)]
pub struct Program(Option<Commands>);

impl Program {
    /// None where only the server is built.
    pub fn new(commands: Option<Commands>) -> Self {
        Self(commands)
    }

    /// Teeth as files show them; average forms without a program.
    pub fn teeth(&self, case: &Case, file: &Path, catalogue: &Catalogue) -> (Arc<ShownTeeth>, Vec<String>) {
        let seen = case.abutments.iter().any(|a| a.scan.is_some() || a.wax_up.is_some() || a.sound_neighbour.is_some());
        match &self.0 {
            Some(commands) if seen => {
                let (shown, remarks) = (commands.teeth)(case, file, catalogue);
                (Arc::new(shown), remarks)
            }
            _ => (Arc::default(), Vec::new()),
        }
    }

    /// Pictures of what options take; none without a program.
    pub fn tissue(&self, case: &Case, catalogue: &Catalogue, report: &Report, shown: &Arc<ShownTeeth>) -> Drawn {
        self.0.as_ref().map(|c| (c.tissue)(case, catalogue, report, shown)).unwrap_or_default()
    }

    /// What a command prints.
    ///
    /// # Errors
    /// What the command complains of.
    pub fn run(&self, arguments: &[String]) -> Result<String, Problem> {
        let Some(Commands { program, .. }) = &self.0 else {
            return Err(Problem::new(
                StatusCode::NOT_IMPLEMENTED,
                "",
                "this server runs without the program's commands",
                "a server begun by `bisque serve`",
                "begin it so",
            ));
        };
        if let Some(long) = arguments.iter().find(|a| a.len() > LONGEST || a.contains('\0')) {
            let told: String = long.chars().take(30).collect();
            return Err(Problem::wrong("body", format!("`{told}` is too long"), "at most 2000 letters", "shorten it"));
        }
        let done = Command::new(program)
            .args(arguments)
            .stdin(Stdio::null())
            .output()
            .map_err(|e| Problem::fault(format!("the command could not be run: {e}"), "try again"))?;
        if done.status.success() {
            return Ok(String::from_utf8_lossy(&done.stdout).into_owned());
        }
        let said = String::from_utf8_lossy(&done.stderr);
        let status = match done.status.code() {
            Some(1 | 2) => StatusCode::UNPROCESSABLE_ENTITY,
            Some(4) => StatusCode::CONFLICT,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        Err(refused(status, &said))
    }

    /// What a command prints with `--json`.
    ///
    /// # Errors
    /// As [`Program::run`].
    pub fn json(&self, arguments: &[String]) -> Result<Value, Problem> {
        let text = self.run(&[arguments, &["--json".to_owned()]].concat())?;
        serde_json::from_str(&text)
            .map_err(|e| Problem::fault(format!("the command's answer cannot be read: {e}"), "try again"))
    }
}

/// What a command says of the first thing wrong, in its parts.
fn refused(status: StatusCode, said: &str) -> Problem {
    let mut lines = said.trim().lines().map(str::trim);
    let what = lines.next().unwrap_or_default().trim_start_matches("error: ").to_owned();
    let (mut expected, mut remedy) = ("what the command expects", "correct it and send it again");
    // As far as the next thing that is wrong, which begins with no part of this one.
    for line in lines {
        match line.split_once(": ") {
            Some(("expected", text)) => expected = text,
            Some(("do", text)) => {
                remedy = text;
                break;
            }
            _ => {}
        }
    }
    Problem::new(status, "", what, expected, remedy)
}

/// A file of its own for a moment, gone when it is let go.
pub struct Passing(PathBuf);

impl Passing {
    /// In a folder, with an ending.
    ///
    /// # Errors
    /// When no random name is to be had.
    pub fn new(folder: &Path, ending: &str) -> Result<Self, Problem> {
        let mut bytes = [0; 8];
        getrandom::fill(&mut bytes).map_err(|e| Problem::fault(e.to_string(), "try again"))?;
        let name: String = bytes.iter().map(|b| format!("{b:02x}")).collect();
        Ok(Self(folder.join(format!(".{name}.{ending}"))))
    }

    /// Where it is.
    pub fn path(&self) -> &Path {
        &self.0
    }
}

impl Drop for Passing {
    fn drop(&mut self) {
        // It is ours alone; one that was never written has nothing to remove.
        let _ = std::fs::remove_file(&self.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_command_complains_of_is_parted() {
        let said = "error: arm `x`, n: `many` is no number\n  expected: a count\n  do: correct it\nline 2\n  do: other\n2 errors to mend";
        let told = refused(StatusCode::UNPROCESSABLE_ENTITY, said);
        assert_eq!(
            (told.what.as_str(), told.expected.as_str(), told.remedy.as_str()),
            ("arm `x`, n: `many` is no number", "a count", "correct it")
        );
        assert_eq!(refused(StatusCode::CONFLICT, "error: why?\n").what, "why?");
    }
}
