//! How a run ends: one mapping from results to exit codes, and the one place that prints errors.

use app::ask::AskError;
use app::bolting_answers::BoltingError;
use app::load::FileLoadError;
use app::workshop::{ArchiveError, WorkshopError};
use std::io::Write as _;
use std::process::ExitCode;

/// What a command found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CommandVerdict {
    /// All is well: exit 0.
    Clean,
    /// Faults or violations: exit 1.
    Found,
}

/// Why a command could not do its work.
#[derive(Debug)]
pub enum CommandFailure {
    /// The input cannot be used: exit 2.
    Input(String),
    /// The program is at fault, or could not write: exit 3.
    Internal(String),
}

impl From<FileLoadError> for CommandFailure {
    fn from(error: FileLoadError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<AskError> for CommandFailure {
    fn from(error: AskError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<BoltingError> for CommandFailure {
    fn from(error: BoltingError) -> Self {
        let option = if let BoltingError::Field { .. } = error { "--" } else { "" };
        Self::Input(format!("{option}{error}"))
    }
}

impl From<WorkshopError> for CommandFailure {
    fn from(error: WorkshopError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<ArchiveError> for CommandFailure {
    fn from(error: ArchiveError) -> Self {
        Self::Input(error.to_string())
    }
}

impl From<serde_json::Error> for CommandFailure {
    fn from(error: serde_json::Error) -> Self {
        Self::Internal(format!("the answer cannot be written as JSON: {error}"))
    }
}

/// The exit code of a result; a failure is told on the error stream.
pub fn report_result(result: Result<CommandVerdict, CommandFailure>) -> ExitCode {
    let (words, code) = match result {
        Ok(CommandVerdict::Clean) => return ExitCode::SUCCESS,
        Ok(CommandVerdict::Found) => return ExitCode::from(1),
        Err(CommandFailure::Input(words)) => (words, 2),
        Err(CommandFailure::Internal(words)) => (words, 3),
    };
    let _ = writeln!(anstream::stderr(), "traywright: {words}");
    ExitCode::from(code)
}

/// Prints an answer; a reader that has gone away is not an error.
///
/// # Errors
/// [`CommandFailure::Internal`] where the output cannot be written.
pub fn print_answer(text: &str) -> Result<(), CommandFailure> {
    let mut out = anstream::stdout();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(CommandFailure::Internal(format!("cannot write the answer: {error}")))
        }
        _ => Ok(()),
    }
}

/// Prints an answer as JSON.
///
/// # Errors
/// [`CommandFailure::Internal`] where it cannot be written.
pub fn print_json(value: &impl serde::Serialize) -> Result<(), CommandFailure> {
    print_answer(&format!("{}\n", serde_json::to_string_pretty(value)?))
}
