//! The page: built from `page/` into `page/dist`, which is committed and carried inside the program, so that neither a build nor a
//! fresh machine needs node. A stale build is found by one hash over its sources; the tests in a browser drive the built program.
//!
//! As root, missing programs (node, npm, chromium) are installed with `apt-get`; without root and without them the page's tests
//! say loudly that they tested nothing.

use crate::{run, test::Count};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Installs what the build needs, in the versions of the lock file, and builds `page/dist`.
///
/// # Errors
/// When a step fails.
pub fn build() -> Result<(), String> {
    let root = crate::workspace::read()?.root;
    installed(&["node", "npm"])?;
    let page = root.join("page");
    packages(&page)?;
    run::straight(&page, "npm", &["run", "--silent", "types"])?;
    run::straight(&page, "npm", &["run", "--silent", "check"])?;
    run::straight(&page, "npm", &["run", "--silent", "build"])
}

/// Whether `page/dist` is what the sources make.
///
/// # Errors
/// When it is not, with what to do.
pub fn fresh(root: &Path) -> Result<(), String> {
    let page = root.join("page");
    let manifest = page.join("dist/manifest.json");
    let text = std::fs::read_to_string(&manifest)
        .map_err(|e| format!("{}: {e}: run `cargo xtask page`", manifest.display()))?;
    let built: serde_json::Value = serde_json::from_str(&text).map_err(|e| format!("{}: {e}", manifest.display()))?;
    let now = hash(&page)?;
    if built["sources"].as_str() == Some(now.as_str()) {
        return Ok(());
    }
    Err("page/dist is older than what it is made from: run `cargo xtask page` and commit page/dist".into())
}

/// Unit tests and tests in a real browser; counts their result lines.
///
/// # Errors
/// When programs are missing and cannot be installed, or a step cannot be started.
pub fn test(root: &Path, program: &Path) -> Result<(Count, bool), String> {
    installed(&["node", "npm", "chromium"])?;
    let page = root.join("page");
    packages(&page)?;
    let mut count = Count::default();
    let mut ended_well = true;
    let binary = format!("--program={}", program.display());
    for script in [vec!["run", "--silent", "unit"], vec!["run", "--silent", "e2e", "--", &binary]] {
        ended_well &= run::lines(&page, "npm", &script, |line| {
            count.add(line);
            println!("{line}");
        })?;
    }
    Ok((count, ended_well))
}

/// SHA-256 over `name LF length LF bytes` of every source in order of names; `page/build/sources.mjs` computes the same.
fn hash(page: &Path) -> Result<String, String> {
    let mut names = Vec::new();
    for folder in ["src", "build"] {
        under(page, Path::new(folder), &mut names)?;
    }
    names.extend(
        [
            "package.json",
            "package-lock.json",
            "tsconfig.json",
            "../ground/picture/src/palette.rs",
            "../ground/picture/src/raster/map.rs",
        ]
        .map(str::to_owned),
    );
    names.sort();
    let mut hash = Sha256::new();
    for name in names {
        let bytes = std::fs::read(page.join(&name)).map_err(|e| format!("page/{name}: {e}"))?;
        hash.update(format!("{name}\n{}\n", bytes.len()));
        hash.update(bytes);
    }
    Ok(hash.finalize().iter().map(|b| format!("{b:02x}")).collect())
}

fn under(page: &Path, folder: &Path, names: &mut Vec<String>) -> Result<(), String> {
    let told = |e: std::io::Error| format!("page/{}: {e}", folder.display());
    for entry in std::fs::read_dir(page.join(folder)).map_err(told)? {
        let entry = entry.map_err(told)?;
        let path: PathBuf = folder.join(entry.file_name());
        if entry.file_type().map_err(told)?.is_dir() {
            under(page, &path, names)?;
        } else {
            names.push(path.to_string_lossy().replace('\\', "/"));
        }
    }
    Ok(())
}

/// The packages of the lock file, unless they stand there already.
fn packages(page: &Path) -> Result<(), String> {
    let (lock, stamp) = (page.join("package-lock.json"), page.join("node_modules/.package-lock.json"));
    let newer = |path: &Path| path.metadata().and_then(|m| m.modified()).ok();
    if matches!((newer(&lock), newer(&stamp)), (Some(l), Some(s)) if s >= l) {
        return Ok(());
    }
    run::straight(page, "npm", &["ci", "--no-audit", "--no-fund", "--loglevel=error"])
}

/// Makes sure of programs, by Debian's packages of (nearly) the same names.
fn installed(programs: &[&str]) -> Result<(), String> {
    let runs =
        |name: &str| Command::new(name).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
    let missing: Vec<&str> =
        programs.iter().copied().filter(|p| !runs(p)).map(|p| if p == "node" { "nodejs" } else { p }).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let root = Command::new("id").arg("-u").output().is_ok_and(|o| o.stdout.starts_with(b"0\n"));
    if !root {
        return Err(format!("missing and not to be installed without root: {}", missing.join(", ")));
    }
    for arguments in
        [vec!["update", "-qq"], [vec!["install", "-y", "-qq", "--no-install-recommends"], missing].concat()]
    {
        let status = Command::new("apt-get").args(&arguments).env("DEBIAN_FRONTEND", "noninteractive").status();
        if !status.is_ok_and(|s| s.success()) {
            return Err(format!("`apt-get {}` failed", arguments.join(" ")));
        }
    }
    Ok(())
}
