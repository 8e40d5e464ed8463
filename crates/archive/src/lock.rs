//! One writer: a lock beside the journal that says who holds it.
//!
//! The system lets go of the lock when its holder ends, however it ends; what is written in the file is for people.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read as _, Seek as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::ArchiveError;
use crate::place::{real_path, with_ending};

/// How long a program waits for another one that is done soon.
const PATIENCE: Duration = Duration::from_secs(5);

/// How often the lock is tried meanwhile.
const TRY_EVERY: Duration = Duration::from_millis(50);

/// Who holds a journal.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct JournalHolder {
    /// What it runs: "serve".
    pub command: String,
    /// Its number among the programs that run.
    pub process: u32,
    /// Where it takes requests of other programs on this computer, where it does.
    pub door: Option<String>,
}

impl JournalHolder {
    /// This program, running a command.
    #[must_use]
    pub fn of_command(command: &str) -> Self {
        Self { command: command.to_owned(), process: std::process::id(), door: None }
    }

    fn read(file: &mut File) -> Self {
        let mut text = String::new();
        let read = file.rewind().and_then(|()| file.read_to_string(&mut text));
        let mut lines = if read.is_ok() { text.lines() } else { "".lines() };
        let mut next = || lines.next().unwrap_or_default().to_owned();
        let (command, process, door) = (next(), next(), next());
        Self {
            command: if command.is_empty() { String::from("another command") } else { command },
            process: process.parse().unwrap_or(0),
            door: Some(door).filter(|door| !door.is_empty()),
        }
    }

    fn write(&self, file: &mut File) -> std::io::Result<()> {
        let door = self.door.as_deref().unwrap_or_default();
        file.set_len(0)?;
        file.rewind()?;
        file.write_all(format!("{}\n{}\n{door}\n", self.command, self.process).as_bytes())
    }
}

impl core::fmt::Display for JournalHolder {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "`traywright {}` (process {})", self.command, self.process)
    }
}

/// The lock of a journal, held until it is dropped.
#[derive(Debug)]
pub struct JournalLock {
    file: File,
    path: PathBuf,
}

/// What came of asking for the lock.
#[derive(Debug)]
pub enum LockOutcome {
    /// It is ours.
    Taken(JournalLock),
    /// Another program has it.
    Held(JournalHolder),
}

impl JournalLock {
    /// Asks for the lock of a journal once.
    ///
    /// # Errors
    /// [`ArchiveError::File`] when there can be no lock beside the journal.
    pub fn ask(journal: &Path, holder: &JournalHolder) -> Result<LockOutcome, ArchiveError> {
        let path = with_ending(&real_path(journal), ".lock");
        let failed = |cause| ArchiveError::Lock { path: path.clone(), cause };
        let mut file = open_for_owner(&path).map_err(failed)?;
        match file.try_lock() {
            Ok(()) => {
                holder.write(&mut file).map_err(failed)?;
                Ok(LockOutcome::Taken(Self { file, path }))
            }
            Err(TryLockError::WouldBlock) => Ok(LockOutcome::Held(JournalHolder::read(&mut file))),
            Err(TryLockError::Error(cause)) => Err(failed(cause)),
        }
    }

    /// Takes the lock; waits a little for a program that is done soon, not for one that serves.
    ///
    /// # Errors
    /// [`ArchiveError::InUse`] with who holds it, [`ArchiveError::File`] when there can be no lock.
    pub fn take(journal: &Path, holder: &JournalHolder) -> Result<Self, ArchiveError> {
        let begun = Instant::now();
        loop {
            match Self::ask(journal, holder)? {
                LockOutcome::Taken(lock) => return Ok(lock),
                LockOutcome::Held(by) if by.door.is_some() || begun.elapsed() > PATIENCE => {
                    return Err(ArchiveError::InUse { path: journal.to_owned(), by });
                }
                LockOutcome::Held(_) => std::thread::sleep(TRY_EVERY),
            }
        }
    }

    /// Says who holds it from now on.
    ///
    /// # Errors
    /// [`ArchiveError::Lock`] when it cannot be written.
    pub fn name_holder(&mut self, holder: &JournalHolder) -> Result<(), ArchiveError> {
        holder.write(&mut self.file).map_err(|cause| ArchiveError::Lock { path: self.path.clone(), cause })
    }
}

/// The file of a lock, for its owner's eyes alone: it says how the holder is asked.
fn open_for_owner(path: &Path) -> std::io::Result<File> {
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options.open(path)
}

impl Drop for JournalLock {
    fn drop(&mut self) {
        // Only the words go; the lock itself is let go of by the system.
        let _ = self.file.set_len(0);
    }
}
