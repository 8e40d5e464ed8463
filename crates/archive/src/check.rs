//! Is the file intact, and if not, what can be saved?
//!
//! **Question.** Does SQLite find its own pages in order, does every event follow from the one before it, and does every
//! document still have the name of its content?
//!
//! **Method.** SQLite's `integrity_check`, then the chain of each stream from its first event on. A repair never touches
//! the damaged file: what can be read is copied into a new one, stream by stream up to the first event that does not follow.

use std::collections::BTreeMap;
use std::path::Path;

use rusqlite::Connection;

use crate::chain::{self, ChainHash};
use crate::read::{COLUMNS, EventRow};
use crate::{ArchiveError, ArchivedDocument, EventArchive, SqliteArchive};

/// What a check found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ArchiveHealth {
    /// Events that follow from the one before them.
    pub events: u64,
    /// Documents with the right name.
    pub documents: u64,
    /// What is wrong, in words; empty when all is well.
    pub faults: Vec<String>,
}

impl ArchiveHealth {
    /// Whether nothing is wrong.
    #[must_use]
    pub const fn is_well(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Checks an open archive; reads all of it.
///
/// # Errors
/// [`ArchiveError`] when SQLite cannot even begin to read.
pub fn check_archive(archive: &SqliteArchive) -> Result<ArchiveHealth, ArchiveError> {
    let mut health = ArchiveHealth::default();
    check_pages(&archive.connection, &mut health);
    walk_events(&archive.connection, 0, CheckedTips::new(), &mut health, &mut |_| Ok(()))?;
    check_documents(&archive.connection, &mut health, &mut |_| Ok(()))?;
    Ok(health)
}

/// Checks the newest events alone, however many there are before them: quick enough to be done at each opening.
///
/// A tail that was torn off, half written or changed shows; damage further back is found by [`check_archive`].
///
/// # Errors
/// [`ArchiveError`] when SQLite cannot even begin to read.
pub fn check_newest_events(archive: &SqliteArchive, count: u32) -> Result<ArchiveHealth, ArchiveError> {
    let mut health = ArchiveHealth::default();
    let doing = ArchiveError::while_doing;
    let newest: i64 = archive
        .connection
        .query_row("SELECT ifnull(max(position), 0) FROM event", [], |row| row.get(0))
        .map_err(doing("read"))?;
    let before = newest.saturating_sub(i64::from(count)).max(0);
    let mut tips = CheckedTips::new();
    let mut statement = archive
        .connection
        .prepare(
            "SELECT kind || ' ' || stream, hash FROM event WHERE position IN (
                 SELECT (SELECT max(position) FROM event
                         WHERE kind = young.kind AND stream = young.stream AND position <= ?1)
                 FROM (SELECT DISTINCT kind, stream FROM event WHERE position > ?1) AS young)",
        )
        .map_err(doing("read"))?;
    let rows = statement
        .query_map([before], |row| Ok((row.get::<_, String>(0)?, row.get::<_, ChainHash>(1)?)))
        .map_err(doing("read"))?;
    for row in rows {
        let (stream, hash) = row.map_err(doing("read"))?;
        tips.insert(stream, Some(hash));
    }
    walk_events(&archive.connection, before, tips, &mut health, &mut |_| Ok(()))?;
    Ok(health)
}

/// Copies all that can be saved of a damaged file into a new one, and says what was wrong.
///
/// # Errors
/// [`ArchiveError`] when the new file is there already or cannot be written, or nothing of the old one can be read.
pub fn recover_archive(damaged: &Path, into: &Path) -> Result<ArchiveHealth, ArchiveError> {
    if into.exists() {
        return Err(ArchiveError::Exists(into.to_owned()));
    }
    let old = SqliteArchive::open_to_read(damaged)?;
    let mut new = SqliteArchive::open(into)?;
    let mut health = ArchiveHealth::default();
    check_pages(&old.connection, &mut health);
    check_documents(&old.connection, &mut health, &mut |document| new.put_document(document).map(drop))?;
    walk_events(&old.connection, 0, CheckedTips::new(), &mut health, &mut |event| {
        new.append_events(&[event]).map(drop)
    })?;
    copy_beside_events(&old, &mut new, &mut health)?;
    Ok(health)
}

/// Keys of devices and things set aside; what cannot be read is named and left.
fn copy_beside_events(
    old: &SqliteArchive,
    new: &mut SqliteArchive,
    health: &mut ArchiveHealth,
) -> Result<(), ArchiveError> {
    match old.list_device_keys() {
        Ok(keys) => keys.iter().try_for_each(|key| new.put_device_key(key))?,
        Err(error) => health.faults.push(format!("keys of devices: {error}")),
    }
    match old.list_asides() {
        Ok(asides) => asides.iter().try_for_each(|aside| new.set_aside(aside).map(drop))?,
        Err(error) => health.faults.push(format!("things set aside: {error}")),
    }
    Ok(())
}

fn check_pages(connection: &Connection, health: &mut ArchiveHealth) {
    let mut found = Vec::new();
    let result = connection.pragma_query(None, "integrity_check", |row| {
        found.push(row.get::<_, String>(0)?);
        Ok(())
    });
    if let Err(error) = result {
        found.push(error.to_string());
    }
    health.faults.extend(found.into_iter().filter(|line| line != "ok"));
}

/// The hash of the newest event of each stream; `None` behind one that does not follow.
type CheckedTips = BTreeMap<String, Option<ChainHash>>;

/// Goes through the events after a place in the order of arrival; passes on those whose hash matches.
fn walk_events(
    connection: &Connection,
    after: i64,
    mut tips: CheckedTips,
    health: &mut ArchiveHealth,
    sound: &mut dyn FnMut(record::AnyEvent) -> Result<(), ArchiveError>,
) -> Result<(), ArchiveError> {
    let mut statement = connection
        .prepare(&format!("SELECT {COLUMNS} FROM event WHERE position > ?1 ORDER BY position"))
        .map_err(ArchiveError::while_doing("read"))?;
    let rows = statement.query_map([after], EventRow::from_row).map_err(ArchiveError::while_doing("read"))?;
    for row in rows {
        let raw = match row {
            Ok(raw) => raw,
            Err(error) => {
                health.faults.push(format!("reading the events stopped: {error}"));
                break;
            }
        };
        let tip = tips.entry(raw.stream_words()).or_insert(Some(chain::START));
        let Some(previous) = tip else { continue };
        match check_follows(&raw, previous) {
            Ok(event) => {
                *previous = raw.hash;
                health.events += 1;
                sound(event)?;
            }
            Err(reason) => {
                health.faults.push(format!(
                    "{}: event {} {reason}; it and all later events of this stream cannot be trusted",
                    raw.stream_words(),
                    raw.position
                ));
                *tip = None;
            }
        }
    }
    Ok(())
}

fn check_follows(raw: &EventRow, previous: &ChainHash) -> Result<record::AnyEvent, String> {
    let event = raw.to_event().map_err(|error| error.to_string())?;
    if raw.previous != *previous {
        return Err("does not match the event before it".to_owned());
    }
    if chain::next_hash(previous, &raw.text) != raw.hash {
        return Err("has been changed since it was written".to_owned());
    }
    Ok(event)
}

fn check_documents(
    connection: &Connection,
    health: &mut ArchiveHealth,
    sound: &mut dyn FnMut(&ArchivedDocument) -> Result<(), ArchiveError>,
) -> Result<(), ArchiveError> {
    let mut statement = connection
        .prepare("SELECT name, media, bytes FROM document ORDER BY name")
        .map_err(ArchiveError::while_doing("read"))?;
    let rows = statement
        .query_map([], |row| {
            Ok((row.get::<_, String>(0)?, ArchivedDocument { media: row.get(1)?, bytes: row.get(2)? }))
        })
        .map_err(ArchiveError::while_doing("read"))?;
    for row in rows {
        match row {
            Ok((name, document)) if chain::content_digest(&document.bytes).as_str() == name => {
                health.documents += 1;
                sound(&document)?;
            }
            Ok((name, _)) => health.faults.push(format!("document {name} has been changed")),
            Err(error) => {
                health.faults.push(format!("reading the documents stopped: {error}"));
                break;
            }
        }
    }
    Ok(())
}
