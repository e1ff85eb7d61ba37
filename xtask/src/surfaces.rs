//! Solves the designs that the shipped surfaces are fitted to. May be stopped; what stands in the file is not solved again.

use crate::{run, workspace};

/// Designs of each family, and designs kept out of the fit.
const DESIGNS: [&str; 4] = ["--designs", "60", "--fresh", "60"];

/// # Errors
/// When the build or a solve fails.
pub fn surfaces() -> Result<(), String> {
    let workspace = workspace::read()?;
    run::straight(&workspace.root, &run::cargo(), &["build", "--release", "--package", "cli"])?;
    let program = workspace.target.join("release").join("bisque");
    let asked = [&["strength", "surfaces", "data/surfaces.csv"][..], &DESIGNS].concat();
    run::straight(&workspace.root, &program.to_string_lossy(), &asked)
}
