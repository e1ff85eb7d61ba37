//! Makes the shipped posterior anew from the study arms.

use crate::{run, workspace};

/// # Errors
/// When the build or the fit fails.
pub fn refit() -> Result<(), String> {
    let workspace = workspace::read()?;
    run::straight(&workspace.root, &run::cargo(), &["build", "--release", "--package", "cli"])?;
    let program = workspace.target.join("release").join("bisque");
    run::straight(&workspace.root, &program.to_string_lossy(), &["evidence", "refit", "--out", "data/posterior.json"])
}
