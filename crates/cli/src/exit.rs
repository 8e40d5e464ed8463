//! How a run ends: one mapping from results to exit codes, and the one place that prints errors.

use app::ask::AskError;
use app::bolting_answers::BoltingError;
use app::failure::{FailureKind, KnownFailure};
use app::first_book::FirstBookError;
use app::load::FileLoadError;
use app::paper::{PaperError, SheetError};
use app::workshop::{ArchiveError, WorkshopError};
use app::write::FileWriteError;
use std::io::Write as _;
use std::process::ExitCode;
use web::ServeError;

/// What a command found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CommandVerdict {
    /// All is well.
    Clean,
    /// Faults or violations.
    Found,
}

impl CommandVerdict {
    /// Clean where it holds.
    pub const fn clean_if(is_clean: bool) -> Self {
        if is_clean { Self::Clean } else { Self::Found }
    }
}

/// Why a command could not do its work.
#[derive(Debug)]
pub struct CommandFailure {
    kind: FailureKind,
    words: String,
}

impl CommandFailure {
    /// An argument that cannot be used; the words say what to give instead.
    pub fn bad_request(words: impl Into<String>) -> Self {
        Self { kind: FailureKind::Request, words: words.into() }
    }

    /// A fault of the program.
    pub fn own_fault(words: impl Into<String>) -> Self {
        Self { kind: FailureKind::Program, words: words.into() }
    }

    fn from_known(error: &(impl KnownFailure + core::fmt::Display)) -> Self {
        Self { kind: error.failure_kind(), words: error.to_string() }
    }
}

/// The exit code of each kind of failure; `docs/exit-codes.md` says the same.
const fn exit_code(kind: FailureKind) -> u8 {
    match kind {
        FailureKind::Request | FailureKind::Data => 2,
        FailureKind::Program => 3,
        FailureKind::Environment => 4,
    }
}

/// Errors whose text is the message unchanged.
macro_rules! known_failures {
    ($($error:ty),*) => {
        $(impl From<$error> for CommandFailure {
            fn from(error: $error) -> Self {
                Self::from_known(&error)
            }
        })*
    };
}

known_failures!(
    ArchiveError,
    AskError,
    FirstBookError,
    FileLoadError,
    FileWriteError,
    PaperError,
    ServeError,
    SheetError,
    WorkshopError
);

impl From<BoltingError> for CommandFailure {
    fn from(error: BoltingError) -> Self {
        let option = if let BoltingError::Field { .. } = error { "--" } else { "" };
        Self { kind: error.failure_kind(), words: format!("{option}{error}") }
    }
}

impl From<serde_json::Error> for CommandFailure {
    fn from(error: serde_json::Error) -> Self {
        Self::own_fault(format!("the answer cannot be written as JSON: {error}"))
    }
}

/// The exit code of a result; the words of a failure go to the error stream.
pub fn report_result(result: Result<CommandVerdict, CommandFailure>) -> ExitCode {
    match result {
        Ok(CommandVerdict::Clean) => ExitCode::SUCCESS,
        Ok(CommandVerdict::Found) => ExitCode::from(1),
        Err(failure) => {
            let _ = writeln!(anstream::stderr(), "traywright: {}", failure.words);
            ExitCode::from(exit_code(failure.kind))
        }
    }
}

/// An answer as other programs read it: one object, named by the command that gave it.
#[derive(serde::Serialize)]
struct JsonAnswer<'a, T> {
    format: String,
    #[serde(flatten)]
    answer: &'a T,
}

/// Prints an answer as JSON, with `format` as its first field; `answer` is a struct or a map, and `command` the command's
/// words joined by `-`, with what sets a second shape apart: `kit-trade-off`.
///
/// # Errors
/// As [`print_answer`].
pub fn print_json(command: &str, answer: &impl serde::Serialize) -> Result<(), CommandFailure> {
    print_document(&JsonAnswer { format: format!("traywright-{command}/1"), answer })
}

/// Prints a document that names its format itself, such as a plan.
///
/// # Errors
/// As [`print_answer`].
pub fn print_document(document: &impl serde::Serialize) -> Result<(), CommandFailure> {
    print_answer(&format!("{}\n", serde_json::to_string_pretty(document)?))
}

/// Prints what a person has to know besides the answer, on the error stream.
pub fn print_warning(words: &str) {
    let _ = writeln!(anstream::stderr(), "traywright: {words}");
}

/// Prints an answer; a reader that has gone away is not an error.
///
/// # Errors
/// A failure of the environment where the output cannot be written.
pub fn print_answer(text: &str) -> Result<(), CommandFailure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(cause) if cause.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(FileWriteError { path: "the answer".into(), cause }.into())
        }
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the page says of each code.
    fn page_row(code: u8) -> &'static str {
        let page = include_str!("../../../docs/exit-codes.md");
        let row = page.lines().find_map(|line| line.strip_prefix(&format!("| {code} | ")));
        row.unwrap_or_else(|| panic!("docs/exit-codes.md has no row for {code}"))
    }

    #[test]
    fn each_kind_has_the_code_that_the_page_gives() {
        for (kind, words) in [
            (FailureKind::Request, "the request or the data cannot be used"),
            (FailureKind::Data, "the request or the data cannot be used"),
            (FailureKind::Program, "a fault of the program"),
            (FailureKind::Environment, "the computer refused"),
        ] {
            assert!(page_row(exit_code(kind)).starts_with(words), "{kind:?}");
        }
        assert_eq!(CommandFailure::own_fault("x").kind, FailureKind::Program);
        assert_eq!(CommandFailure::bad_request("x").kind, FailureKind::Request);
    }
}
