//! Carries the built page inside the program: every file of `page/dist`, with the compressed copies the page's own build put
//! beside it. Without that folder the list is empty and the server shows a page that says so.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let here = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").unwrap_or_default());
    let dist = here.join("../../page/dist");
    println!("cargo:rerun-if-changed={}", dist.display());
    let mut files = Vec::new();
    if dist.is_dir() {
        walk(&dist, "", &mut files)?;
    }
    files.sort();
    let mut list = String::from("pub static ASSETS: &[Asset] = &[\n");
    for (name, path) in files.iter().filter(|(name, _)| !name.ends_with(".br") && !name.ends_with(".gz")) {
        let packed = |end: &str| {
            let beside = PathBuf::from(format!("{}.{end}", path.display()));
            if beside.is_file() { format!("Some({})", include(&beside)) } else { "None".to_owned() }
        };
        // Writing to a string cannot fail.
        let _ = writeln!(
            list,
            "    Asset {{ path: {name:?}, plain: {}, brotli: {}, gzip: {} }},",
            include(path),
            packed("br"),
            packed("gz")
        );
    }
    list.push_str("];\n");
    fs::write(PathBuf::from(env::var_os("OUT_DIR").unwrap_or_default()).join("assets.rs"), list)
}

fn include(path: &Path) -> String {
    format!("include_bytes!({:?})", path.display().to_string())
}

fn walk(folder: &Path, prefix: &str, files: &mut Vec<(String, PathBuf)>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        if path.is_dir() {
            walk(&path, &format!("{prefix}{name}/"), files)?;
        } else {
            files.push((format!("{prefix}{name}"), path));
        }
    }
    Ok(())
}
