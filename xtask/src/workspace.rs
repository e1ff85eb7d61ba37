//! The workspace as `cargo metadata` tells it.

use crate::run;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;

/// One crate of the workspace.
#[derive(Debug, Clone)]
pub struct Member {
    /// Name.
    pub name: String,
    /// Folder, relative to the root, with `/` between parts.
    pub folder: String,
    /// Crates of this workspace it names as dependencies of any kind (normal, build, test).
    pub imports: Vec<String>,
    /// Names of its integration tests with the folder-relative path of each.
    pub tests: Vec<(String, String)>,
    /// True where it has benches.
    pub has_benches: bool,
}

/// One package from the registry.
#[derive(Debug, Clone)]
pub struct Foreign {
    /// Name and version.
    pub name: String,
    /// Licence expression as its author wrote it.
    pub licence: Option<String>,
}

/// What `cargo metadata` says of this workspace.
#[derive(Debug, Clone)]
pub struct Workspace {
    /// Folder of the root `Cargo.toml`.
    pub root: PathBuf,
    /// Folder that cargo builds in.
    pub target: PathBuf,
    /// Our crates.
    pub members: Vec<Member>,
    /// Everybody else's.
    pub foreign: Vec<Foreign>,
}

/// Asks cargo.
///
/// # Errors
/// When cargo fails or answers something unexpected.
pub fn read() -> Result<Workspace, String> {
    asked(&[])
}

/// Asks cargo of another workspace, by its manifest.
///
/// # Errors
/// As [`read`].
pub fn read_of(manifest: &Path) -> Result<Workspace, String> {
    asked(&["--manifest-path", &manifest.to_string_lossy()])
}

fn asked(more: &[&str]) -> Result<Workspace, String> {
    let output = Command::new(run::cargo())
        .args(["metadata", "--format-version", "1"])
        .args(more)
        .stderr(std::process::Stdio::inherit())
        .output()
        .map_err(|e| format!("could not start cargo metadata: {e}"))?;
    if !output.status.success() {
        return Err("cargo metadata failed: mend Cargo.toml first".into());
    }
    let metadata: Value =
        serde_json::from_slice(&output.stdout).map_err(|e| format!("cargo metadata is not JSON: {e}"))?;
    from_metadata(&metadata).ok_or_else(|| "cargo metadata lacks a field this program needs".into())
}

fn from_metadata(metadata: &Value) -> Option<Workspace> {
    let root = PathBuf::from(metadata["workspace_root"].as_str()?);
    let ours: Vec<&str> = metadata["workspace_members"].as_array()?.iter().filter_map(Value::as_str).collect();
    let (mut members, mut foreign, mut names) = (Vec::new(), Vec::new(), Vec::new());
    let packages = metadata["packages"].as_array()?;
    for package in packages.iter().filter(|p| p["id"].as_str().is_some_and(|id| ours.contains(&id))) {
        names.push(package["name"].as_str()?.to_owned());
    }
    for package in packages {
        let name = package["name"].as_str()?.to_owned();
        if !package["id"].as_str().is_some_and(|id| ours.contains(&id)) {
            let version = package["version"].as_str()?;
            let licence = package["license"].as_str().map(str::to_owned);
            foreign.push(Foreign { name: format!("{name} {version}"), licence });
            continue;
        }
        let manifest = PathBuf::from(package["manifest_path"].as_str()?);
        let own = manifest.parent()?;
        let folder = own.strip_prefix(&root).ok()?.to_string_lossy().replace('\\', "/");
        let mut imports: Vec<String> = package["dependencies"]
            .as_array()?
            .iter()
            .filter_map(|d| d["name"].as_str())
            .filter(|d| names.iter().any(|n| n == d))
            .map(str::to_owned)
            .collect();
        imports.sort();
        imports.dedup();
        let targets = package["targets"].as_array()?;
        let of_kind = |kind: &str| {
            let kind = kind.to_owned();
            targets
                .iter()
                .filter(move |t| t["kind"].as_array().is_some_and(|ks| ks.iter().any(|k| *k == kind.as_str())))
        };
        let tests = of_kind("test")
            .filter_map(|t| {
                let path = PathBuf::from(t["src_path"].as_str()?);
                Some((t["name"].as_str()?.to_owned(), path.strip_prefix(&root).ok()?.to_string_lossy().into_owned()))
            })
            .collect();
        let has_benches = of_kind("bench").next().is_some();
        members.push(Member { name, folder, imports, tests, has_benches });
    }
    members.sort_by(|a, b| a.folder.cmp(&b.folder));
    Some(Workspace { target: PathBuf::from(metadata["target_directory"].as_str()?), root, members, foreign })
}
