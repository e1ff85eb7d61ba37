//! The house's rules that no compiler holds, each a file here: which crate may import which, what the floors may not know
//! or do, how long a file may be, how words are spelt, and that no path leads out of the repository.

mod citations;
mod effects;
mod imports;
mod lengths;
mod paths;
mod source;
mod spelling;
mod trade_words;

use crate::workspace::{self, Workspace};
use source::SourceFile;

/// Prints the outcome.
///
/// # Errors
/// All breaches, one a line.
pub fn report() -> Result<(), String> {
    let workspace = workspace::read()?;
    let breaches = breaches(&workspace)?;
    if breaches.is_empty() {
        println!("tidy: {} crates keep the house's rules", workspace.members.len());
        Ok(())
    } else {
        Err(format!("tidy:\n  {}", breaches.join("\n  ")))
    }
}

/// Every breach of every rule.
///
/// # Errors
/// When the tree cannot be read.
pub fn breaches(workspace: &Workspace) -> Result<Vec<String>, String> {
    let files = source::rust_files(&workspace.root)?;
    if files.is_empty() {
        return Err("tidy found no Rust file: it looks in the wrong place".into());
    }
    let mut breaches = imports::breaches(workspace);
    for file in &files {
        breaches.extend(lengths::breaches(file));
        breaches.extend(effects::breaches(file));
        breaches.extend(trade_words::breaches(file));
        breaches.extend(spelling::in_rust(file));
    }
    for (name, text) in source::prose_files(&workspace.root)? {
        breaches.extend(spelling::in_prose(&name, &text));
        breaches.extend(paths::breaches(&name, &text));
    }
    for file in &files {
        breaches.extend(paths::breaches(&file.name, &file.text));
    }
    Ok(breaches)
}

/// `file:line: what`.
fn at(file: &str, line: usize, what: &str) -> String {
    format!("{file}:{line}: {what}")
}

/// The floor a file stands on: the first part of its path.
fn floor(file: &SourceFile) -> &str {
    file.name.split('/').next().unwrap_or("")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_house_is_tidy() {
        assert_eq!(breaches(&workspace::read().unwrap()).unwrap(), Vec::<String>::new());
    }
}
