//! The folder of sheets: a case file and a journal each, under a random name, so that no address or log says whose it is.
//!
//! The journal is what holds; the case file is a copy of the last revision for the command line. A case file that another
//! program changed becomes a revision of its own.

use crate::draft;
use crate::journal::{How, Journal, Revision, Trail};
use crate::problem::Problem;
use answer::Issue;
use axum::http::StatusCode;
use serde_json::{Value, json};
use std::collections::HashMap;
use std::fs::{self, TryLockError};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

/// Name of a sheet: twelve random hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Id(String);

impl Id {
    /// From an address; `None` for anything else, so that no name leads out of the folder.
    pub fn parse(text: &str) -> Option<Self> {
        let good = text.len() == 12 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b));
        good.then(|| Self(text.to_owned()))
    }

    fn random() -> Result<Self, Problem> {
        let mut bytes = [0; 6];
        getrandom::fill(&mut bytes).map_err(|e| Problem::fault(e.to_string(), "try again"))?;
        Ok(Self(bytes.iter().map(|b| format!("{b:02x}")).collect()))
    }

    /// As written.
    pub fn text(&self) -> &str {
        &self.0
    }
}

/// A sheet as it stands.
#[derive(Debug, Clone)]
pub struct Standing {
    /// Its name in addresses.
    pub id: Id,
    /// Its revision.
    pub revision: u64,
    /// Its draft.
    pub case: Value,
    /// When it was changed last, seconds since 1970.
    pub changed: u64,
    /// Whether an edit can be taken back.
    pub can_undo: bool,
    /// Whether an edit can be done again.
    pub can_redo: bool,
}

/// What is to be done to a sheet.
#[derive(Debug, Clone)]
pub enum Change {
    /// The whole draft anew.
    Whole(Value),
    /// Some values.
    Values(Vec<draft::Set>),
    /// One edit back.
    Undo,
    /// One edit forward.
    Redo,
}

/// All sheets of a folder.
#[derive(Debug)]
pub struct Sheets {
    folder: PathBuf,
    open: Mutex<HashMap<Id, Arc<Mutex<Sheet>>>>,
    /// Held while the folder is ours: two servers would write over each other.
    _lock: fs::File,
}

#[derive(Debug)]
struct Sheet {
    journal: Journal,
    trail: Trail,
    revisions: Vec<(u64, Value)>,
    changed: u64,
}

/// States kept for telling what changed between two revisions.
const KEPT: usize = 200;

impl Sheets {
    /// Opens a folder, made where it is not there.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn open(folder: &Path) -> io::Result<Self> {
        fs::create_dir_all(folder)?;
        let lock = fs::File::create(folder.join(".lock"))?;
        lock.try_lock().map_err(|e| match e {
            TryLockError::WouldBlock => io::Error::new(io::ErrorKind::WouldBlock, "another server works in it"),
            TryLockError::Error(e) => e,
        })?;
        Ok(Self { folder: folder.to_owned(), open: Mutex::default(), _lock: lock })
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Where the case file of a sheet lies; files it names lie beside it.
    pub fn case_file(&self, id: &Id) -> PathBuf {
        self.folder.join(format!("{}.toml", id.0))
    }

    /// Names of all sheets, in no order.
    ///
    /// # Errors
    /// When the folder cannot be read.
    pub fn ids(&self) -> Result<Vec<Id>, Problem> {
        let entries = fs::read_dir(&self.folder).map_err(|e| unreadable(&e))?;
        let name =
            |e: fs::DirEntry| e.file_name().to_str().and_then(|n| n.strip_suffix(".journal")).and_then(Id::parse);
        Ok(entries.flatten().filter_map(name).collect())
    }

