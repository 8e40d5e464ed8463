//! Backup while running, and restore.

use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use crate::{ArchiveError, SqliteArchive, check_archive};

/// Pages copied between two progress reports: about a megabyte.
const PAGES: i32 = 256;

/// What was copied.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CopyReport {
    /// Where it went.
    pub to: PathBuf,
    /// Events in it.
    pub events: u64,
    /// Documents in it.
    pub documents: u64,
    /// Where the previous file was moved.
    pub moved_aside: Option<PathBuf>,
}

/// Copies the whole archive into one new file while it is in use, and checks the copy.
///
/// `progress` receives the share done, 0 to 1.
///
/// # Errors
/// [`ArchiveError`] when the file is there already, the disk refuses, or the copy is not whole.
pub fn back_up_archive(
    archive: &SqliteArchive,
    to: &Path,
    progress: &mut dyn FnMut(f64),
) -> Result<CopyReport, ArchiveError> {
    if to.exists() {
        return Err(ArchiveError::Exists(to.to_owned()));
    }
    copy_pages(&archive.connection, to, progress)?;
    let health = check_archive(&SqliteArchive::open_to_read(to)?)?;
    if let Some(fault) = health.faults.into_iter().next() {
        return Err(ArchiveError::Damaged(fault));
    }
    Ok(CopyReport {
        to: to.to_owned(),
        events: health.events,
        documents: health.documents,
        moved_aside: None,
    })
}

/// Puts a backup in the place of an archive that no program has open; the old one is moved aside, never deleted.
///
/// # Errors
/// [`ArchiveError`] when the backup is not whole, or the disk refuses.
pub fn restore_backup(
    from: &Path,
    place: &Path,
    aside: &Path,
    progress: &mut dyn FnMut(f64),
) -> Result<CopyReport, ArchiveError> {
    let backup = SqliteArchive::open_to_read(from)?;
    let health = check_archive(&backup)?;
    if let Some(fault) = health.faults.into_iter().next() {
        return Err(ArchiveError::Damaged(fault));
    }
    let moved_aside = place.exists().then(|| aside.to_owned());
    if let Some(aside) = &moved_aside {
        if aside.exists() {
            return Err(ArchiveError::Exists(aside.clone()));
        }
        move_with_log(place, aside)?;
    }
    copy_pages(&backup.connection, place, progress)?;
    Ok(CopyReport { to: place.to_owned(), events: health.events, documents: health.documents, moved_aside })
}

fn copy_pages(from: &Connection, to: &Path, progress: &mut dyn FnMut(f64)) -> Result<(), ArchiveError> {
    let doing = ArchiveError::while_doing;
    let mut target = Connection::open(to).map_err(doing("opened for the copy"))?;
    {
        let backup = Backup::new(from, &mut target).map_err(doing("copied"))?;
        while backup.step(PAGES).map_err(doing("copied"))? != StepResult::Done {
            let at = backup.progress();
            progress(1.0 - f64::from(at.remaining) / f64::from(at.pagecount.max(1)));
        }
    }
    progress(1.0);
    target.pragma_update_and_check(None, "journal_mode", "delete", |_| Ok(())).map_err(doing("closed"))?;
    target.close().map_err(|(_, cause)| ArchiveError::Refused { doing: "closed", cause })
}

/// Moves a file and its write-ahead log, which belongs to it.
fn move_with_log(from: &Path, to: &Path) -> Result<(), ArchiveError> {
    for ending in ["", "-wal", "-shm"] {
        let (old, new) = (with_ending(from, ending), with_ending(to, ending));
        if old.exists() {
            std::fs::rename(&old, &new).map_err(|cause| ArchiveError::File { path: old, cause })?;
        }
    }
    Ok(())
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}
