//! Is the file whole, and what of it can be saved when it is not?
//!
//! **Question.** Does SQLite find its own pages in order, does every event follow from the one before it, and does every
//! document still have the name of its content?
//!
//! **Method.** SQLite's `integrity_check`, then the chain of each visit from its first event on. A repair never touches
//! the damaged file: what can be read is copied into a new one, visit by visit up to the first event that does not follow.

use std::collections::BTreeMap;
use std::path::Path;

use rusqlite::Connection;

use crate::chain::{self, Hash};
use crate::read::{COLUMNS, Raw};
use crate::{Archive, Document, Sqlite, StoreError};

/// What a check found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Health {
    /// Events that follow from the one before them.
    pub events: u64,
    /// Documents with the right name.
    pub documents: u64,
    /// What is wrong, in words; empty when all is well.
    pub faults: Vec<String>,
}

impl Health {
    /// Whether nothing is wrong.
    #[must_use]
    pub const fn is_well(&self) -> bool {
        self.faults.is_empty()
    }
}

/// Checks an open archive; reads all of it.
///
/// # Errors
/// [`StoreError`] when SQLite cannot even begin to read.
pub fn check(archive: &Sqlite) -> Result<Health, StoreError> {
    let mut health = Health::default();
    pages(&archive.connection, &mut health);
    walk(&archive.connection, 0, Tips::new(), &mut health, &mut |_| Ok(()))?;
    documents(&archive.connection, &mut health, &mut |_| Ok(()))?;
    Ok(health)
}

/// Checks the newest events alone, however many there are before them: quick enough to be done at each opening.
///
/// A tail that was torn off, half written or changed shows; damage further back is found by [`check`].
///
/// # Errors
/// [`StoreError`] when SQLite cannot even begin to read.
pub fn check_newest(archive: &Sqlite, count: u32) -> Result<Health, StoreError> {
    let mut health = Health::default();
    let doing = StoreError::while_doing;
    let newest: i64 = archive
        .connection
        .query_row("SELECT ifnull(max(position), 0) FROM event", [], |row| row.get(0))
        .map_err(doing("read"))?;
    let before = newest.saturating_sub(i64::from(count)).max(0);
    let mut tips = Tips::new();
    let mut statement = archive
        .connection
        .prepare(
            "SELECT visit, hash FROM event WHERE position IN (
                 SELECT (SELECT max(position) FROM event WHERE visit = young.visit AND position <= ?1)
                 FROM (SELECT DISTINCT visit FROM event WHERE position > ?1) AS young)",
        )
        .map_err(doing("read"))?;
    let rows = statement
        .query_map([before], |row| Ok((row.get::<_, String>(0)?, row.get::<_, Hash>(1)?)))
        .map_err(doing("read"))?;
    for row in rows {
        let (visit, hash) = row.map_err(doing("read"))?;
        tips.insert(visit, Some(hash));
    }
    walk(&archive.connection, before, tips, &mut health, &mut |_| Ok(()))?;
    Ok(health)
}

/// Copies all that can be saved of a damaged file into a new one, and says what was wrong.
///
/// # Errors
/// [`StoreError`] when the new file is there already or cannot be written, or nothing of the old one can be read.
pub fn recover(damaged: &Path, into: &Path) -> Result<Health, StoreError> {
    if into.exists() {
        return Err(StoreError::Exists(into.to_owned()));
    }
    let old = Sqlite::open_to_read(damaged)?;
    let mut new = Sqlite::open(into)?;
    let mut health = Health::default();
    pages(&old.connection, &mut health);
    documents(&old.connection, &mut health, &mut |document| new.put_document(document).map(drop))?;
    walk(&old.connection, 0, Tips::new(), &mut health, &mut |event| new.append(&[event]).map(drop))?;
    beside(&old, &mut new, &mut health)?;
    Ok(health)
}

/// Devices and things set aside; what cannot be read is named and left.
fn beside(old: &Sqlite, new: &mut Sqlite, health: &mut Health) -> Result<(), StoreError> {
    match old.devices() {
        Ok(devices) => devices.iter().try_for_each(|device| new.put_device(device))?,
        Err(error) => health.faults.push(format!("devices: {error}")),
    }
    match old.asides() {
        Ok(asides) => asides.iter().try_for_each(|aside| new.set_aside(aside).map(drop))?,
        Err(error) => health.faults.push(format!("things set aside: {error}")),
    }
    Ok(())
}

fn pages(connection: &Connection, health: &mut Health) {
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

/// The hash of the newest event of each visit; `None` behind one that does not follow.
type Tips = BTreeMap<String, Option<Hash>>;

/// Goes through the events after a place in the order of arrival; hands on those that follow from the one before.
fn walk(
    connection: &Connection,
    after: i64,
    mut tips: Tips,
    health: &mut Health,
    sound: &mut dyn FnMut(journal::Event) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let mut statement = connection
        .prepare(&format!("SELECT {COLUMNS} FROM event WHERE position > ?1 ORDER BY position"))
        .map_err(StoreError::while_doing("read"))?;
    let rows = statement.query_map([after], Raw::of).map_err(StoreError::while_doing("read"))?;
    for row in rows {
        let raw = match row {
            Ok(raw) => raw,
            Err(error) => {
                health.faults.push(format!("the events end early: {error}"));
                break;
            }
        };
        let tip = tips.entry(raw.visit.clone()).or_insert(Some(chain::START));
        let Some(previous) = tip else { continue };
        match follows(&raw, previous) {
            Ok(event) => {
                *previous = raw.hash;
                health.events += 1;
                sound(event)?;
            }
            Err(reason) => {
                health.faults.push(format!(
                    "visit {}: event {} {reason}; it and all after it in this visit cannot be relied on",
                    raw.visit, raw.position
                ));
                *tip = None;
            }
        }
    }
    Ok(())
}

fn follows(raw: &Raw, previous: &Hash) -> Result<journal::Event, String> {
    let event = raw.understood().map_err(|error| error.to_string())?;
    if raw.previous != *previous {
        return Err("does not follow from the one before it".to_owned());
    }
    if chain::next(previous, &event, &raw.body) != raw.hash {
        return Err("was changed after it was written".to_owned());
    }
    Ok(event)
}

fn documents(
    connection: &Connection,
    health: &mut Health,
    sound: &mut dyn FnMut(&Document) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let mut statement = connection
        .prepare("SELECT name, media, bytes FROM document ORDER BY name")
        .map_err(StoreError::while_doing("read"))?;
    let rows = statement
        .query_map([], |row| {
            Ok((row.get::<_, String>(0)?, Document { media: row.get(1)?, bytes: row.get(2)? }))
        })
        .map_err(StoreError::while_doing("read"))?;
    for row in rows {
        match row {
            Ok((name, document)) if chain::name_of(&document.bytes).as_str() == name => {
                health.documents += 1;
                sound(&document)?;
            }
            Ok((name, _)) => health.faults.push(format!("document {name} was changed")),
            Err(error) => {
                health.faults.push(format!("the documents end early: {error}"));
                break;
            }
        }
    }
    Ok(())
}