    /// Begins a sheet.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn begin(&self, case: Value) -> Result<Standing, Problem> {
        let id = Id::random()?;
        let sheet = self.sheet(&id, true)?;
        let mut sheet = held(&sheet);
        self.keep(&id, &mut sheet, How::Begun, case)?;
        Ok(sheet.standing(&id))
    }

    /// A sheet as it stands.
    ///
    /// # Errors
    /// When there is none of that name, or it cannot be read.
    pub fn standing(&self, id: &Id) -> Result<Standing, Problem> {
        let sheet = self.sheet(id, false)?;
        let mut sheet = held(&sheet);
        self.take_in_outside(id, &mut sheet)?;
        Ok(sheet.standing(id))
    }

    /// A sheet as it last stood so; none where it never did, as far back as revisions are kept.
    ///
    /// # Errors
    /// When there is none of that name, or it cannot be read.
    pub fn last_so(&self, id: &Id, so: impl Fn(&Value) -> bool) -> Result<Option<Standing>, Problem> {
        let sheet = self.sheet(id, false)?;
        let sheet = held(&sheet);
        let found = sheet.revisions.iter().rev().find(|(_, case)| so(case));
        Ok(found.map(|(revision, case)| Standing { revision: *revision, case: case.clone(), ..sheet.standing(id) }))
    }

    /// Changes a sheet whose revision the changer has seen; once this returns the change stays.
    ///
    /// # Errors
    /// When the sheet was changed meanwhile (told with what changed), there is nothing to take back, or it cannot be written.
    pub fn change(&self, id: &Id, seen: u64, change: Change) -> Result<Standing, Problem> {
        let sheet = self.sheet(id, false)?;
        let mut sheet = held(&sheet);
        self.take_in_outside(id, &mut sheet)?;
        if sheet.revision() != seen {
            return Err(sheet.changed_meanwhile(seen));
        }
        let (how, case) = sheet.after(change)?;
        if how != How::Edit || sheet.trail.now() != Some(&case) {
            self.keep(id, &mut sheet, how, case)?;
        }
        Ok(sheet.standing(id))
    }

    /// Takes a sheet out of the folder; it stays in `deleted/` beneath it.
    ///
    /// # Errors
    /// When there is none of that name, or it cannot be moved.
    pub fn delete(&self, id: &Id) -> Result<(), Problem> {
        drop(self.sheet(id, false)?);
        self.move_all(id, &self.folder, &self.folder.join(DELETED))?;
        guard(&self.open).remove(id);
        Ok(())
    }

    /// Brings a deleted sheet back.
    ///
    /// # Errors
    /// When none of that name was deleted, or it cannot be moved.
    pub fn restore(&self, id: &Id) -> Result<Standing, Problem> {
        self.move_all(id, &self.folder.join(DELETED), &self.folder)?;
        self.standing(id)
    }

    fn move_all(&self, id: &Id, from: &Path, to: &Path) -> Result<(), Problem> {
        fs::create_dir_all(to).map_err(|e| unwritable(&e))?;
        let entries = fs::read_dir(from).map_err(|_| no_sheet())?;
        let mut names: Vec<_> = entries
            .flatten()
            .map(|e| e.file_name())
            .filter(|n| n.to_str().is_some_and(|n| n.starts_with(id.text())))
            .collect();
        // The journal last: as long as it stands, the sheet does.
        names.sort_by_key(|n| n.to_str().is_some_and(|n| n.ends_with(".journal")));
        if names.is_empty() {
            return Err(no_sheet());
        }
        for name in names {
            fs::rename(from.join(&name), to.join(&name)).map_err(|e| unwritable(&e))?;
        }
        Ok(())
    }

    fn sheet(&self, id: &Id, begin: bool) -> Result<Arc<Mutex<Sheet>>, Problem> {
        let mut open = guard(&self.open);
        if let Some(sheet) = open.get(id) {
            return Ok(sheet.clone());
        }
        let path = self.folder.join(format!("{}.journal", id.0));
        if !begin && !path.is_file() {
            return Err(no_sheet());
        }
        let (journal, revisions) = Journal::open(&path).map_err(|e| unreadable(&e))?;
        if !begin && revisions.is_empty() {
            // Begun, but never acknowledged.
            return Err(no_sheet());
        }
        let sheet = Arc::new(Mutex::new(Sheet {
            journal,
            trail: Trail::of(&revisions),
            changed: revisions.last().map_or(0, |r| r.at),
            revisions: revisions.into_iter().map(|r| (r.revision, r.case)).collect(),
        }));
        open.insert(id.clone(), sheet.clone());
        Ok(sheet)
    }

    /// Journal first, then the copy for the command line.
    fn keep(&self, id: &Id, sheet: &mut Sheet, how: How, case: Value) -> Result<(), Problem> {
        let revision = Revision { revision: sheet.revision() + 1, at: now(), how, case };
        sheet.journal.append(&revision).map_err(|e| unwritable(&e))?;
        sheet.changed = revision.at;
        sheet.trail.follow(how, revision.case.clone());
        sheet.revisions.push((revision.revision, revision.case.clone()));
        if sheet.revisions.len() > KEPT {
            sheet.revisions.remove(0);
        }
        // The journal holds what counts: a copy that could not be written is written with the next revision.
        let _ = replace(&self.case_file(id), draft::text(&revision.case).as_bytes());
        Ok(())
    }

    /// A case file that reads otherwise than any revision kept was changed by another program; one that reads like an older
    /// revision was left behind by a crash.
    fn take_in_outside(&self, id: &Id, sheet: &mut Sheet) -> Result<(), Problem> {
        let Ok(text) = fs::read_to_string(self.case_file(id)) else { return Ok(()) };
        if sheet.revisions.iter().rev().any(|(_, case)| draft::text(case) == text) {
            return Ok(());
        }
        match draft::of_text("case", &text) {
            Ok(case) if sheet.revisions.iter().all(|(_, c)| draft::text(c) != draft::text(&case)) => {
                self.keep(id, sheet, How::Outside, case)
            }
            _ => Ok(()),
        }
    }
}

