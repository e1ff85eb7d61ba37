//! What every test of the program does: run it, read what it said, keep an empty folder of its own.
#![allow(dead_code, clippy::unwrap_used)] // each test file uses its part; a helper of tests fails by panicking

use std::path::PathBuf;
use std::process::{Command, Output};

/// The program with arguments, to be run.
pub fn command(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_bisque"));
    command.args(arguments);
    command
}

/// Runs the program.
pub fn bisque(arguments: &[&str]) -> Output {
    command(arguments).output().unwrap()
}

/// An example by its name.
pub fn example(name: &str) -> String {
    format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"))
}

/// An empty folder of one test: the file's own name first.
pub fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("bisque-{name}-{}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// What was printed, as text.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// What a run that went well printed, as JSON.
pub fn json(output: &Output) -> serde_json::Value {
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}
