//! What can go wrong with the file, in words that say what to do.

use core::fmt;
use std::path::PathBuf;

/// What can go wrong with the archive.
#[derive(Debug)]
pub enum ArchiveError {
    /// SQLite refused: disk full, no permission, locked.
    Refused {
        /// What was being done.
        doing: &'static str,
        /// SQLite's own words.
        cause: rusqlite::Error,
    },
    /// A file could not be copied or moved.
    File {
        /// Which.
        path: PathBuf,
        /// The system's own words.
        cause: std::io::Error,
    },
    /// The file was written by a newer program.
    Newer {
        /// Its format.
        found: u32,
    },
    /// There is no such file.
    NoFile(PathBuf),
    /// The file was written by a program from before streams.
    Older {
        /// Its format.
        found: u32,
    },
    /// A document is not what its name says.
    ChangedDocument(String),
    /// The file is SQLite's but not ours.
    NotOurs(PathBuf),
    /// There is a file already.
    Exists(PathBuf),
    /// An event on disk cannot be understood.
    Unreadable {
        /// Its place in the order of arrival.
        position: u64,
        /// Why.
        reason: String,
    },
    /// The file does not hold that stream.
    NoStream(String),
    /// The file is damaged.
    Damaged(String),
}

impl ArchiveError {
    pub(crate) fn while_doing(doing: &'static str) -> impl FnOnce(rusqlite::Error) -> Self {
        move |cause| Self::Refused { doing, cause }
    }

    /// Whether SQLite refused because of what is in the file, not because of the disk, a lock or a permission.
    #[must_use]
    pub fn is_damage(&self) -> bool {
        use rusqlite::ErrorCode::{DatabaseCorrupt, NotADatabase};
        match self {
            Self::Refused { cause, .. } => {
                matches!(cause.sqlite_error_code(), Some(DatabaseCorrupt | NotADatabase))
            }
            Self::Unreadable { .. } | Self::Damaged(_) | Self::ChangedDocument(_) => true,
            Self::File { .. }
            | Self::Newer { .. }
            | Self::Older { .. }
            | Self::NoFile(_)
            | Self::NotOurs(_)
            | Self::Exists(_)
            | Self::NoStream(_) => false,
        }
    }
}

impl fmt::Display for ArchiveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused { doing, cause } => {
                write!(
                    f,
                    "the journal could not be {doing}: {cause}; check that the disk has free space and is writable"
                )
            }
            Self::File { path, cause } => {
                write!(f, "cannot move {}: {cause}; check that its folder is writable", path.display())
            }
            Self::Newer { found } => write!(
                f,
                "the journal has format {found}; this program reads up to {}: use a newer version of the program",
                crate::FORMAT
            ),
            Self::NoFile(path) => write!(f, "there is no file {}; check its name", path.display()),
            Self::Older { found } => write!(
                f,
                "the journal has format {found}, which this program no longer reads; start a new one under another name"
            ),
            Self::ChangedDocument(name) => write!(
                f,
                "document {name} was changed after it was written and is not shown; `check-journal` says what else is damaged"
            ),
            Self::NotOurs(path) => write!(f, "{} is not a journal of this program", path.display()),
            Self::Exists(path) => {
                write!(f, "{} already exists; choose another name or move it away", path.display())
            }
            Self::Unreadable { position, reason } => {
                write!(f, "cannot read event {position} of the journal: {reason}; run `check-journal`")
            }
            Self::NoStream(stream) => write!(f, "the journal holds no {stream}"),
            Self::Damaged(what) => write!(
                f,
                "the journal is damaged: {what}; `check-journal --save-to FILE` saves what is sound into a new file"
            ),
        }
    }
}

impl std::error::Error for ArchiveError {}
