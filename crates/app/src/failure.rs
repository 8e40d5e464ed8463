//! Whose turn it is when something fails: the one table from errors to kinds, for exit codes and every other front end.

use crate::ask::AskError;
use crate::bolting_answers::BoltingError;
use crate::first_book::FirstBookError;
use crate::load::FileLoadError;
use crate::paper::{PaperError, SheetError};
use crate::workshop::{ArchiveError, WorkshopError};
use crate::write::FileWriteError;
use std::io::ErrorKind;

/// Who can put a failure right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FailureKind {
    /// Who asked: a path, a name or an argument that is not there or out of range.
    Request,
    /// Who wrote the data: a book, a store, a plan, readings or a journal with faults.
    Data,
    /// Who looks after the computer: a full disk, a place that may not be written or read, a port in use.
    Environment,
    /// Who wrote this program.
    Program,
}

/// An error that knows its kind.
pub trait KnownFailure {
    /// Its kind.
    fn failure_kind(&self) -> FailureKind;
}

/// The kind of a file that could not be read: a wrong path is the asker's, all else is the computer's.
fn classify_read_error(error: &std::io::Error) -> FailureKind {
    match error.kind() {
        ErrorKind::NotFound
        | ErrorKind::NotADirectory
        | ErrorKind::IsADirectory
        | ErrorKind::InvalidInput
        | ErrorKind::InvalidFilename => FailureKind::Request,
        ErrorKind::InvalidData => FailureKind::Data,
        _ => FailureKind::Environment,
    }
}

impl KnownFailure for FileLoadError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Io { error, .. } => classify_read_error(error),
            Self::Empty { .. } | Self::Missing { .. } | Self::WrongKind { .. } => FailureKind::Request,
            Self::Faulty { .. } | Self::Plan { .. } => FailureKind::Data,
        }
    }
}

impl KnownFailure for FileWriteError {
    fn failure_kind(&self) -> FailureKind {
        FailureKind::Environment
    }
}

impl KnownFailure for FirstBookError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Exists { .. } => FailureKind::Request,
            Self::Carried { .. } => FailureKind::Data,
            Self::Load(error) => error.failure_kind(),
            Self::Write(error) => error.failure_kind(),
        }
    }
}

impl KnownFailure for AskError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Load(error) => error.failure_kind(),
            Self::Write(error) => error.failure_kind(),
            Self::UnknownTask { .. } | Self::Argument { .. } => FailureKind::Request,
            Self::Plan(_) => FailureKind::Data,
        }
    }
}

impl KnownFailure for BoltingError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Field { .. } => FailureKind::Request,
            Self::Load(error) => error.failure_kind(),
            Self::Write(error) => error.failure_kind(),
        }
    }
}

impl KnownFailure for SheetError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::NeedsVisit(_) | Self::Nothing { .. } | Self::OtherPaper(_) | Self::Skip { .. } => {
                FailureKind::Request
            }
        }
    }
}

impl KnownFailure for PaperError {
    fn failure_kind(&self) -> FailureKind {
        FailureKind::Data
    }
}

impl KnownFailure for WorkshopError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            Self::Store(error) => error.failure_kind(),
            Self::Ask(error) => error.failure_kind(),
            Self::Refused(_)
            | Self::NoVisit(_)
            | Self::NoVehicle(_)
            | Self::NotListed { .. }
            | Self::SharedLetter { .. }
            | Self::TakenLetter { .. }
            | Self::Missing(_) => FailureKind::Request,
            Self::Picture(_) | Self::Rest(_) | Self::Document { .. } => FailureKind::Data,
        }
    }
}

impl KnownFailure for ArchiveError {
    fn failure_kind(&self) -> FailureKind {
        match self {
            _ if self.is_damage() => FailureKind::Data,
            Self::Refused { .. }
            | Self::File { .. }
            | Self::Lock { .. }
            | Self::InUse { .. }
            | Self::Gone { .. } => FailureKind::Environment,
            Self::NoFile(_)
            | Self::Itself(_)
            | Self::NotOurs(_)
            | Self::Exists(_)
            | Self::NoStream(_)
            | Self::Unacceptable { .. } => FailureKind::Request,
            Self::Newer { .. }
            | Self::Older { .. }
            | Self::Unreadable { .. }
            | Self::Damaged(_)
            | Self::ChangedDocument(_) => FailureKind::Data,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io;

    fn read_failure(kind: ErrorKind) -> FailureKind {
        FileLoadError::Io { path: "a.toml".into(), error: io::Error::from(kind) }.failure_kind()
    }

    #[test]
    fn a_wrong_path_is_the_askers_and_a_failing_disk_is_the_computers() {
        assert_eq!(read_failure(ErrorKind::NotFound), FailureKind::Request);
        assert_eq!(read_failure(ErrorKind::InvalidData), FailureKind::Data);
        assert_eq!(read_failure(ErrorKind::PermissionDenied), FailureKind::Environment);
        assert_eq!(read_failure(ErrorKind::Other), FailureKind::Environment);
    }

    #[test]
    fn a_write_error_keeps_its_kind_inside_other_errors() {
        let write =
            || FileWriteError { path: "a.svg".into(), cause: io::Error::from(ErrorKind::StorageFull) };
        assert_eq!(AskError::Write(write()).failure_kind(), FailureKind::Environment);
        assert_eq!(BoltingError::Write(write()).failure_kind(), FailureKind::Environment);
        assert_eq!(WorkshopError::from(AskError::Write(write())).failure_kind(), FailureKind::Environment);
    }

    #[test]
    fn a_write_error_names_the_path_and_what_to_do() {
        let error = FileWriteError { path: "a.svg".into(), cause: io::Error::from(ErrorKind::StorageFull) };
        let words = error.to_string();
        assert!(words.starts_with("cannot write a.svg: "), "{words}");
        assert!(words.ends_with("; choose another place or free space"), "{words}");
    }
}
