//! Is the file intact?
//!
//! **Question.** Does SQLite find its own pages in order, does every event follow from the one before it, and does every
//! document still have the name of its content?
//!
//! **Method.** SQLite's `integrity_check`, then the chain of each stream from its first event on. What can be saved of a damaged
//! file is the question of [`crate::rescue`].

use std::collections::BTreeMap;

use rusqlite::Connection;

use crate::chain::{self, ChainHash};
use crate::read::{COLUMNS, EventRow};
use crate::rescue::DAMAGED_MEDIA;
use crate::{ArchiveError, ArchivedDocument, SqliteArchive};

/// What a check found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ArchiveHealth {
    /// Events that follow from the one before them.
    pub events: u64,
    /// Documents with the right name.
    pub documents: u64,
    /// Documents that a rescue brought along and marked as damaged; they are never shown.
    pub marked_documents: u64,
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
    walk_events(&archive.connection, 0, CheckedTips::new(), &mut health)?;
    check_documents(&archive.connection, &mut health)?;
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
    walk_events(&archive.connection, before, tips, &mut health)?;
    Ok(health)
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

/// The hash of the newest event of each stream; `None` behind one that is not what was written.
type CheckedTips = BTreeMap<String, Option<ChainHash>>;

/// Goes through the events after a place in the order of arrival; one that is changed does not condemn those behind it.
fn walk_events(
    connection: &Connection,
    after: i64,
    mut tips: CheckedTips,
    health: &mut ArchiveHealth,
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
        match raw.to_event_after(tip.as_ref()) {
            Ok(_) => health.events += 1,
            Err(ArchiveError::Unreadable { position, reason }) => {
                health.faults.push(format!("{}: event {position}: {reason}", raw.stream_words()));
            }
            Err(error) => return Err(error),
        }
        *tip = raw.is_as_written().then_some(raw.hash);
    }
    Ok(())
}

fn check_documents(connection: &Connection, health: &mut ArchiveHealth) -> Result<(), ArchiveError> {
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
            Ok((_, document)) if document.media.starts_with(DAMAGED_MEDIA) => health.marked_documents += 1,
            Ok((name, document)) if chain::content_digest(&document.bytes).as_str() == name => {
                health.documents += 1;
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
