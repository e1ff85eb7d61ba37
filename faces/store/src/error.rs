//! Why a store did not do what was asked, in words for the person who asked.

use sqlx::error::DatabaseError;
use std::path::PathBuf;

/// Why a store failed. Whatever it says, nothing of the write in question was kept: writes are whole or not at all.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No register stands there.
    #[error("there is no register at {0}; make one with `bisque register init`, or check the name")]
    NotThere(String),
    /// One stands there already.
    #[error("a register stands at {0} already; nothing was changed: open it, or take another place")]
    StandsAlready(String),
    /// Something else stands there.
    #[error("{0} is no register: it is another kind of file or database; check the name")]
    NotARegister(String),
    /// Written by a newer program.
    #[error(
        "the register was written by a newer program (form {found}, this one knows up to {known}); update this program; nothing was changed"
    )]
    Newer {
        /// Form found.
        found: i64,
        /// Newest form known.
        known: i64,
    },
    /// Sealed, and no passphrase was given.
    #[error("the register is sealed: give its passphrase (environment BISQUE_PASSPHRASE, or --passphrase-file)")]
    NeedsPassphrase,
    /// The passphrase does not open it.
    #[error("this passphrase does not open it; nothing was changed. There is no way in without the right one")]
    WrongPassphrase,
    /// A passphrase was given for a register that has none.
    #[error(
        "a passphrase was given, but the register is not sealed; leave it away, or restore a backup into a sealed one"
    )]
    NotSealed,
    /// Somebody else holds it.
    #[error(
        "the register is locked by another program; nothing was written: close the other one or try again in a moment"
    )]
    Locked,
    /// No room.
    #[error(
        "the disk is full; nothing of this entry was written and nothing older is lost: make room and enter it again"
    )]
    Full,
    /// Not writable.
    #[error("the register may only be read here: check the rights of the file and its folder")]
    ReadOnly,
    /// Somebody else changed what was to be changed.
    #[error("somebody else changed {0} meanwhile; nothing was overwritten: look again, then enter your change")]
    Conflict(String),
    /// Damaged.
    #[error("the register is damaged ({0}); restore the last backup, and keep the damaged file for an expert")]
    Damaged(String),
    /// A dump or backup that cannot be read.
    #[error("the {what} cannot be taken in: {why}; nothing was written")]
    Unreadable {
        /// Backup or export.
        what: &'static str,
        /// Why.
        why: String,
    },
    /// The target of a restore is not empty.
    #[error("the target holds records already; restore into a new, empty register")]
    NotEmpty,
    /// No connection.
    #[error("no connection to the server: {0}; check the address, the network and the rights")]
    NoConnection(String),
    /// The address cannot be read.
    #[error("`{0}` is no address of a register; write a file name, or postgres://user@host/database")]
    BadAddress(String),
    /// A file failed.
    #[error("{path}: {source}; nothing was changed there")]
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// Anything else the database says.
    #[error("the database refused: {0}")]
    Database(String),
}

impl From<sqlx::Error> for StoreError {
    fn from(error: sqlx::Error) -> Self {
        match &error {
            sqlx::Error::Database(e) => of_database(e.as_ref()),
            sqlx::Error::Io(e) if e.kind() == std::io::ErrorKind::StorageFull => Self::Full,
            sqlx::Error::Io(e) => Self::NoConnection(e.to_string()),
            sqlx::Error::PoolTimedOut => Self::Locked,
            sqlx::Error::Configuration(e) => Self::BadAddress(e.to_string()),
            other => Self::Database(other.to_string()),
        }
    }
}

/// SQLite's primary result codes (low byte) and PostgreSQL's SQLSTATE classes, as documented by each.
fn of_database(error: &dyn DatabaseError) -> StoreError {
    let code = error.code().unwrap_or_default();
    let text = error.message().to_owned();
    if code.len() == 5 {
        return match code.as_ref() {
            "53100" => StoreError::Full,
            "40001" | "40P01" | "23505" => StoreError::Conflict("this record".into()),
            "55P03" => StoreError::Locked,
            "25006" | "42501" => StoreError::ReadOnly,
            "28000" | "28P01" | "3D000" => StoreError::NoConnection(text),
            "XX001" | "XX002" => StoreError::Damaged(text),
            _ => StoreError::Database(text),
        };
    }
    match code.parse::<i64>().map(|c| (c, c & 0xff)) {
        Ok((1555 | 2067, _)) => StoreError::Conflict("this record".into()),
        Ok((_, 5 | 6)) => StoreError::Locked,
        // The index of the write-ahead log could not grow: SQLite calls that a failure of the disk.
        Ok((4874, _)) | Ok((_, 13)) => StoreError::Full,
        Ok((_, 8)) => StoreError::ReadOnly,
        Ok((_, 10)) => {
            StoreError::Database(format!("the disk failed or has no room ({text}); nothing of this entry was written"))
        }
        Ok((_, 11)) => StoreError::Damaged(text),
        Ok((_, 14)) => StoreError::NoConnection(format!("the file cannot be opened ({text})")),
        Ok((_, 26)) => StoreError::NotARegister("the file".into()),
        _ => StoreError::Database(text),
    }
}
