//! Reading files, and writing whole folders at once: everything goes into a new folder beside the target and is moved in only
//! when it is complete, so that nothing half-written stays.

use crate::failure::Failure;
use std::fs;
use std::path::{Path, PathBuf};

/// Largest input read, bytes: a case or table of more is a mistake.
const LARGEST: u64 = 64 * 1024 * 1024;

/// Reads a text file as UTF-8.
///
/// # Errors
/// [`Failure::Read`] when it cannot be read, is too large, or is no UTF-8.
pub fn read(path: &Path) -> Result<String, Failure> {
    let failed = |source| Failure::Read { path: path.to_owned(), source };
    let size = fs::metadata(path).map_err(failed)?.len();
    if size > LARGEST {
        let text = format!("it has {size} bytes, more than the {LARGEST} that are read");
        return Err(failed(std::io::Error::new(std::io::ErrorKind::FileTooLarge, text)));
    }
    let bytes = fs::read(path).map_err(failed)?;
    String::from_utf8(bytes).map_err(|e| {
        let line = e.as_bytes()[..e.utf8_error().valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
        let text = format!("line {line} is not UTF-8: save the file as UTF-8 text");
        failed(std::io::Error::new(std::io::ErrorKind::InvalidData, text))
    })
}

/// A file that a case names, beside it: only a plain name that is there, never a way out of its folder.
pub fn beside(case: &Path, name: &str) -> Option<PathBuf> {
    let plain = Path::new(name).file_name().is_some_and(|n| n == name);
    let path = case.parent().unwrap_or_else(|| Path::new(".")).join(name);
    (plain && path.is_file()).then_some(path)
}

/// Files of a folder that end in one of the given extensions, by name.
///
/// # Errors
/// [`Failure::Read`] when the folder or a file cannot be read.
pub fn read_folder(folder: &Path, extensions: &[&str]) -> Result<Vec<(String, String)>, Failure> {
    let failed = |source| Failure::Read { path: folder.to_owned(), source };
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)
        .map_err(failed)?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()
        .map_err(failed)?;
    paths.retain(|p| p.extension().and_then(|e| e.to_str()).is_some_and(|e| extensions.contains(&e)));
    paths.sort();
    let name = |p: &Path| p.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    paths.iter().map(|p| Ok((name(p), read(p)?))).collect()
}

/// As [`read_folder`]; an empty list when the folder is not there.
///
/// # Errors
/// As [`read_folder`].
pub fn read_folder_if_there(folder: &Path, extensions: &[&str]) -> Result<Vec<(String, String)>, Failure> {
    if folder.exists() { read_folder(folder, extensions) } else { Ok(Vec::new()) }
}

/// Writes files (name, contents) into a folder, all or nothing; files of the same names are replaced, others stay.
///
/// # Errors
/// [`Failure::Write`]; the folder is then as it was.
pub fn write_all(folder: &Path, files: &[(String, Vec<u8>)]) -> Result<(), Failure> {
    let failed = |path: &Path| {
        let path = path.to_owned();
        move |source| Failure::Write { path, source }
    };
    fs::create_dir_all(folder).map_err(failed(folder))?;
    let staging = folder.join(format!(".writing-{}", std::process::id()));
    let result = stage_and_move(folder, &staging, files);
    // The staging folder is ours alone; if it cannot be removed, the result still stands.
    let _ = fs::remove_dir_all(&staging);
    result.map_err(|(path, source)| Failure::Write { path, source })
}

fn stage_and_move(folder: &Path, staging: &Path, files: &[(String, Vec<u8>)]) -> Result<(), (PathBuf, std::io::Error)> {
    fs::create_dir_all(staging).map_err(|e| (staging.to_owned(), e))?;
    for (name, contents) in files {
        let path = staging.join(name);
        fs::write(&path, contents).map_err(|e| (folder.join(name), e))?;
    }
    for (name, _) in files {
        fs::rename(staging.join(name), folder.join(name)).map_err(|e| (folder.join(name), e))?;
    }
    Ok(())
}
