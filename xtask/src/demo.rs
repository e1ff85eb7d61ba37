//! Builds the program, plans one invented case and says where its dossier lies.

use crate::{run, workspace};

const CASE: &str = "examples/bridge-45-47.toml";
const OUT: &str = "bisque-out";

/// # Errors
/// When the build or the plan fails.
pub fn demo() -> Result<(), String> {
    let workspace = workspace::read()?;
    println!("Building bisque (the first time takes some minutes) ...");
    run::straight(&workspace.root, &run::cargo(), &["build", "--release", "--package", "cli"])?;
    let program = workspace.target.join("release").join("bisque");
    println!("Planning {CASE} (an invented case) ...\n");
    run::straight(&workspace.root, &program.to_string_lossy(), &["plan", CASE, "--out", OUT])?;
    let mut written: Vec<String> = std::fs::read_dir(workspace.root.join(OUT))
        .map_err(|e| format!("{OUT} was not written: {e}"))?
        .filter_map(|entry| Some(entry.ok()?.path().display().to_string()))
        .collect();
    written.sort();
    println!("\nWritten:\n  {}", written.join("\n  "));
    Ok(())
}
