//! The program `bisque-print`: a workspace of its own, since its document engine takes minutes to compile and no other build or
//! test may wait for it. Format, lints, licences, build and tests, as for the rest.

use crate::{licences, run, workspace};

const MANIFEST: &str = "faces/print/Cargo.toml";

/// Builds it beside `bisque`, where `bisque papers --pdf` finds it, and tests it.
///
/// # Errors
/// When a step fails.
pub fn print() -> Result<(), String> {
    let workspace = workspace::read()?;
    let (root, cargo, target) = (workspace.root.as_path(), run::cargo(), workspace.target.to_string_lossy());
    println!("[1/4] format and licences");
    run::straight(root, &cargo, &["fmt", "--manifest-path", MANIFEST, "--check"])?;
    licences::check(&workspace::read_of(&root.join(MANIFEST))?.foreign)?;
    println!("[2/4] build (the first time takes some minutes)");
    let here = ["--manifest-path", MANIFEST, "--target-dir", &target, "--release"];
    run::straight(root, &cargo, &[["build"].as_slice(), &here].concat())?;
    println!("[3/4] lints");
    let strict = ["--all-targets", "--quiet", "--", "-D", "warnings"];
    run::straight(root, &cargo, &[["clippy"].as_slice(), &here, &strict].concat())?;
    println!("[4/4] tests");
    run::straight(root, &cargo, &[["test"].as_slice(), &here].concat())?;
    println!("built: {}", workspace.target.join("release").join("bisque-print").display());
    Ok(())
}
