//! Backup while running, and restore; what is copied gets its name only when it is whole and checked.

use std::path::{Path, PathBuf};

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OptionalExtension, params};

use crate::append::sqlite_integer;
use crate::chain::{self, ChainHash};
use crate::file_work::{self, PartFile, file_error, require_free};
use crate::place::{identify_file, real_path, with_ending};
use crate::{ArchiveError, EventArchive, SqliteArchive, check_archive, tail};

/// Pages copied between two progress reports: about a megabyte.
const PAGES: i32 = 256;

/// Setting that names the newest event of the newest checked backup: its place and its hash.
const BACKED_UP: &str = "backed-up";

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
    /// Place of the newest event in it.
    pub newest: u64,
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
    require_free(to)?;
    let part = PartFile::begin(to);
    let report = copy_checked(archive, part.path(), progress)?;
    part.put_in_place()?;
    Ok(CopyReport { to: to.to_owned(), ..report })
}

/// Copies an archive and checks the copy.
fn copy_checked(
    archive: &SqliteArchive,
    to: &Path,
    progress: &mut dyn FnMut(f64),
) -> Result<CopyReport, ArchiveError> {
    copy_pages(&archive.connection, to, progress)?;
    let copy = SqliteArchive::open_to_read(to)?;
    let health = check_archive(&copy)?;
    if let Some(fault) = health.faults.into_iter().next() {
        return Err(ArchiveError::Damaged(fault));
    }
    let newest = copy
        .connection
        .query_row("SELECT ifnull(max(position), 0) FROM event", [], |row| row.get::<_, i64>(0))
        .map_err(ArchiveError::while_doing("read"))?;
    Ok(CopyReport {
        to: to.to_owned(),
        events: health.events,
        documents: health.documents,
        moved_aside: None,
        newest: newest.unsigned_abs(),
    })
}

/// Writes into the journal up to which event it lies in a checked backup, so that devices may let go of theirs.
///
/// # Errors
/// [`ArchiveError`] when the disk refuses.
pub fn note_backup(archive: &mut SqliteArchive, copied: &CopyReport) -> Result<(), ArchiveError> {
    let hash = hash_at(&archive.connection, copied.newest)?;
    let Some(hash) = hash else { return Ok(()) };
    archive.put_setting(BACKED_UP, &format!("{} {}", copied.newest, chain::digest_of_hash(&hash)))
}

/// Up to which place the journal lies in a checked backup; 0 for none.
///
/// # Errors
/// [`ArchiveError`] when the file cannot be read.
pub fn find_backed_up_place(archive: &SqliteArchive) -> Result<u64, ArchiveError> {
    let Some(said) = archive.find_setting(BACKED_UP)? else { return Ok(0) };
    let Some((place, hash)) = said.split_once(' ').and_then(|(p, h)| Some((p.parse().ok()?, h))) else {
        return Ok(0);
    };
    let there = hash_at(&archive.connection, place)?;
    let is_same = there.is_some_and(|there| chain::digest_of_hash(&there).as_str() == hash);
    Ok(if is_same { place } else { 0 })
}

fn hash_at(connection: &Connection, place: u64) -> Result<Option<ChainHash>, ArchiveError> {
    connection
        .prepare_cached("SELECT hash FROM event WHERE position = ?1")
        .and_then(|mut statement| {
            statement.query_row(params![sqlite_integer(place)], |row| row.get(0)).optional()
        })
        .map_err(ArchiveError::while_doing("read"))
}

/// Puts a backup in the place of an archive that no program has open; the old one is moved aside, never deleted.
///
/// Nothing is touched before the backup has been copied and checked beside the journal; then the names change at once.
///
/// # Errors
/// [`ArchiveError`] when the backup is not whole or is the journal itself, or the disk refuses.
pub fn restore_backup(
    from: &Path,
    place: &Path,
    aside: &Path,
    progress: &mut dyn FnMut(f64),
) -> Result<CopyReport, ArchiveError> {
    if place.is_dir() {
        return Err(ArchiveError::NotOurs(place.to_owned()));
    }
    let place = real_path(place);
    if identify_file(from).is_some() && identify_file(from) == identify_file(&place) {
        return Err(ArchiveError::Itself(from.to_owned()));
    }
    require_free(aside)?;
    let backup = SqliteArchive::open_to_read(from)?;
    let part = PartFile::begin(&place);
    let report = copy_checked(&backup, part.path(), progress)?;
    let moved_aside = place.exists().then(|| aside.to_owned());
    if moved_aside.is_some() {
        swap_aside(&place, aside)?;
    }
    part.put_in_place()?;
    let restored = SqliteArchive::open_to_read(&place)?;
    tail::write_tail(&restored.connection, &place)?;
    Ok(CopyReport { to: place, moved_aside, ..report })
}

/// Gives a journal a second name beside; its first one is then taken over in one go. Where it cannot be closed as one file
/// (it is damaged, or the disk knows no second names) it is moved with its log.
fn swap_aside(place: &Path, aside: &Path) -> Result<(), ArchiveError> {
    // The tail speaks of the old journal; it goes with it.
    let tail = tail::tail_path(place);
    if tail.exists() {
        std::fs::rename(&tail, tail::tail_path(aside)).map_err(file_error(&tail))?;
    }
    let is_one_file = SqliteArchive::open(place).and_then(SqliteArchive::close_as_one_file).is_ok();
    if is_one_file && std::fs::hard_link(place, aside).is_ok() {
        return Ok(());
    }
    for ending in ["-wal", "-shm", ""] {
        let (old, new) = (with_ending(place, ending), with_ending(aside, ending));
        if old.exists() {
            std::fs::rename(&old, &new).map_err(file_error(&old))?;
        }
    }
    file_work::force_folder(place);
    Ok(())
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
