//! What can go wrong with the file, in words that say what to do.

use core::fmt;
use std::path::PathBuf;

use record::NeedsAttention;
use rusqlite::ErrorCode;

use crate::JournalHolder;

/// What can go wrong with the archive.
#[derive(Debug)]
pub enum ArchiveError {
    /// SQLite refused: disk full, no permission, locked; the message says what that means.
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
    /// There can be no lock beside the journal.
    Lock {
        /// Where it should lie.
        path: PathBuf,
        /// The system's own words.
        cause: std::io::Error,
    },
    /// Another program of ours works with the journal.
    InUse {
        /// Which journal.
        path: PathBuf,
        /// Who.
        by: JournalHolder,
    },
    /// The journal is no longer the file that was opened.
    Gone {
        /// Where it was.
        path: PathBuf,
        /// What became of it.
        what: &'static str,
    },
    /// A backup to be restored is the journal itself.
    Itself(PathBuf),
    /// An event could not be read again if it were written; nothing was written.
    Unacceptable {
        /// Its id.
        event: String,
        /// Why.
        why: NeedsAttention,
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
        match self {
            Self::Refused { cause, .. } => {
                cause.sqlite_error_code().is_some_and(|code| DAMAGE_CODES.contains(&code))
            }
            Self::Unreadable { .. } | Self::Damaged(_) | Self::ChangedDocument(_) => true,
            Self::File { .. }
            | Self::Lock { .. }
            | Self::InUse { .. }
            | Self::Gone { .. }
            | Self::Itself(_)
            | Self::Unacceptable { .. }
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
            Self::Refused { doing, cause } => write_refusal(f, doing, cause),
            Self::File { path, cause } => {
                write!(
                    f,
                    "cannot write or move {}: {cause}; check that its folder is writable and its disk has room",
                    path.display()
                )
            }
            Self::Lock { path, cause } => write!(
                f,
                "cannot lock the journal by {}: {cause}; check that the folder is writable and lies on a disk of this computer",
                path.display()
            ),
            Self::InUse { path, by } => write!(
                f,
                "{} is in use by {by}; end that program first, or do it on its pages",
                path.display()
            ),
            Self::Gone { path, what } => write!(
                f,
                "{} {what} while it was open, so nothing more is written or acknowledged; put the file back where it was, with \
                 its -wal file, or stop this program and start it with the right journal. What devices have not got acknowledged \
                 stays on them",
                path.display()
            ),
            Self::Itself(path) => {
                write!(
                    f,
                    "{} is the journal itself and no backup of it; name the file that `backup` wrote",
                    path.display()
                )
            }
            Self::Unacceptable { event, why } => {
                write!(
                    f,
                    "entry {event} was not written: {why}; what is too long is said in several entries, what is out of sense is put right where it was written"
                )
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
                write!(f, "event {position} of the journal is not shown: {reason}; run `check-journal`")
            }
            Self::NoStream(stream) => write!(f, "the journal holds no {stream}"),
            Self::Damaged(what) => write!(
                f,
                "the journal is damaged: {what}; `check-journal --out FILE` saves what is sound into a new file"
            ),
        }
    }
}

impl std::error::Error for ArchiveError {}

/// The refusals that speak of what is in the file.
const DAMAGE_CODES: &[ErrorCode] = &[ErrorCode::DatabaseCorrupt, ErrorCode::NotADatabase];

/// What a refusal of SQLite means, and what to do about it.
struct RefusalCause {
    /// The codes of SQLite for it; its own page "Result and Error Codes" describes each.
    codes: &'static [ErrorCode],
    /// What is the matter.
    meaning: &'static str,
    /// What to do.
    remedy: &'static str,
}

