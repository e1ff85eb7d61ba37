//! The revisions of one sheet, a line each, appended and synced before anything is acknowledged.
//!
//! A line that was cut off by a crash was never acknowledged and is dropped when the journal is opened again. Undo and redo are
//! revisions too: they are written, not unwritten.

use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// How a revision came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum How {
    /// The sheet was begun, or taken in from a file.
    Begun,
    /// Edited.
    Edit,
    /// One edit taken back.
    Undo,
    /// One edit done again.
    Redo,
    /// The case file beside the journal was changed by another program.
    Outside,
}

/// One revision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Revision {
    /// Number, from 1.
    pub revision: u64,
    /// When, seconds since 1970 by the machine's clock.
    pub at: u64,
    /// How.
    pub how: How,
    /// The whole sheet after it.
    pub case: Value,
}

/// A journal on disk, open for more.
#[derive(Debug)]
pub struct Journal {
    file: File,
    length: u64,
}

impl Journal {
    /// Opens or begins a journal and reads it back; a last line that is not whole is cut off.
    ///
    /// # Errors
    /// When the file cannot be read or written, or a line before the last is not a revision.
    pub fn open(path: &Path) -> io::Result<(Self, Vec<Revision>)> {
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        let whole = bytes.iter().rposition(|b| *b == b'\n').map_or(0, |i| i + 1);
        let mut revisions = Vec::new();
        for line in bytes[..whole].split(|b| *b == b'\n').filter(|l| !l.is_empty()) {
            let one: Revision =
                serde_json::from_slice(line).map_err(|e| io::Error::new(io::ErrorKind::InvalidData, e))?;
            revisions.push(one);
        }
        let length = whole as u64;
        if whole < bytes.len() {
            file.set_len(length)?;
            file.sync_all()?;
        }
        file.seek(SeekFrom::End(0))?;
        Ok((Self { file, length }, revisions))
    }

    /// Appends one revision; once this returns it stays, whatever happens to the program.
    ///
    /// # Errors
    /// When it cannot be written; the journal is then as it was.
    pub fn append(&mut self, revision: &Revision) -> io::Result<()> {
        let mut line = serde_json::to_vec(revision).map_err(io::Error::other)?;
        line.push(b'\n');
        let written = self.file.write_all(&line).and_then(|()| self.file.sync_data());
        match written {
            Ok(()) => self.length += line.len() as u64,
            // Half a line must not stay before the next one.
            Err(_) => self.file.set_len(self.length)?,
        }
        written
    }
}

/// Where undo and redo lead, found by going through the revisions once.
#[derive(Debug, Clone, Default)]
pub struct Trail {
    undo: Vec<Value>,
    redo: Vec<Value>,
    now: Option<Value>,
}

impl Trail {
    /// After all these revisions.
    pub fn of(revisions: &[Revision]) -> Self {
        let mut trail = Self::default();
        revisions.iter().for_each(|r| trail.follow(r.how, r.case.clone()));
        trail
    }

    /// After one more.
    pub fn follow(&mut self, how: How, case: Value) {
        let before = self.now.replace(case);
        match how {
            How::Begun | How::Edit | How::Outside => {
                self.undo.extend(before);
                self.redo.clear();
            }
            How::Undo => {
                self.undo.pop();
                self.redo.extend(before);
            }
            How::Redo => {
                self.redo.pop();
                self.undo.extend(before);
            }
        }
    }

    /// The sheet one edit back.
    pub fn back(&self) -> Option<&Value> {
        self.undo.last()
    }

    /// The sheet one undone edit forward.
    pub fn forward(&self) -> Option<&Value> {
        self.redo.last()
    }

    /// The sheet as it stands.
    pub fn now(&self) -> Option<&Value> {
        self.now.as_ref()
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use serde_json::json;

    fn folder(name: &str) -> std::path::PathBuf {
        let path = std::env::temp_dir().join(format!("journal-{name}-{}", std::process::id()));
        let _ = std::fs::remove_file(&path);
        path
    }

    fn revision(n: u64) -> Revision {
        Revision { revision: n, at: 0, how: How::Edit, case: json!({ "n": n }) }
    }

    #[test]
    fn what_was_appended_is_read_back_and_a_torn_line_is_dropped() {
        let path = folder("torn");
        let (mut journal, none) = Journal::open(&path).unwrap();
        assert!(none.is_empty());
        journal.append(&revision(1)).unwrap();
        journal.append(&revision(2)).unwrap();
        let whole = std::fs::read(&path).unwrap();
        let line = whole.len() / 2;
        for cut in line..whole.len() {
            std::fs::write(&path, &whole[..cut]).unwrap();
            let (mut again, read) = Journal::open(&path).unwrap();
            assert_eq!(read, [revision(1)], "cut at {cut}");
            again.append(&revision(3)).unwrap();
            assert_eq!(Journal::open(&path).unwrap().1, [revision(1), revision(3)]);
        }
        std::fs::remove_file(&path).unwrap();
    }

    #[test]
    fn a_journal_that_is_none_is_refused_not_emptied() {
        let path = folder("garbage");
        std::fs::write(&path, b"not a revision\n{}\n").unwrap();
        assert!(Journal::open(&path).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"not a revision\n{}\n");
        std::fs::remove_file(&path).unwrap();
    }

    #[test]
    fn undo_and_redo_walk_the_edits_and_an_edit_ends_redo() {
        let mut trail = Trail::default();
        for n in 1..=3 {
            trail.follow(How::Edit, json!(n));
        }
        assert_eq!(trail.back(), Some(&json!(2)));
        trail.follow(How::Undo, json!(2));
        assert_eq!((trail.back(), trail.forward()), (Some(&json!(1)), Some(&json!(3))));
        trail.follow(How::Redo, json!(3));
        assert_eq!((trail.back(), trail.forward()), (Some(&json!(2)), None));
        trail.follow(How::Undo, json!(2));
        trail.follow(How::Edit, json!(9));
        assert_eq!((trail.back(), trail.forward(), trail.now()), (Some(&json!(2)), None, Some(&json!(9))));
    }
}
