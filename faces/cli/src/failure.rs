//! Why a command did not do its work, and the exit code that says so.

use answer::Issue;
use std::path::PathBuf;

/// Why a command failed.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The input has errors.
    #[error("the input has errors")]
    Input {
        /// What is wrong, in line order.
        issues: Vec<Issue>,
        /// Text of the file the issues point into, where there is one.
        text: Option<String>,
    },
    /// A file could not be read.
    #[error("cannot read {path}: {source}; check the name and that you may read it")]
    Read {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// A file or folder could not be written; nothing half-written is left.
    #[error("cannot write {path}: {source}; nothing was changed there")]
    Write {
        /// Which.
        path: PathBuf,
        /// Why.
        source: std::io::Error,
    },
    /// The command line asks for something that is not there.
    #[error("{0}")]
    Usage(String),
    /// The register could not do it.
    #[error(transparent)]
    Store(Box<store::StoreError>),
    /// Nothing was printed.
    #[error(transparent)]
    Printer(#[from] web::printer::NotPrinted),
    /// Nothing was served.
    #[error(transparent)]
    NotServed(#[from] web::ServeError),
    /// Stopped before it was done.
    #[error(transparent)]
    Interrupted(#[from] answer::Interrupted),
}

impl Failure {
    /// Exit code as documented in the program's help.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Input { .. } => 1,
            Self::Usage(_) | Self::Printer(_) | Self::NotServed(web::ServeError::NoPassword(_)) => 2,
            Self::Read { .. } | Self::Write { .. } | Self::Store(_) | Self::NotServed(_) => 3,
            Self::Interrupted(_) => 4,
        }
    }
}