/// The refusals that a person can do something about; all others are told in SQLite's words alone.
const REFUSAL_CAUSES: &[RefusalCause] = &[
    RefusalCause {
        codes: &[ErrorCode::DiskFull],
        meaning: "the disk is full",
        remedy: "free space on it and try again",
    },
    RefusalCause {
        codes: &[ErrorCode::DatabaseBusy, ErrorCode::DatabaseLocked, ErrorCode::FileLockingProtocolFailed],
        meaning: "another program has it open",
        remedy: "close that program, or wait until it is done, and try again",
    },
    RefusalCause {
        codes: &[ErrorCode::ReadOnly],
        meaning: "it may only be read",
        remedy: "make the file and its folder writable, or copy it to a place that is",
    },
    RefusalCause {
        codes: DAMAGE_CODES,
        meaning: "the file is damaged, or is no journal",
        remedy: "keep the file as it is and put a copy back with `restore`; without one, `check-journal --out FILE` \
                 saves what is sound",
    },
    RefusalCause {
        codes: &[ErrorCode::PermissionDenied, ErrorCode::AuthorizationForStatementDenied],
        meaning: "you may not use it",
        remedy: "ask whoever looks after the computer for the right to read and write the file and its folder",
    },
    RefusalCause {
        codes: &[ErrorCode::CannotOpen],
        meaning: "the file cannot be opened",
        remedy: "check its name, that its folder exists, and that you may read and write there",
    },
    RefusalCause {
        codes: &[ErrorCode::SystemIoFailure],
        meaning: "the disk does not read or write",
        remedy: "check that it is connected and sound, and try again",
    },
];

/// The meaning of a refusal and what to do, SQLite's own words last in brackets; those alone where nothing is known of it.
fn write_refusal(f: &mut fmt::Formatter<'_>, doing: &str, cause: &rusqlite::Error) -> fmt::Result {
    let code = cause.sqlite_error_code();
    match REFUSAL_CAUSES.iter().find(|known| code.is_some_and(|code| known.codes.contains(&code))) {
        Some(RefusalCause { meaning, remedy, .. }) => {
            write!(f, "the journal could not be {doing}: {meaning}; {remedy} ({cause})")
        }
        None => write!(f, "the journal could not be {doing}: {cause}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(code: i32) -> String {
        let cause = rusqlite::Error::SqliteFailure(rusqlite::ffi::Error::new(code), None);
        ArchiveError::Refused { doing: "written", cause }.to_string()
    }

    #[test]
    fn each_refusal_says_what_it_means_and_what_to_do() {
        use rusqlite::ffi;
        for (code, meaning, remedy) in [
            (ffi::SQLITE_FULL, "the disk is full", "free space"),
            (ffi::SQLITE_BUSY, "another program has it open", "close that program"),
            (ffi::SQLITE_LOCKED, "another program has it open", "close that program"),
            (ffi::SQLITE_PROTOCOL, "another program has it open", "close that program"),
            (ffi::SQLITE_READONLY, "it may only be read", "make the file and its folder writable"),
            (ffi::SQLITE_CORRUPT, "the file is damaged", "put a copy back"),
            (ffi::SQLITE_NOTADB, "the file is damaged", "put a copy back"),
            (ffi::SQLITE_PERM, "you may not use it", "ask whoever looks after the computer"),
            (ffi::SQLITE_AUTH, "you may not use it", "ask whoever looks after the computer"),
            (ffi::SQLITE_CANTOPEN, "cannot be opened", "check its name"),
            (ffi::SQLITE_IOERR, "the disk does not read or write", "connected"),
        ] {
            let words = refused(code);
            assert!(words.contains(meaning) && words.contains(remedy) && words.ends_with(')'), "{words}");
            let speaks_of_space = words.contains("free space");
            assert_eq!(speaks_of_space, code == ffi::SQLITE_FULL, "only a full disk wants space: {words}");
        }
    }

    #[test]
    fn no_code_stands_for_two_causes() {
        let all: Vec<ErrorCode> = REFUSAL_CAUSES.iter().flat_map(|cause| cause.codes).copied().collect();
        for (at, code) in all.iter().enumerate() {
            assert!(!all[..at].contains(code), "{code:?} stands twice");
        }
    }

    #[test]
    fn any_other_refusal_is_told_in_the_librarys_own_words() {
        let words = refused(rusqlite::ffi::SQLITE_CONSTRAINT);
        assert_eq!(words, "the journal could not be written: Error code 19: constraint failed");
        let other = ArchiveError::Refused { doing: "read", cause: rusqlite::Error::QueryReturnedNoRows };
        assert_eq!(other.to_string(), "the journal could not be read: Query returned no rows");
    }
}