const DELETED: &str = "deleted";

impl Sheet {
    fn revision(&self) -> u64 {
        self.revisions.last().map_or(0, |r| r.0)
    }

    fn standing(&self, id: &Id) -> Standing {
        Standing {
            id: id.clone(),
            revision: self.revision(),
            case: self.trail.now().cloned().unwrap_or_else(draft::empty),
            changed: self.changed,
            can_undo: self.trail.back().is_some(),
            can_redo: self.trail.forward().is_some(),
        }
    }

    fn after(&self, change: Change) -> Result<(How, Value), Problem> {
        let nothing = |what: &str| Problem::new(StatusCode::CONFLICT, "", what, "an edit", "nothing is to be done");
        match change {
            Change::Whole(case) => Ok((How::Edit, case)),
            Change::Values(sets) => {
                let mut case = self.trail.now().cloned().unwrap_or_else(draft::empty);
                draft::set(&mut case, &sets).map_err(|field| {
                    Problem::wrong(&field, "no case has this field", "a field of the case", "take it from /api/words")
                })?;
                Ok((How::Edit, case))
            }
            Change::Undo => {
                self.trail.back().cloned().map(|c| (How::Undo, c)).ok_or_else(|| nothing("nothing is left to undo"))
            }
            Change::Redo => {
                self.trail.forward().cloned().map(|c| (How::Redo, c)).ok_or_else(|| nothing("nothing is left to redo"))
            }
        }
    }

    fn changed_meanwhile(&self, seen: u64) -> Problem {
        let now = self.trail.now().cloned().unwrap_or_default();
        let before = self.revisions.iter().find(|r| r.0 == seen).map(|r| r.1.clone());
        let changed: Vec<Value> = before
            .map(|b| draft::differences(&b, &now))
            .unwrap_or_default()
            .into_iter()
            .map(|(field, before, after)| json!({ "field": field, "before": before, "after": after }))
            .collect();
        Problem::new(
            StatusCode::CONFLICT,
            "If-Match",
            format!("the sheet was changed elsewhere: it is at revision {}, you saw {seen}", self.revision()),
            "the newest revision",
            "take the newest revision over and make the change again; nothing of either is lost",
        )
        .with(json!({ "revision": self.revision(), "changed": changed, "case": now }))
    }
}

/// Replaces a file as a whole: readers see the old or the new one.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let beside = path.with_extension(format!("writing-{}", std::process::id()));
    let mut file = fs::File::create(&beside)?;
    file.write_all(bytes)?;
    file.sync_all()?;
    fs::rename(&beside, path)
}

/// Seconds since 1970 by the machine's clock.
pub fn now() -> u64 {
    SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |d| d.as_secs())
}

fn held(sheet: &Arc<Mutex<Sheet>>) -> MutexGuard<'_, Sheet> {
    guard(sheet)
}

/// A panic in another request must not lock everybody out: what is guarded is whole between its steps.
pub fn guard<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

fn no_sheet() -> Problem {
    Problem::missing("there is no such sheet", "a sheet of the list", "go back to the list of sheets")
}

fn unreadable(e: &io::Error) -> Problem {
    Problem::fault(format!("the folder of sheets cannot be read: {e}"), "check that the folder is there and yours")
}

fn unwritable(e: &io::Error) -> Problem {
    Problem::fault(
        format!("the change could not be written and was not made: {e}"),
        "make room on the disk or check the rights of the folder, then try again",
    )
}

/// Issues of a draft as the page shows them.
pub fn faults(issues: &[Issue]) -> Vec<crate::problem::Fault> {
    issues.iter().map(Into::into).collect()
}
