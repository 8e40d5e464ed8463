//! What is kept beside the events: documents, things set aside, keys of devices, settings.

use record::{ContentDigest, DeviceId};
use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::append::sqlite_integer;
use crate::{ArchiveError, ArchivedDocument, DeviceKey, KeptAside, chain};

pub(crate) fn put_document(
    connection: &Connection,
    document: &ArchivedDocument,
) -> Result<ContentDigest, ArchiveError> {
    let name = chain::content_digest(&document.bytes);
    execute_write(
        connection,
        "INSERT INTO document (name, media, bytes) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
        params![name.as_str(), document.media, document.bytes],
    )?;
    Ok(name)
}

/// A document, if it is still what its name says: a changed one is never handed out.
pub(crate) fn find_document(
    connection: &Connection,
    name: &ContentDigest,
) -> Result<Option<ArchivedDocument>, ArchiveError> {
    let found = query_one(
        connection,
        "SELECT media, bytes FROM document WHERE name = ?1",
        params![name.as_str()],
        |row| Ok(ArchivedDocument { media: row.get(0)?, bytes: row.get(1)? }),
    )?;
    match found {
        Some(document) if chain::content_digest(&document.bytes) != *name => {
            Err(ArchiveError::ChangedDocument(name.to_string()))
        }
        found => Ok(found),
    }
}

pub(crate) fn set_aside(connection: &Connection, aside: &KeptAside) -> Result<u64, ArchiveError> {
    execute_write(
        connection,
        "INSERT INTO aside (device, at_ms, text, reason, settled) VALUES (?1, ?2, ?3, ?4, ?5)",
        params![aside.device, aside.at_ms, aside.text, aside.reason, aside.settled],
    )?;
    Ok(connection.last_insert_rowid().unsigned_abs())
}

pub(crate) fn list_asides(connection: &Connection) -> Result<Vec<KeptAside>, ArchiveError> {
    query_many(
        connection,
        "SELECT number, device, at_ms, text, reason, settled FROM aside ORDER BY number",
        |row| {
            Ok(KeptAside {
                number: row.get::<_, i64>(0)?.unsigned_abs(),
                device: row.get(1)?,
                at_ms: row.get(2)?,
                text: row.get(3)?,
                reason: row.get(4)?,
                settled: row.get(5)?,
            })
        },
    )
}

pub(crate) fn settle_aside(connection: &Connection, number: u64) -> Result<(), ArchiveError> {
    execute_write(
        connection,
        "UPDATE aside SET settled = 1 WHERE number = ?1",
        params![sqlite_integer(number)],
    )
}

pub(crate) fn put_device_key(connection: &Connection, key: &DeviceKey) -> Result<(), ArchiveError> {
    execute_write(
        connection,
        "INSERT INTO device_key (device, key) VALUES (?1, ?2) ON CONFLICT (device) DO UPDATE SET key = ?2",
        params![key.device.as_str(), key.key.as_str()],
    )
}

pub(crate) fn remove_device_key(connection: &Connection, device: &DeviceId) -> Result<(), ArchiveError> {
    execute_write(connection, "DELETE FROM device_key WHERE device = ?1", params![device.as_str()])
}

pub(crate) fn list_device_keys(connection: &Connection) -> Result<Vec<DeviceKey>, ArchiveError> {
    let rows = query_many(connection, "SELECT device, key FROM device_key ORDER BY device", |row| {
        let (device, key): (String, String) = (row.get(0)?, row.get(1)?);
        let ids = DeviceId::new(&device).zip(ContentDigest::new(&key));
        Ok(ids.map(|(device, key)| DeviceKey { device, key }))
    })?;
    Ok(rows.into_iter().flatten().collect())
}

pub(crate) fn find_setting(connection: &Connection, key: &str) -> Result<Option<String>, ArchiveError> {
    query_one(connection, "SELECT value FROM setting WHERE key = ?1", params![key], |row| row.get(0))
}

/// All settings.
pub(crate) fn list_settings(connection: &Connection) -> Result<Vec<(String, String)>, ArchiveError> {
    query_many(connection, "SELECT key, value FROM setting ORDER BY key", |row| {
        Ok((row.get(0)?, row.get(1)?))
    })
}

pub(crate) fn put_setting(connection: &Connection, key: &str, value: &str) -> Result<(), ArchiveError> {
    execute_write(
        connection,
        "INSERT INTO setting (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = ?2",
        params![key, value],
    )
}

pub(crate) fn execute_write(
    connection: &Connection,
    text: &str,
    values: impl rusqlite::Params,
) -> Result<(), ArchiveError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.execute(values))
        .map(drop)
        .map_err(ArchiveError::while_doing("written"))
}

pub(crate) fn query_one<T>(
    connection: &Connection,
    text: &str,
    values: impl rusqlite::Params,
    of: impl FnOnce(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Option<T>, ArchiveError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.query_row(values, of).optional())
        .map_err(ArchiveError::while_doing("read"))
}

fn query_many<T>(
    connection: &Connection,
    text: &str,
    of: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
) -> Result<Vec<T>, ArchiveError> {
    connection
        .prepare_cached(text)
        .and_then(|mut statement| statement.query_map([], of)?.collect())
        .map_err(ArchiveError::while_doing("read"))
}
