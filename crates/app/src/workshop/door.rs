//! The side door of a program that serves a journal: other programs of this computer ask it to import and to restore, so that
//! one program alone writes.
//!
//! One line of JSON each way, over the computer's own loopback. Who may read the lock beside the journal knows the secret.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::time::Duration;

use archive::{ArchiveError, CopyReport, JournalHolder, JournalLock, LockOutcome, TransferReport};
use record::{ContentDigest, VisitId};
use serde::{Deserialize, Serialize};

use super::{Workshop, WorkshopError, new_id};

/// Maximum number of bytes of a request.
const MAX_REQUEST_BYTES: u64 = 64 * 1024;

/// How long a request may take to arrive.
const REQUEST_TIME: Duration = Duration::from_secs(5);

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoorTask {
    /// Takes a visit's file in.
    Import,
    /// Puts a backup in the place of the journal.
    Restore,
}

#[derive(Serialize, Deserialize)]
struct DoorRequest {
    secret: String,
    task: DoorTask,
    file: PathBuf,
}

/// What came of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DoorAnswer {
    /// A visit's file was taken in.
    Imported {
        /// Which visits.
        visits: Vec<VisitId>,
        /// Entries that are new.
        new: u64,
        /// Entries that were there already.
        known: u64,
        /// Documents.
        documents: u64,
        /// Documents that the file does not hold.
        missing: Vec<ContentDigest>,
    },
    /// A backup is in the place of the journal.
    Restored {
        /// Where.
        to: PathBuf,
        /// Entries in it.
        entries: u64,
        /// Documents in it.
        documents: u64,
        /// Where the old journal was moved.
        moved_aside: Option<PathBuf>,
    },
    /// It could not be done.
    Refused(String),
}

impl DoorAnswer {
    /// The report of an import, where it is one.
    ///
    /// # Errors
    /// [`WorkshopError::Missing`] with why it could not be done.
    pub fn into_transfer(self) -> Result<TransferReport, WorkshopError> {
        match self {
            Self::Imported { visits, new, known, documents, missing } => {
                Ok(TransferReport { visits, beside: Vec::new(), new, known, documents, missing })
            }
            Self::Refused(why) => Err(WorkshopError::Missing(why)),
            Self::Restored { .. } => Err(wrong_answer()),
        }
    }

    /// The report of a restore, where it is one.
    ///
    /// # Errors
    /// [`WorkshopError::Missing`] with why it could not be done.
    pub fn into_copy(self) -> Result<CopyReport, WorkshopError> {
        match self {
            Self::Restored { to, entries, documents, moved_aside } => {
                Ok(CopyReport { to, events: entries, documents, moved_aside, newest: 0 })
            }
            Self::Refused(why) => Err(WorkshopError::Missing(why)),
            Self::Imported { .. } => Err(wrong_answer()),
        }
    }
}

fn wrong_answer() -> WorkshopError {
    WorkshopError::Missing("the program that serves the journal answered something else; restart it".into())
}

/// A secret for a new side door.
#[must_use]
pub fn new_secret() -> String {
    format!("{}{}", new_id(), new_id())
}

/// Who serves a journal, if a program does.
///
/// # Errors
/// [`WorkshopError::Store`] when the lock beside the journal cannot be read.
pub fn find_server(journal: &Path) -> Result<Option<JournalHolder>, WorkshopError> {
    if !journal.exists() {
        return Ok(None);
    }
    match JournalLock::ask(journal, &JournalHolder::of_command("another command"))? {
        LockOutcome::Taken(_) => Ok(None),
        LockOutcome::Held(by) => Ok(Some(by).filter(|by| by.door.is_some())),
    }
}

/// Asks the program that serves a journal to do something with a file.
///
/// # Errors
/// [`WorkshopError::Store`] with who holds the journal where it does not answer.
pub fn ask_server(
    journal: &Path,
    server: &JournalHolder,
    task: DoorTask,
    file: &Path,
) -> Result<DoorAnswer, WorkshopError> {
    let silent = || ArchiveError::InUse { path: journal.to_owned(), by: server.clone() };
    let door = server.door.as_deref().unwrap_or_default();
    let (address, secret) = door.split_once(' ').ok_or_else(silent)?;
    let file = std::fs::canonicalize(file).map_err(|_| ArchiveError::NoFile(file.to_owned()))?;
    let request = DoorRequest { secret: secret.to_owned(), task, file };
    let mut line = serde_json::to_string(&request).map_err(|_| silent())?;
    line.push('\n');
    let mut answer = String::new();
    TcpStream::connect(address)
        .and_then(|mut stream| {
            stream.write_all(line.as_bytes())?;
            BufReader::new(stream).read_line(&mut answer)
        })
        .map_err(|_| silent())?;
    Ok(serde_json::from_str(&answer).map_err(|_| silent())?)
}

/// Something that is done with a workshop at hand.
pub type WorkshopErrand<'a> = &'a mut dyn FnMut(&mut Workshop);

/// Answers one request at the side door; whether the journal is another one now.
pub fn answer_request(
    stream: &TcpStream,
    secret: &str,
    with_workshop: &mut dyn FnMut(WorkshopErrand<'_>),
) -> bool {
    let mut line = String::new();
    let is_read = stream.set_read_timeout(Some(REQUEST_TIME)).is_ok()
        && BufReader::new(stream.take(MAX_REQUEST_BYTES)).read_line(&mut line).is_ok();
    let request: Option<DoorRequest> = if is_read { serde_json::from_str(&line).ok() } else { None };
    let Some(request) = request.filter(|request| request.secret == secret) else { return false };
    let mut answer = DoorAnswer::Refused(String::from("the program that serves the journal is about to end"));
    with_workshop(&mut |workshop| answer = do_task(workshop, &request));
    let mut text = serde_json::to_string(&answer).unwrap_or_default();
    text.push('\n');
    // Who asked may be gone; what was done is done.
    let _ = (&*stream).write_all(text.as_bytes());
    !matches!(answer, DoorAnswer::Refused(_))
}

fn do_task(workshop: &mut Workshop, request: &DoorRequest) -> DoorAnswer {
    let done = match request.task {
        DoorTask::Import => workshop.import_visit_file(&request.file).map(|carried| DoorAnswer::Imported {
            visits: carried.visits,
            new: carried.new,
            known: carried.known,
            documents: carried.documents,
            missing: carried.missing,
        }),
        DoorTask::Restore => {
            workshop.restore_journal(&request.file, &mut |_| ()).map(|copied| DoorAnswer::Restored {
                to: copied.to,
                entries: copied.events,
                documents: copied.documents,
                moved_aside: copied.moved_aside,
            })
        }
    };
    done.unwrap_or_else(|error| DoorAnswer::Refused(error.to_string()))
}
